"""System checks: what a fresh machine or a half-made setting would trip over."""

from __future__ import annotations

import ctypes
import os
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.utils.module_loading import import_string

# Under each of these names one system or another keeps the library that lays out text in PDFs.
PANGO_NAMES = (
    "libpango-1.0.so.0",
    "libpango-1.0.dylib",
    "libpango-1.0.0.dylib",
    "libpango-1.0-0.dll",
    "libpango-1.0-0",
)
LOCAL_HOSTS = ("localhost", "127.0.0.1", "::1")


def has_pango() -> bool:
    """Whether the library loads. Takes milliseconds; importing WeasyPrint, half a second."""
    for name in PANGO_NAMES:
        with suppress(OSError):
            ctypes.CDLL(name)
            return True
    return False


@register(Tags.compatibility)
def check_pango(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    if has_pango():
        return []
    hint = "On Debian and Ubuntu: sudo apt install libpango-1.0-0 libpangoft2-1.0-0"
    return [
        Warning("No PDF can be made without Pango; all else works.", hint=hint, id="company.W001")
    ]


@register(Tags.files)
def check_data_dir(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    problems: list[CheckMessage] = []
    folders = {"DATA_DIR": Path(settings.DATA_DIR)}
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3") and isinstance(database["NAME"], Path):
        folders["DATABASE_URL"] = database["NAME"].parent
    for name, folder in folders.items():
        if not folder.is_dir() or not os.access(folder, os.W_OK | os.X_OK):
            problems.append(
                Error(
                    f"{name} leads to {folder}, where nothing can be written.",
                    hint="Make the folder writable for this user, or name another.",
                    id="company.E001",
                )
            )
    return problems


@register()
def check_named_functions(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    problems: list[CheckMessage] = []
    for name in ("WORKER_JOBS", "COMPANY_STARTERS"):
        for path in getattr(settings, name):
            problems += _find_function(name, path)
    for path in settings.ASKED_OF_WORKSHOP.values():
        problems += _find_function("ASKED_OF_WORKSHOP", path)
    return problems


def _find_function(name: str, path: str) -> list[CheckMessage]:
    try:
        import_string(path)
    except ImportError as error:
        return [Error(f"{name} names {path}: {error}", id="company.E002")]
    return []


@register(Tags.security, deploy=True)
def check_site(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """What is fit for one's own machine, but not for a site that others reach."""
    problems: list[CheckMessage] = []
    host = urlsplit(settings.SITE_URL).hostname or ""
    if not settings.IS_HTTPS and host not in LOCAL_HOSTS:
        problems.append(
            Warning(
                f"SITE_URL is {settings.SITE_URL}: passwords cross the network in the open.",
                hint="Put a proxy with a certificate before it and write SITE_URL=https://...",
                id="company.W002",
            )
        )
    if settings.TODAY is not None:
        problems.append(
            Warning(
                f"TODAY stops the clock at {settings.TODAY:%Y-%m-%d}.",
                hint="Unset it but for a demo or a test.",
                id="company.W003",
            )
        )
    return problems
