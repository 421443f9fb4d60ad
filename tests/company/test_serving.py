"""Ports, addresses, the worker that is kept alive, and `serve` itself as a process."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings as project

from company import serving

HOST = "127.0.0.1"


@pytest.fixture
def taken() -> Iterator[int]:
    """A port that somebody else listens on."""
    with socket.create_server((HOST, 0)) as other:
        yield other.getsockname()[1]


def test_port_free(taken):
    free = taken + 1
    with serving.bind_port(HOST, free, tries=10) as bound:
        assert free <= bound.getsockname()[1] < free + 10


def test_port_taken_gives_the_next_free(taken):
    with serving.bind_port(HOST, taken) as bound:
        assert taken < bound.getsockname()[1] < taken + serving.PORTS_TRIED


def test_bound_port_is_nobody_else_s(taken):
    with serving.bind_port(HOST, taken) as first, serving.bind_port(HOST, taken) as second:
        assert first.getsockname()[1] != second.getsockname()[1]


def test_only_port_taken_is_one_sentence(taken):
    with pytest.raises(serving.CannotServe, match=f"port {taken} .*--port NUMBER"):
        serving.bind_port(HOST, taken, tries=1)


@pytest.mark.parametrize("port", [65536, 70000])
def test_port_that_cannot_be(port):
    with pytest.raises(serving.CannotServe, match="there is no such port"):
        serving.bind_port(HOST, port)


def test_ports_end_with_the_last_one():
    with serving.bind_port(HOST, 65535) as bound:
        assert bound.getsockname()[1] == 65535


@pytest.mark.parametrize(
    ("host", "address"),
    [
        ("127.0.0.1", "http://127.0.0.1:8123"),
        ("0.0.0.0", "http://127.0.0.1:8123"),
        ("192.168.1.20", "http://192.168.1.20:8123"),
        ("::1", "http://[::1]:8123"),
    ],
)
def test_links_follow_the_port(settings, monkeypatch, host, address):
    monkeypatch.setenv("SITE_URL", "")
    settings.IS_SITE_URL_SET = False
    settings.SITE_URL = "http://127.0.0.1:8000"
    assert serving.adopt_address(host, 8123) == address
    assert settings.SITE_URL == os.environ["SITE_URL"] == address
    assert address.removeprefix("http://").removesuffix(":8123") in settings.ALLOWED_HOSTS


def test_links_keep_the_address_that_was_given(settings):
    settings.IS_SITE_URL_SET = True
    settings.SITE_URL = "https://strung.example"
    assert serving.adopt_address("127.0.0.1", 8123) == "https://strung.example"
    assert settings.SITE_URL == "https://strung.example"


def wait_until(true, within_s: float = 20.0) -> None:
    ends = time.monotonic() + within_s
    while not true():
        assert time.monotonic() < ends, "waited in vain"
        time.sleep(0.02)


# A worker that notes each start and then, like the real one, waits for its pipe to close.
NOTING = """
import signal, sys
signal.signal(signal.SIGTERM, signal.SIG_IGN)
open(sys.argv[1], "a").write(".")
sys.stdin.read()
"""


def test_worker_is_started_again_and_ends_when_told(tmp_path, monkeypatch):
    monkeypatch.setattr(serving, "FIRST_PAUSE_S", 0.01)
    starts = tmp_path / "starts"
    said: list[str] = []
    worker = serving.Worker([sys.executable, "-c", NOTING, str(starts)], said.append)
    worker.start()
    wait_until(lambda: starts.exists() and len(starts.read_text()) == 1)
    worker.child.kill()
    wait_until(lambda: len(starts.read_text()) == 2)
    assert said == ["The worker ended (-9); starting it again."]

    worker.stop()
    assert worker.child.returncode == 0
    assert not worker.watcher.is_alive()
    assert worker.starts == 2


def test_worker_that_will_not_end_is_made_to(tmp_path, monkeypatch):
    monkeypatch.setattr(serving, "WORKER_ENDS_WITHIN_S", 0.2)
    deaf = """
