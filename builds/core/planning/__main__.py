"""Plan problem files: python -m builds.core.planning FILE... --seconds S --seed N."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path

from builds.core.planning.engine import solve
from builds.core.planning.files import FileFault, answer, read_file

MOST_WORK = 10**9


def main(arguments: list[str] | None = None) -> int:
    """Read each file, plan it, print one line of JSON; 1 if a file was wrong or has no plan."""
    parser = argparse.ArgumentParser(
        prog="python -m builds.core.planning",
        description="Plan shows (.json) and Patterson files (.rcp): one line of JSON a file.",
    )
    parser.add_argument("files", nargs="+", metavar="FILE", type=Path)
    parser.add_argument("--seconds", type=_seconds, default=1.0, help="time for each file")
    parser.add_argument("--seed", type=int, default=1, help="the same seed tries the same things")
    options = parser.parse_args(arguments)
    failed = 0
    for path in options.files:
        until = time.monotonic() + options.seconds
        try:
            problem = read_file(path)
        except FileFault as fault:
            print(fault, file=sys.stderr)
            failed = 1
            continue
        plan = solve(
            problem,
            work=MOST_WORK if options.seconds else 0,
            seed=options.seed,
            stop=_after(until),
        )
        for reason in plan.reasons:
            print(f"{path.name}: {reason}", file=sys.stderr)
            failed = 1
        print(answer(path.name, problem, plan), flush=True)
    return failed


def _after(until: float) -> Callable[[], bool]:
    return lambda: time.monotonic() >= until


def _seconds(text: str) -> float:
    seconds = float(text)
    if not 0 <= seconds <= 86_400:
        raise argparse.ArgumentTypeError("it must be between 0 and 86400")
    return seconds


if __name__ == "__main__":
    sys.exit(main())
