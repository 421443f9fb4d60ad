"""`manage.py work`: does the long jobs. `serve` and `demo` run one of these beside the server."""

import signal
import sys
import threading
from types import FrameType

from django.core.management.base import BaseCommand, CommandParser

from company.memory import keep_loaded
from company.work import find_jobs, work_until


class Command(BaseCommand):
    help = "Does the long jobs, such as finding a better plan, until it is told to end."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--child",
            action="store_true",
            help="end when standard input closes (the server that started it is gone)",
        )

    def handle(self, *args: object, child: bool, **options: object) -> None:
        stopping = threading.Event()

        def stop(number: int, frame: FrameType | None) -> None:
            stopping.set()

        signal.signal(signal.SIGTERM, stop)
        # Ctrl-C in a terminal reaches the server and its worker alike; the server then closes
        # the pipe, and a child waits for that.
        signal.signal(signal.SIGINT, signal.SIG_IGN if child else stop)
        if child:
            threading.Thread(target=self.wait_for_end, args=[stopping], daemon=True).start()
        jobs = find_jobs()
        keep_loaded()
        work_until(stopping, jobs)

    def wait_for_end(self, stopping: threading.Event) -> None:
        while sys.stdin.buffer.read(1):
            pass
        stopping.set()