import signal, sys, time
signal.signal(signal.SIGTERM, signal.SIG_IGN)
open(sys.argv[1], "w").close()
time.sleep(600)
"""
    started = tmp_path / "started"
    worker = serving.Worker([sys.executable, "-c", deaf, str(started)], print)
    worker.start()
    wait_until(started.exists)
    worker.stop()
    assert worker.child.returncode == -signal.SIGKILL


def test_worker_that_is_still_starting_ends_at_once():
    slow = "import time; time.sleep(600)"
    worker = serving.Worker([sys.executable, "-c", slow], print)
    worker.start()
    wait_until(lambda: worker.child is not None)
    worker.stop()
    assert worker.child.returncode == -signal.SIGTERM


def manage(data_dir: Path, *words: str) -> dict:
    """How to run a command of the project in a process and a data folder of its own."""
    ours = ("SITE_URL", "TODAY", "DEBUG", "DATABASE_URL", "SECRET_KEY")
    surroundings = {key: value for key, value in os.environ.items() if key not in ours}
    surroundings |= {"DATA_DIR": str(data_dir), "DJANGO_SETTINGS_MODULE": "company.settings"}
    surroundings.pop("PYTHONUNBUFFERED", None)
    command = [sys.executable, str(Path(project.BASE_DIR) / "manage.py"), *words]
    return {"args": command, "env": surroundings, "text": True}


@pytest.fixture(scope="module")
def first_start(tmp_path_factory) -> Path:
    """A data folder as the first start leaves it, so that the others are quick."""
    folder = tmp_path_factory.mktemp("first")
    subprocess.run(**manage(folder, "migrate", "-v0"), check=True, timeout=120)
    return folder


def test_a_company_can_be_started_before_anything_was_served(tmp_path):
    """The first step of the readme, on a machine that has never run the program."""
    started = subprocess.run(
        **manage(tmp_path, "start_company", "Driftmoor Figure Theatre", "--lead", "Ines"),
        capture_output=True,
        timeout=120,
    )

    assert started.returncode == 0, started.stderr
    assert "Driftmoor Figure Theatre is made" in started.stdout
    assert "http://127.0.0.1:8000/in/" in started.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("sign_in_link", "Ines"), "Nobody signs in as 'Ines'. There are: none yet."),
        (("plan_builds", "The Salt Almanac"), "There is no show called 'The Salt Almanac'"),
        (
            ("print_sheets", "The Salt Almanac", "--out", "sheets"),
            "There is no show called 'The Salt Almanac'",
        ),
    ],
)
def test_a_command_on_a_fresh_machine_says_that_nothing_is_there(tmp_path, words, said):
    asked = subprocess.run(**manage(tmp_path, *words), capture_output=True, timeout=120)

    assert asked.returncode == 1
    assert said in asked.stderr
    assert "Traceback" not in asked.stderr


@pytest.fixture
def served(tmp_path, first_start) -> Iterator[tuple[subprocess.Popen, str]]:
    with serving.bind_port(HOST, 8400, tries=200) as free:
        port = free.getsockname()[1]
    shutil.copytree(first_start, tmp_path, dirs_exist_ok=True)
    with subprocess.Popen(
        **manage(tmp_path, "serve", "--port", str(port)),
        stdout=subprocess.PIPE,
        start_new_session=True,
    ) as process:
        lines = []
        for line in process.stdout:
            lines.append(line)
            if "Ctrl-C" in line:
                break
        assert f"Strung is at http://127.0.0.1:{port} (Ctrl-C ends it).\n" in lines
        yield process, f"http://127.0.0.1:{port}"
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)


def children_of(process: subprocess.Popen) -> list[int]:
    """Of every thread: the one that watches the worker has it as its child."""
    lists = Path(f"/proc/{process.pid}/task").glob("*/children")
    return [int(word) for file in lists for word in file.read_text().split()]


def is_alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return "zombie" not in Path(f"/proc/{pid}/status").read_text()


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="reads /proc")
@pytest.mark.parametrize("way", [signal.SIGINT, signal.SIGTERM], ids=["Ctrl-C", "SIGTERM"])
def test_serve_serves_hashed_files_and_ends_with_its_worker(served, way):
    process, site = served
    page = urllib.request.urlopen(f"{site}/sign-in/").read().decode()
    sheets = re.findall(r'href="(/static/[^"]+\.css)"', page)
    assert sheets
    for sheet in sheets:
        assert re.search(r"\.[0-9a-f]{12}\.css$", sheet), sheet
        answer = urllib.request.urlopen(site + sheet)
        assert "immutable" in answer.headers["Cache-Control"]
    wait_until(lambda: children_of(process) != [])
    (worker,) = children_of(process)

    # As a terminal does it: to server and worker at once.
    os.killpg(process.pid, way) if way == signal.SIGINT else process.send_signal(way)
    assert process.wait(timeout=20) == 0
    assert not is_alive(worker)
    with pytest.raises(urllib.error.URLError):
        urllib.request.urlopen(f"{site}/sign-in/", timeout=2)


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="reads /proc")
def test_worker_does_not_outlive_a_server_that_was_killed(served):
    process, _ = served
    wait_until(lambda: children_of(process) != [])
    (worker,) = children_of(process)
    process.kill()
    process.wait()
    wait_until(lambda: not is_alive(worker))


def test_serve_says_that_the_port_is_taken(taken, tmp_path):
    told = subprocess.run(
        **manage(tmp_path, "serve", "--port", str(taken)), capture_output=True, timeout=60
    )
    assert told.returncode == 1
    assert f"port {taken}" in told.stderr
    assert "Traceback" not in told.stderr


def test_serve_refuses_a_damaged_database(tmp_path):
    (tmp_path / "strung.sqlite3").write_bytes(b"This was a database once. " * 400)
    with serving.bind_port(HOST, 8600, tries=200) as free:
        port = free.getsockname()[1]
    told = subprocess.run(
        **manage(tmp_path, "serve", "--port", str(port)), capture_output=True, timeout=60
    )
    assert told.returncode == 1
    assert "The database cannot be opened" in told.stderr
    assert "Traceback" not in told.stderr


def test_serve_finds_a_broken_page_of_the_database(tmp_path, first_start):
    shutil.copytree(first_start, tmp_path, dirs_exist_ok=True)
    file = tmp_path / "strung.sqlite3"
    content = bytearray(file.read_bytes())
    content[8192:40960] = b"\xff" * 32768
    file.write_bytes(content)
    with serving.bind_port(HOST, 8800, tries=200) as free:
        port = free.getsockname()[1]
    told = subprocess.run(
        **manage(tmp_path, "serve", "--port", str(port)), capture_output=True, timeout=60
    )
    assert told.returncode == 1
    assert re.search(r"is damaged|cannot be opened", told.stderr)
    assert "Traceback" not in told.stderr
