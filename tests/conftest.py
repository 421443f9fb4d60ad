"""What every test stands on: hypothesis profiles, own media folder, no error logged unseen."""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import hypothesis
import pytest

if TYPE_CHECKING:
    from tests.laid import Twins

# `ci` gives the same examples on every run; `deep` looks further, for an afternoon's hunt:
# HYPOTHESIS_PROFILE=deep python3 manage.py test tests/scenes
hypothesis.settings.register_profile(
    "ci", max_examples=30, derandomize=True, deadline=None, database=None
)
hypothesis.settings.register_profile("deep", max_examples=2000, deadline=None, database=None)
hypothesis.settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))

# Loggers that keep their records from the root.
LONERS = ("django.server",)


class KeptErrors(logging.Handler):
    """Keeps every record of level ERROR and above."""

    def __init__(self) -> None:
        super().__init__(level=logging.ERROR)
        self.records: list[logging.LogRecord] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.records.append(record)


@pytest.fixture(autouse=True)
def logged_errors() -> Iterator[list[logging.LogRecord]]:
    """The errors logged so far. What a test leaves in the list fails it: take out the expected."""
    kept = KeptErrors()
    loggers = [logging.getLogger(name) for name in ("", *LONERS)]
    for logger in loggers:
        logger.addHandler(kept)
    yield kept.records
    for logger in loggers:
        logger.removeHandler(kept)
    if kept.records:
        told = [f"{r.name}: {r.getMessage()}\n{r.exc_text or ''}" for r in kept.records]
        pytest.fail("Errors were logged:\n" + "\n".join(told))


@pytest.fixture(autouse=True)
def own_media(settings: Any, tmp_path: Path) -> None:
    """Uploads of a test go to its own folder."""
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture(scope="module")
def laid(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Twins]:
    """Two companies laid once for a module; each test finds them untouched.

    What a test writes is rolled back as ever; the rows below it go with the module. Its tests
    take the fixture `laid_media` as well where they look at pictures.
    """
    from django.core.management import call_command
    from django.test import override_settings

    from tests.laid import lay_twins

    media = tmp_path_factory.mktemp("laid-media")
    with django_db_blocker.unblock():
        try:
            with override_settings(MEDIA_ROOT=media):
                yield lay_twins(media)
        finally:
            call_command("flush", verbosity=0, interactive=False)


@pytest.fixture
def laid_media(own_media: None, laid: Twins, settings: Any) -> None:
    """Uploads lie where the laid companies have theirs."""
    settings.MEDIA_ROOT = laid.media
