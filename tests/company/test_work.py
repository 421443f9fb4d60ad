"""The worker's loop and the heartbeat."""

from __future__ import annotations

import threading
import time

import pytest

from company import work


@pytest.fixture
def stopping():
    return threading.Event()


@pytest.mark.django_db
def test_jobs_are_done_until_told_to_end(stopping):
    done = []

    def job(*, stop):
        assert not stop()
        done.append(len(done))
        if len(done) == 3:
            stopping.set()
            assert stop()
        return True

    assert work.work_until(stopping, [job]) == 3


@pytest.mark.django_db
def test_nothing_to_do_waits_instead_of_spinning(stopping):
    asked = []

    def idle(*, stop):
        asked.append(time.monotonic())
        if len(asked) == 2:
            stopping.set()
        return False

    assert work.work_until(stopping, [idle]) == 0
    assert asked[1] - asked[0] >= work.LOOK_EVERY_S * 0.9


@pytest.mark.django_db
def test_a_failing_job_is_logged_and_the_others_go_on(stopping, logged_errors, monkeypatch):
    monkeypatch.setattr(work, "AFTER_TROUBLE_S", 0.01)
    done = []

    def broken(*, stop):
        raise RuntimeError("no plan")

    def sound(*, stop):
        done.append(1)
        stopping.set()
        return True

    assert work.work_until(stopping, [broken, sound]) == 1
    assert done == [1]
    (record,) = logged_errors
    assert "no plan" in str(record.exc_info[1])
    logged_errors.clear()


def test_jobs_are_found_by_their_names(settings):
    settings.WORKER_JOBS = ["company.clock.now"]
    from company.clock import now

    assert work.find_jobs() == [now]


def test_heart_beats_at_once_and_on_until_left():
    beats = []
    with work.beating(lambda: beats.append(1), every_s=0.01):
        assert beats == [1]
        waited = time.monotonic() + 5
        while len(beats) < 3 and time.monotonic() < waited:
            time.sleep(0.01)
    count = len(beats)
    assert count >= 3
    time.sleep(0.05)
    assert len(beats) == count


def test_a_missed_beat_is_logged_and_the_next_one_comes(logged_errors):
    beats = []

    def beat():
        beats.append(1)
        if len(beats) == 2:
            raise RuntimeError("the database is away")

    with work.beating(beat, every_s=0.01):
        waited = time.monotonic() + 5
        while len(beats) < 3 and time.monotonic() < waited:
            time.sleep(0.01)
    assert len(beats) >= 3
    assert [record.getMessage() for record in logged_errors] == ["A heartbeat failed."]
    logged_errors.clear()
