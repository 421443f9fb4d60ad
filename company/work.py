"""The worker's loop over the long jobs, and the heartbeat that shows one is still at it."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Protocol

from django.conf import settings
from django.db import close_old_connections, connection
from django.utils.module_loading import import_string

logger = logging.getLogger(__name__)

LOOK_EVERY_S = 1.0
AFTER_TROUBLE_S = 10.0
BEAT_EVERY_S = 10.0


class Job(Protocol):
    """Does the next job of its sort, if one waits, and says whether there was one.

    `stop()` turns true when the worker must end: the job then keeps its best so far and returns.
    """

    def __call__(self, *, stop: Callable[[], bool]) -> bool: ...


def find_jobs() -> list[Job]:
    return [import_string(path) for path in settings.WORKER_JOBS]


def work_until(stopping: threading.Event, jobs: list[Job]) -> int:
    """Does jobs as they come until `stopping` is set; returns how many it did.

    A job that fails is logged and does not take the others down with it.
    """
    done = 0
    while not stopping.is_set():
        close_old_connections()
        found = False
        for job in jobs:
            try:
                did = job(stop=stopping.is_set)
            except Exception:
                logger.exception("A job failed.")
                stopping.wait(AFTER_TROUBLE_S)
            else:
                found, done = found or did, done + did
        if not found:
            stopping.wait(LOOK_EVERY_S)
    return done


@contextmanager
def beating(beat: Callable[[], None], every_s: float = BEAT_EVERY_S) -> Iterator[None]:
    """Calls `beat()` at once and then every so often from a thread of its own, until left.

    For a job whose solver is silent for minutes: its row's heartbeat goes on all the same.
    """
    ended = threading.Event()

    def keep_on() -> None:
        try:
            while not ended.wait(every_s):
                try:
                    beat()
                except Exception:
                    logger.exception("A heartbeat failed.")
        finally:
            connection.close()

    beat()
    thread = threading.Thread(target=keep_on, name="heartbeat", daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()
