"""Running a company's own instance: the port, the database and files made ready, server, worker.

`serve` and `demo` stand on this. Ctrl-C, or SIGTERM, ends server and worker both.
"""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

from company.memory import keep_loaded

PORTS_TRIED = 10
WORKER_ENDS_WITHIN_S = 15.0
FIRST_PAUSE_S, LONGEST_PAUSE_S = 1.0, 60.0
ANYWHERE = ("0.0.0.0", "::", "")


class CannotServe(Exception):
    """Why no server can run, as a sentence with what to type."""


def bind_port(host: str, first: int, tries: int = PORTS_TRIED) -> socket.socket:
    """A socket on the first free port of `first`, `first + 1`, ... (`tries` of them).

    The bound socket itself is handed out, so that nobody takes the port meanwhile.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    last_error: OSError | None = None
    for port in range(first, min(first + tries, 65536)):
        bound = socket.socket(family, socket.SOCK_STREAM)
        if os.name == "posix":
            # A restarted server takes its port back at once. (On Windows the same option would
            # let two servers share one.)
            bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            bound.bind((host, port))
            # Only listening settles who owns the port where both sides allow its reuse.
            bound.listen(128)
        except OSError as error:
            bound.close()
            last_error = error
            continue
        return bound
    reason = last_error.strerror if last_error else "there is no such port"
    last = min(first + tries, 65536) - 1
    which = f"port {first}" if tries == 1 else f"the ports {first} to {last}"
    raise CannotServe(
        f"Cannot listen on {host}, {which} ({reason}); choose another with --port NUMBER."
    )


def adopt_address(host: str, port: int) -> str:
    """Makes printed links lead to this server, unless SITE_URL says where it is reached."""
    if not settings.IS_SITE_URL_SET:
        name = "127.0.0.1" if host in ANYWHERE else f"[{host}]" if ":" in host else host
        settings.SITE_URL = f"http://{name}:{port}"
        os.environ["SITE_URL"] = settings.SITE_URL
        if name not in settings.ALLOWED_HOSTS:
            settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, name]
    return str(settings.SITE_URL)


def make_ready(say: Callable[[str], None]) -> None:
    """Checks the database, brings it up to date, and collects the static files."""
    check_database()
    say("Bringing the database up to date ...")
    call_command("migrate", interactive=False, verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0, clear=False)


def make_tables() -> None:
    """The first command on a fresh machine finds no tables yet, or those of an older version."""
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        call_command("migrate", interactive=False, verbosity=0)


def check_database() -> None:
    """Asks SQLite whether its file is sound; other databases look after themselves."""
    try:
        with connection.cursor() as cursor:
            if connection.vendor != "sqlite":
                return
            found = [row[0] for row in cursor.execute("PRAGMA quick_check(5)").fetchall()]
    except DatabaseError as error:
        raise CannotServe(f"The database cannot be opened: {str(error).strip()}.") from error
    if found != ["ok"]:
        name = settings.DATABASES["default"]["NAME"]
        raise CannotServe(
            f"The database {name} is damaged ({found[0]}); put the last good copy in its place."
        )


class Worker:
    """The one child process that does the long jobs, started again whenever it ends."""

    def __init__(self, command: list[str], say: Callable[[str], None]) -> None:
        self.command = command
        self.say = say
        self.stopping = threading.Event()
        self.starting = threading.Lock()
        self.child: subprocess.Popen[bytes] | None = None
        self.starts = 0
        self.watcher = threading.Thread(target=self._watch, name="worker-watch", daemon=True)

    def start(self) -> None:
        self.watcher.start()

    def _watch(self) -> None:
        pause_s = FIRST_PAUSE_S
        while True:
            with self.starting:
                if self.stopping.is_set():
                    return
                # The pipe to its standard input closes when this process dies, however it
                # dies: the worker takes that as its sign to end.
                child = self.child = subprocess.Popen(self.command, stdin=subprocess.PIPE)
                self.starts += 1
            try:
                code = child.wait(timeout=LONGEST_PAUSE_S)
            except subprocess.TimeoutExpired:
                pause_s = FIRST_PAUSE_S
                code = child.wait()
            if child.stdin is not None:
                child.stdin.close()
            if self.stopping.is_set():
                return
            self.say(f"The worker ended ({code}); starting it again.")
            self.stopping.wait(pause_s)
            pause_s = min(pause_s * 2, LONGEST_PAUSE_S)

    def stop(self) -> None:
        """Asks it to end after the step it is at; makes it, where it does not in time."""
        with self.starting:
            self.stopping.set()
            child = self.child
        if child is not None and child.poll() is None:
            if child.stdin is not None:
                child.stdin.close()
            if os.name == "posix":
                # Reaches one that is still starting too. (On Windows it would cut off a job.)
                child.terminate()
            try:
                child.wait(timeout=WORKER_ENDS_WITHIN_S)
            except subprocess.TimeoutExpired:
                child.kill()
                child.wait()
        if self.watcher.is_alive():
            self.watcher.join(timeout=WORKER_ENDS_WITHIN_S)


def worker_command() -> list[str]:
    return [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), "work", "--child"]


@contextmanager
def ending_on_signals() -> Iterator[None]:
    """Lets SIGTERM (a service manager's way to say stop) end things as Ctrl-C does.

    SIGINT is set as well: a shell starts what it puts in the background with Ctrl-C ignored.
    """

    def interrupt(number: int, frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    before = {kind: signal.signal(kind, interrupt) for kind in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield
    finally:
        for kind, handler in before.items():
            signal.signal(kind, handler)


def run_until_ended(bound: socket.socket, say: Callable[[str], None]) -> None:
    """Serves on the bound socket, with one worker beside, until Ctrl-C or SIGTERM."""
    from waitress import create_server

    from company.wsgi import application

    proxy = {}
    if settings.IS_HTTPS:
        # Encryption ends at a proxy on this machine or the one named; what it says of the caller
        # is believed, and nobody else.
        proxy = {
            "trusted_proxy": settings.TRUSTED_PROXY,
            "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto", "x-forwarded-host"},
        }
    keep_loaded()
    server = create_server(
        application,
        sockets=[bound],
        threads=8,
        ident="Strung",
        clear_untrusted_proxy_headers=True,
        max_request_body_size=settings.MAX_REQUEST_BYTES,
        **proxy,
    )
    worker = Worker(worker_command(), say)
    with ending_on_signals():
        try:
            worker.start()
            server.run()
        except KeyboardInterrupt:
            pass
        finally:
            say("Ending ...")
            server.close()
            worker.stop()
