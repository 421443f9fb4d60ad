"""What is loaded for good is left out of later searches for garbage."""

import gc
import threading

from company.management.commands import work
from company.memory import keep_loaded


def test_what_is_loaded_is_set_aside_and_what_comes_later_is_not():
    class Loaded:
        pass

    loaded = Loaded()
    try:
        keep_loaded()
        later = Loaded()
        found = {id(one) for one in gc.get_objects()}
        assert id(loaded) not in found
        assert id(later) in found
    finally:
        gc.unfreeze()
    assert id(loaded) in {id(one) for one in gc.get_objects()}


def test_the_worker_sets_aside_what_it_has_loaded(monkeypatch):
    frozen = []

    def look(stopping: threading.Event, jobs: object) -> int:
        frozen.append(gc.get_freeze_count())
        return 0

    monkeypatch.setattr(work, "work_until", look)
    monkeypatch.setattr(work.signal, "signal", lambda *_: None)
    try:
        work.Command().handle(child=False)
    finally:
        gc.unfreeze()
    assert frozen[0] > 10_000
