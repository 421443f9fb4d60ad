"""manage.py outside an environment: which Python, where the environment goes, what it says.

The whole way is gone for real, with a package of two lines in Django's place and no network.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

import manage

pytestmark = pytest.mark.skipif(os.name == "nt", reason="fakes Pythons with shell scripts")

# What `import django` finds in the environments made here: it tells what it was asked.
STAND_IN = """
def execute_from_command_line(argv):
    print("ran", *argv[1:])
"""
PROJECT = """
[project]
name = "strung"
dependencies = ["Django==5.2.19"]
[project.optional-dependencies]
test = ["pytest==9.2.0"]
"""


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """A folder of wheels that pip may take from, in place of the network."""
    folder = tmp_path / "shelf"
    folder.mkdir()
    for name, version, module in (
        ("Django", "5.2.19", "django/core/management/__init__.py"),
        ("pytest", "9.2.0", "pytest.py"),
    ):
        info = f"{name}-{version}.dist-info"
        with zipfile.ZipFile(folder / f"{name}-{version}-py3-none-any.whl", "w") as wheel:
            wheel.writestr(module, STAND_IN)
            wheel.writestr(
                f"{info}/METADATA", f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n"
            )
            wheel.writestr(
                f"{info}/WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
            )
            wheel.writestr(f"{info}/RECORD", "")
    return folder


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    folder = tmp_path / "checkout"
    folder.mkdir()
    (folder / "manage.py").write_bytes(Path(manage.__file__).read_bytes())
    (folder / "pyproject.toml").write_text(PROJECT)
    return folder


def run(checkout: Path, *words: str, shelf: Path, python: str = "") -> subprocess.CompletedProcess:
    surroundings = {
        **os.environ,
        "PIP_NO_INDEX": "1",
        "PIP_FIND_LINKS": str(shelf),
        "XDG_CACHE_HOME": str(checkout.parent / "cache"),
    }
    surroundings.pop("DJANGO_SETTINGS_MODULE", None)
    outside = python or sys._base_executable
    command = [outside, str(checkout / "manage.py"), *words]
    return subprocess.run(command, env=surroundings, capture_output=True, text=True, timeout=120)


def test_first_run_makes_environment_and_next_runs_use_it(checkout, shelf):
    first = run(checkout, "demo", "--fresh", shelf=shelf)
    assert (first.returncode, first.stdout) == (0, "ran demo --fresh\n"), first.stderr
    assert "Getting the packages" in first.stderr
    mark = (checkout / ".venv/strung-mark").read_text().split()

    second = run(checkout, "demo", shelf=shelf)
    assert (second.returncode, second.stdout, second.stderr) == (0, "ran demo\n", "")

    # `test` wants more, and gets it without losing what is there.
    (checkout / ".venv/kept").touch()
    third = run(checkout, "test", "-k", "gulls", shelf=shelf)
    assert (third.returncode, third.stdout) == (0, "ran test -k gulls\n"), third.stderr
    assert (checkout / ".venv/kept").exists()
    assert mark[0] in (checkout / ".venv/strung-mark").read_text().split()


def test_half_made_environment_is_made_afresh(checkout, shelf):
    (checkout / ".venv/bin").mkdir(parents=True)
    (checkout / ".venv/bin/python").write_text("half written")
    done = run(checkout, "demo", shelf=shelf)
    assert (done.returncode, done.stdout) == (0, "ran demo\n"), done.stderr


def test_changed_pin_makes_environment_afresh(checkout, shelf):
    assert run(checkout, "demo", shelf=shelf).returncode == 0
    (checkout / ".venv/stale").touch()
    (checkout / "pyproject.toml").write_text(PROJECT.replace("5.2.19", "5.2.19, >=5"))
    assert run(checkout, "demo", shelf=shelf).returncode == 0
    assert not (checkout / ".venv/stale").exists()


def test_no_network_is_one_sentence_and_the_same_command_works_later(checkout, shelf, tmp_path):
    empty = tmp_path / "empty"
    empty.mkdir()
    failed = run(checkout, "demo", shelf=empty)
    assert failed.returncode == 1
    assert failed.stdout == ""
    told = failed.stderr.strip().splitlines()
    assert told[-1].startswith("manage.py: The packages could not be installed (")
    assert told[-1].endswith("type: python3 manage.py demo")
    assert not (checkout / ".venv/strung-mark").exists()

    assert run(checkout, "demo", shelf=shelf).stdout == "ran demo\n"


def fake_python(folder: Path, name: str, says: str, code: int = 0) -> Path:
    folder.mkdir(exist_ok=True)
    file = folder / name
    file.write_text(f"#!/bin/sh\necho '{says}'\nexit {code}\n")
    file.chmod(0o755)
    return file


@pytest.fixture
def on_path(tmp_path, monkeypatch) -> Path:
    folder = tmp_path / "bin"
    folder.mkdir()
    monkeypatch.setenv("PATH", f"{folder}:/bin")
    monkeypatch.setattr(sys, "executable", str(fake_python(folder, "old", "3 8 /old")))
    for name in ("python3.13", "python3.12", "python3.11", "python3", "python"):
        fake_python(folder, name, "no such version is installed", 127)
    return folder


def test_find_python_passes_by_old_new_and_refusing_ones(on_path):
    fake_python(on_path, "python3.13", "3 14 /new")
    fake_python(on_path, "python3", "3 12 /opt/right one/python")
    assert manage.find_python() == ("/opt/right one/python", True)


def test_find_python_falls_back_on_one_that_makes_no_environments(on_path):
    fake_python(on_path, "python3.11", "3 11 /usr/bin/python3.11", 1)
    assert manage.find_python() == ("/usr/bin/python3.11", False)


def test_find_python_none(on_path):
    assert manage.find_python() == ("", False)


@pytest.mark.parametrize(
    ("says", "code", "sentence"),
    [
        ("3 9 /usr/bin/python3", 0, "Python 3.11, 3.12 or 3.13 is needed; install one"),
        ("3 11 /usr/bin/python3", 1, "lacks its venv module; type: sudo apt install python3-venv"),
    ],
)
def test_make_environment_says_what_is_missing(on_path, tmp_path, says, code, sentence):
    fake_python(on_path, "python3", says, code)
    with pytest.raises(SystemExit, match=re.escape(sentence)) as told:
        manage.make_environment(tmp_path / "env", ["Django==5.2.19"], afresh=True)
    assert "\n" not in str(told.value)
    assert "manage.py" in str(told.value)


def test_environment_goes_to_the_cache_where_the_checkout_is_read_only(monkeypatch, tmp_path):
    monkeypatch.setattr(manage, "HERE", tmp_path / "checkout")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    (tmp_path / "checkout").mkdir()
    assert manage.find_environment("abc" * 20) == tmp_path / "checkout/.venv"

    monkeypatch.setattr(os, "access", lambda path, mode: False)
    assert manage.find_environment("abc" * 20) == tmp_path / "cache/strung/abcabcabcabc"

    # One that somebody else made there to the end is used as it is.
    (tmp_path / "checkout/.venv/bin").mkdir(parents=True)
    (tmp_path / "checkout/.venv/bin/python").touch()
    (tmp_path / "checkout/.venv/strung-mark").write_text("abc" * 20)
    assert manage.find_environment("abc" * 20) == tmp_path / "checkout/.venv"


def test_mark_counts_for_nothing_without_its_python(tmp_path):
    (tmp_path / "strung-mark").write_text("abc\n")
    assert manage.read_mark(tmp_path) == []
    (tmp_path / "bin").mkdir()
    (tmp_path / "bin/python").symlink_to(tmp_path / "gone")
    assert manage.read_mark(tmp_path) == []


def test_digest_knows_the_pins_whatever_their_order():
    one = manage.digest_of(["a==1", "b==2"])
    assert one == manage.digest_of(["b==2", "a==1"])
    assert one != manage.digest_of(["a==1", "b==3"])


@pytest.mark.parametrize("extra", ["", "test", "bench", "postgres"])
def test_every_package_is_pinned_to_one_version(extra):
    loose = [name for name in manage.read_packages(extra) if not re.search(r"==[\w.]+$", name)]
    assert loose == []


def test_nothing_newer_than_python_3_6_before_the_environment():
    """An old Python must get as far as finding a newer one: the grammar of 3.6 is enough."""
    import ast

    ast.parse(Path(manage.__file__).read_text(), feature_version=(3, 6))
