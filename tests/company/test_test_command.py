"""`manage.py test`: the exit codes of its rounds, and that pytest gets its arguments."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings

from company.management.commands import test as command

PASSES = ["-q", "tests/company/test_clock.py"]
HAS_NONE = ["-q", "tests/company/test_clock.py", "-k", "nothing_is_called_so"]


@pytest.fixture
def fails(tmp_path: Path) -> list[str]:
    file = tmp_path / "test_that_fails.py"
    file.write_text("def test_it():\n    assert 1 == 2\n")
    return ["-q", "-p", "no:cacheprovider", str(file)]


@pytest.mark.parametrize(
    ("codes", "code"),
    [
        ([0, 0], 0),
        ([0, 5], 0),
        ([5, 0], 0),
        ([5, 5], 5),
        ([1, 0], 1),
        ([0, 1], 1),
        ([5, 2], 2),
        ([1, 3], 1),
    ],
)
def test_exit_code_of_all_rounds(codes, code):
    assert command.sum_up(codes) == code


def test_a_failing_round_does_not_hide_behind_the_next(monkeypatch, fails):
    monkeypatch.setattr(command, "ROUNDS", [fails, PASSES])
    assert command.run_tests([]) == 1


def test_no_test_chosen_is_pytest_s_own_code():
    assert command.run_tests(HAS_NONE) == 5


def test_rounds_leave_nobody_out():
    """What the first round leaves out is what the second takes."""
    together, alone = (words[words.index("-m") + 1] for words in command.ROUNDS)
    assert together == f"not ({alone})"


def test_arguments_go_to_pytest_as_they_are():
    told = subprocess.run(
        [sys.executable, "manage.py", "test", *PASSES, "-k", "fixed and not beats", "--co"],
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
    )
    assert told.returncode == 0, told.stderr
    assert "::test_fixed_clock_stands_still" in told.stdout
    assert "::test_running_clock_is_in_utc" not in told.stdout
