"""Settings, read in a process of their own: they fail closed; https brings all that is secure."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from django.conf import settings

ASK = """
import json, sys
from django.conf import settings
print(json.dumps({name: getattr(settings, name) for name in sys.argv[1:]}, default=str))
"""
OURS = ("DATA_DIR", "SECRET_KEY", "DEBUG", "SITE_URL", "DATABASE_URL", "TODAY", "ALLOWED_HOSTS")


def ask(*names: str, data_dir: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    surroundings = {key: value for key, value in os.environ.items() if key not in OURS}
    surroundings |= {"DJANGO_SETTINGS_MODULE": "company.settings", "DATA_DIR": str(data_dir)}
    return subprocess.run(
        [sys.executable, "-c", ASK, *names],
        env={**surroundings, **variables},
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
    )


def read(*names: str, data_dir: Path, **variables: str) -> dict[str, object]:
    told = ask(*names, data_dir=data_dir, **variables)
    assert told.returncode == 0, told.stderr
    found: dict[str, object] = json.loads(told.stdout)
    return found


def test_defaults_are_those_of_a_site_not_of_a_desk(tmp_path):
    assert read("DEBUG", "TODAY", "ALLOWED_HOSTS", "SITE_URL", data_dir=tmp_path) == {
        "DEBUG": False,
        "TODAY": None,
        "ALLOWED_HOSTS": ["localhost", "127.0.0.1", "[::1]", "127.0.0.1"],
        "SITE_URL": "http://127.0.0.1:8000",
    }


SECURE = ("SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE", "SECURE_SSL_REDIRECT")


def test_https_turns_everything_secure_on_together(tmp_path):
    names = (*SECURE, "SECURE_HSTS_SECONDS", "CSRF_TRUSTED_ORIGINS", "ALLOWED_HOSTS")
    found = read(*names, data_dir=tmp_path, SITE_URL="https://strung.example")
    assert [found[name] for name in SECURE] == [True, True, True]
    assert found["SECURE_HSTS_SECONDS"] == 31_536_000
    assert found["CSRF_TRUSTED_ORIGINS"] == ["https://strung.example"]
    assert "strung.example" in found["ALLOWED_HOSTS"]


def test_plain_http_turns_all_of_it_off_together(tmp_path):
    found = read(*SECURE, "SECURE_HSTS_SECONDS", data_dir=tmp_path, SITE_URL="http://10.0.0.4:8000")
    assert list(found.values()) == [False, False, False, 0]


def test_every_bad_value_stops_the_start_and_all_are_named(tmp_path):
    told = ask(
        "DEBUG",
        data_dir=tmp_path,
        DEBUG="perhaps",
        SITE_URL="here",
        TODAY="soon",
        DATABASE_URL="mysql://db/strung",
    )
    assert told.returncode == 1
    last = told.stderr.strip().splitlines()[-4:]
    for name in ("DEBUG", "SITE_URL", "TODAY", "DATABASE_URL"):
        assert sum(name in line for line in last) == 1


def test_secret_key_is_made_once_and_for_its_owner_alone(tmp_path):
    folder = tmp_path / "data"
    first = read("SECRET_KEY", data_dir=folder)["SECRET_KEY"]
    again = read("SECRET_KEY", data_dir=folder)["SECRET_KEY"]
    assert first == again
    assert len(str(first)) >= 50
    assert stat.S_IMODE((folder / "secret-key").stat().st_mode) == 0o600
    assert [file.name for file in folder.iterdir()] == ["secret-key"]


def test_first_starts_at_once_agree_on_one_key(tmp_path):
    with ThreadPoolExecutor(4) as pool:
        keys = list(pool.map(lambda _: read("SECRET_KEY", data_dir=tmp_path), range(4)))
    assert keys == [keys[0]] * 4


def test_data_dir_that_is_a_file_stops_the_start(tmp_path):
    (tmp_path / "plot.csv").touch()
    told = ask("DEBUG", data_dir=tmp_path / "plot.csv")
    assert told.returncode == 1
    assert "DATA_DIR" in told.stderr
    assert "name a folder" in told.stderr


def test_data_dir_under_a_file_stops_the_start(tmp_path):
    (tmp_path / "plot.csv").touch()
    told = ask("DEBUG", data_dir=tmp_path / "plot.csv" / "data")
    assert told.returncode == 1
    assert "cannot be written" in told.stderr.splitlines()[-1]


def test_sqlite_waits_for_other_writers_and_survives_a_power_cut(tmp_path):
    database = read("DATABASES", data_dir=tmp_path)["DATABASES"]["default"]
    assert database["NAME"] == str(tmp_path / "strung.sqlite3")
    assert database["OPTIONS"] == {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }


def test_policy_lets_nothing_in_but_the_site_s_own_files():
    directives = settings.CONTENT_SECURITY_POLICY["DIRECTIVES"]
    assert directives["default-src"] == ["'self'"]
    sources = {source for allowed in directives.values() for source in allowed}
    assert sources == {"'self'", "'none'"}


@pytest.mark.django_db
def test_every_page_carries_the_policy(client):
    answer = client.get("/sign-in/")
    told = dict(part.strip().split(" ", 1) for part in answer["Content-Security-Policy"].split(";"))
    assert told == {
        "default-src": "'self'",
        "img-src": "'self'",
        "object-src": "'none'",
        "base-uri": "'self'",
        "form-action": "'self'",
        "frame-ancestors": "'none'",
    }
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Referrer-Policy"] == "same-origin"
