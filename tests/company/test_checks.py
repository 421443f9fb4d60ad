"""System checks, each tried on a machine or setting that it is there to catch."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from company import checks


def ids(messages):
    return [message.id for message in messages]


def test_pango_missing_warns_and_does_not_stop(monkeypatch):
    monkeypatch.setattr(checks, "PANGO_NAMES", ("libno-such-thing.so.7",))
    (found,) = checks.check_pango(None)
    assert found.id == "company.W001"
    assert not found.is_serious()
    assert "sudo apt install libpango-1.0-0 libpangoft2-1.0-0" in found.hint


def test_pango_here_agrees_with_the_library_that_uses_it():
    try:
        import weasyprint  # noqa: F401

        loads = True
    except (ImportError, OSError):
        loads = False
    assert checks.has_pango() == loads


def test_data_dir_missing_is_an_error(settings, tmp_path):
    settings.DATA_DIR = tmp_path / "gone"
    found = checks.check_data_dir(None)
    assert "company.E001" in ids(found)
    assert str(tmp_path / "gone") in found[0].msg


def test_data_dir_there_is_fine(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    assert checks.check_data_dir(None) == []


@pytest.mark.parametrize("name", ["WORKER_JOBS", "COMPANY_STARTERS"])
def test_function_that_is_not_there_is_an_error(settings, name):
    setattr(settings, name, ["company.clock.now"])
    assert checks.check_named_functions(None) == []
    setattr(settings, name, ["company.clock.yesterday"])
    (found,) = checks.check_named_functions(None)
    assert found.id == "company.E002"
    assert name in found.msg


def test_what_the_plot_asks_of_the_workshop_must_be_there(settings):
    assert checks.check_named_functions(None) == []
    settings.ASKED_OF_WORKSHOP = {"last_days": "builds.queries.last_days.read_no_days"}
    (found,) = checks.check_named_functions(None)
    assert (found.id, "ASKED_OF_WORKSHOP" in found.msg) == ("company.E002", True)


@pytest.mark.parametrize(
    ("address", "today", "expected"),
    [
        ("https://strung.example", None, []),
        ("http://127.0.0.1:8000", None, []),
        ("http://192.168.1.20:8000", None, ["company.W002"]),
        ("https://strung.example", datetime(2026, 3, 4, tzinfo=UTC), ["company.W003"]),
    ],
)
def test_site(settings, address, today, expected):
    settings.SITE_URL = address
    settings.IS_HTTPS = address.startswith("https")
    settings.TODAY = today
    assert ids(checks.check_site(None)) == expected
