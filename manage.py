#!/usr/bin/env python3
"""The one command of the project: `python3 manage.py demo`, `test`, `serve` and the rest.

Outside an environment it makes one, installs the pinned packages and runs itself there. Until
that is done it uses the standard library alone, and nothing newer than Python 3.6.
"""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
OLDEST, NEWEST = (3, 11), (3, 13)
WINDOWS = os.name == "nt"
AGAIN = " ".join(["py" if WINDOWS else "python3", "manage.py", *sys.argv[1:2]])
NEEDS_PYTHON = "Python 3.11, 3.12 or 3.13 is needed; install one, then type: " + AGAIN
PROBE = "import sys; print(*sys.version_info[:2], sys.executable); import ensurepip, venv"


def stop(sentence: str) -> None:
    sys.exit("manage.py: " + sentence)


def find_python() -> "tuple[str, bool]":
    """A Python of the right age that really starts, and whether it can make environments.

    The one that is running comes first; a version manager's stub on PATH may refuse to start.
    """
    names = ["python3.13", "python3.12", "python3.11", "python3", "python"]
    launched = [["py", "-" + name[6:]] for name in names[:3]] if WINDOWS else []
    second_best = ""
    for command in [[sys.executable], *launched, *([name] for name in names)]:
        try:
            tried = subprocess.run([*command, "-c", PROBE], stdout=-1, stderr=-3, timeout=30)
            major, minor, path = tried.stdout.decode().strip().split(" ", 2)
            version = int(major), int(minor)
        except (OSError, ValueError, subprocess.SubprocessError):
            continue
        if OLDEST <= version <= NEWEST:
            if tried.returncode == 0:
                return path, True
            second_best = second_best or path
    return second_best, False


def read_packages(extra: str = "") -> "list[str]":
    """The pinned packages of pyproject.toml, with those of the extra where one is named."""
    import tomllib

    project = tomllib.loads((HERE / "pyproject.toml").read_text("utf-8"))["project"]
    return project["dependencies"] + (project["optional-dependencies"][extra] if extra else [])


def digest_of(packages: "list[str]") -> str:
    return hashlib.sha256("\n".join(sorted(packages)).encode()).hexdigest()


def python_in(environment: Path) -> Path:
    return environment / ("Scripts/python.exe" if WINDOWS else "bin/python")


def read_mark(environment: Path) -> "list[str]":
    """What was installed there to the end; nothing where its Python is gone."""
    try:
        mark = (environment / "strung-mark").read_text("ascii").split()
    except (OSError, ValueError):
        return []
    return mark if python_in(environment).exists() else []


def find_environment(name: str) -> Path:
    """Where the environment is, or goes: `.venv` in the checkout, else in the user's cache."""
    beside = HERE / ".venv"
    if name in read_mark(beside) or all(
        os.access(p, os.W_OK) for p in {HERE, beside} if p.exists()
    ):
        return beside
    cache = Path.home() / ("AppData/Local" if WINDOWS else ".cache")
    cache = Path(os.environ.get("LOCALAPPDATA" if WINDOWS else "XDG_CACHE_HOME") or cache)
    return cache / "strung" / name[:12]


def make_environment(environment: Path, packages: "list[str]", afresh: bool) -> None:
    """Installs the packages, into an emptied environment where `afresh`."""
    steps = []
    if afresh:
        python, can_make = find_python()
        if not python:
            stop(NEEDS_PYTHON)
        if not can_make:
            stop("Python lacks its venv module; type: sudo apt install python3-venv, then " + AGAIN)
        environment.parent.mkdir(parents=True, exist_ok=True)
        steps = [[python, "-m", "venv", "--clear", str(environment)]]
    print("Getting the packages into", environment, "(once, some minutes) ...", file=sys.stderr)
    install = [str(python_in(environment)), "-m", "pip", "install", "--quiet", "--no-input"]
    quiet = dict(os.environ, PIP_USER="0", PIP_DISABLE_PIP_VERSION_CHECK="1")
    for step in [*steps, [*install, *packages]]:
        done = subprocess.run(step, stdout=-1, stderr=-2, env=quiet)
        if done.returncode:
            said = done.stdout.decode(errors="replace").strip().splitlines() or ["no reason given"]
            reason = "The packages could not be installed (" + said[-1].strip() + ")"
            stop(reason + "; see to the network and the room on the disk, then type: " + AGAIN)


def enter_environment(wants_tests: bool) -> None:
    """Finds or makes the environment and runs this file in it. The mark is written last."""
    if sys.version_info < OLDEST:
        python, _ = find_python()
        run_there(python) if python else stop(NEEDS_PYTHON)
    packages = read_packages("test" if wants_tests else "")
    base, wanted = digest_of(read_packages()), digest_of(packages)
    environment = find_environment(base)
    mark = read_mark(environment)
    if wanted not in mark:
        make_environment(environment, packages, afresh=base not in mark)
        (environment / "strung-mark").write_text(base + "\n" + wanted + "\n", "ascii")
    run_there(str(python_in(environment)))


def run_there(python: str) -> None:
    command = [python, str(HERE / "manage.py"), *sys.argv[1:]]
    if not WINDOWS:
        os.execv(python, command)
    sys.exit(subprocess.call(command))


def main() -> None:
    is_test = sys.argv[1:2] == ["test"]
    try:
        if sys.prefix == sys.base_prefix:
            enter_environment(is_test)
    except OSError as error:
        stop(
            "The environment cannot be made (" + str(error) + "); see to that, then type: " + AGAIN
        )
    except KeyboardInterrupt:
        sys.exit(130)
    settings = "tests.settings" if is_test else "company.settings"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", settings)
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        stop("This environment lacks Django; type: pip install -e '.[test]', then " + AGAIN)
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
