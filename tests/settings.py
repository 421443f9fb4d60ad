"""Settings of a test run: everything it writes goes to a folder of its own, removed at the end."""

import atexit
import os
import shutil
import tempfile
from datetime import UTC, datetime
from pathlib import Path

RUN_DIR = Path(tempfile.mkdtemp(prefix="strung-test-"))
(RUN_DIR / "static").mkdir()
atexit.register(shutil.rmtree, RUN_DIR, ignore_errors=True)
for name in ("SITE_URL", "TODAY", "DEBUG", "ALLOWED_HOSTS"):
    os.environ.pop(name, None)
os.environ["DATA_DIR"] = str(RUN_DIR)
os.environ["SECRET_KEY"] = "for tests alone, and long enough for Django's own checks to be content"

from company.settings import *  # noqa: E402, F403
from company.settings import DATABASES, INSTALLED_APPS, MIDDLEWARE, STORAGES  # noqa: E402

# A Wednesday in a week without public holidays; a test that needs another day sets it.
TODAY = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)

# A file, not memory: two threads then wait for each other as they do in a real company.
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["TEST"] = {"NAME": str(RUN_DIR / "test.sqlite3")}
    DATABASES["default"]["OPTIONS"]["init_command"] = (
        "PRAGMA journal_mode=WAL; PRAGMA synchronous=OFF;"
    )

# Hashed names are made by collecting, which a test run does not do.
STORAGES["staticfiles"]["BACKEND"] = "django.contrib.staticfiles.storage.StaticFilesStorage"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]

# A page that reads one row after the other where one query would do fails its test. To fetch
# a row twice within a request is another matter: a service reads again what it locks.
INSTALLED_APPS = [*INSTALLED_APPS, "zeal"]
MIDDLEWARE = ["zeal.middleware.zeal_middleware", *MIDDLEWARE]
ZEAL_RAISE = True
ZEAL_ALLOWLIST = [{"model": "*", "field": "get()"}]
