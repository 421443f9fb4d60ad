#!/usr/bin/env python3
"""The one command of the project: `python3 manage.py demo`, `test`, `serve` and the rest."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "company.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
