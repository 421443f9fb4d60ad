"""`manage.py test [pytest arguments]`: all tests, or those that the arguments choose."""

import importlib.util
import os
import subprocess
import sys

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

# Tests that keep every core busy, or hold Chromium to its own pace, run one at a time afterwards.
ALONE = "browser or solver"
ROUNDS = (["-n", "2", "-m", f"not ({ALONE})"], ["-m", ALONE])

NO_TESTS_CHOSEN = 5


class Command(BaseCommand):
    help = "Runs pytest: without arguments every test, two at a time where that is safe."
    requires_system_checks: list[str] = []

    def run_from_argv(self, argv: list[str]) -> None:
        """Everything after `test` is pytest's, unread."""
        try:
            code = run_tests(argv[2:])
        except CommandError as error:
            self.stderr.write(str(error))
            code = 1
        except KeyboardInterrupt:
            code = 130
        sys.exit(code)

    def handle(self, *args: str, **options: object) -> None:
        raise SystemExit(run_tests(list(args)))


def run_tests(arguments: list[str]) -> int:
    """Runs the rounds, or the one that the arguments choose, and returns the exit code."""
    if importlib.util.find_spec("pytest") is None:
        raise CommandError("pytest is not installed; type: pip install -e '.[test]'")
    rounds = [arguments] if arguments else ROUNDS
    return sum_up([run_pytest(list(chosen)) for chosen in rounds])


def sum_up(codes: list[int]) -> int:
    """The first round's that failed; 'no tests' only where no round had any.

    >>> sum_up([0, 5]), sum_up([5, 5]), sum_up([5, 1]), sum_up([0, 2])
    (0, 5, 1, 2)
    """
    failed = [code for code in codes if code not in (0, NO_TESTS_CHOSEN)]
    return failed[0] if failed else min(codes)


def run_pytest(arguments: list[str]) -> int:
    """One run in a process of its own, which reads the settings of tests from the start."""
    sys.stdout.flush()
    surroundings = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"}
    command = [sys.executable, "-m", "pytest", *arguments]
    return subprocess.call(command, cwd=settings.BASE_DIR, env=surroundings)
