"""Show files, Patterson files, the command: what is read, and what is said of what cannot be."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from builds.core.planning.__main__ import main
from builds.core.planning.files import FileFault, read_file, read_patterson, read_show

SHOW: dict[str, Any] = {
    "format": "show 1",
    "name": "show-1-2-1",
    "first_day": "2027-01-04",
    "opening": 9000,
    "horizon": 20000,
    "people": [
        {"id": "lead", "lead": True, "crafts": ["carve", "rig"], "work": [[540, 840], [840, 900]]},
        {"id": "helper-1", "crafts": ["sew"], "work": [[600, 1000], [2040, 2440]]},
    ],
    "equipment": [{"id": "frame", "capacity": 1}],
    "guises": [],
    "figures": [{"id": "F001", "guise": "G01", "needed_by": 2000, "weight": 3}],
    "steps": [
        {
            "id": "F001.blanks",
            "figure": "F001",
            "craft": "carve",
            "minutes": 60,
            "after": [],
            "fixed": {"person": "lead", "second": None, "start": -90, "finish": -30},
        },
        {
            "id": "F001.carve",
            "figure": "F001",
            "craft": "carve",
            "minutes": 60,
            "lead": True,
            "one_go": True,
            "not_before": 500,
            "after": [["F001.blanks", 0]],
        },
        {
            "id": "F001.string",
            "figure": "F001",
            "craft": "rig",
            "minutes": 200,
            "second": "sew",
            "equipment": "frame",
            "hold": 30,
            "after": [["F001.carve", 10]],
        },
    ],
}
# Three activities and two dummies: durations 3, 4, 2; capacity 2; the second waits for
# the first, the third needs all of it: nothing fits beside it, so 9 is the least.
PATTERSON = """5 1
2
0 0 2 2 4
3 1 1 3
4 1 1 5
2 2 1 5
0 0 0
"""


@pytest.fixture
def show(tmp_path: Path) -> Path:
    path = tmp_path / "show-1-2-1.json"
    path.write_text(json.dumps(SHOW), encoding="utf-8")
    return path


def test_show_is_read(show: Path) -> None:
    problem = read_file(show)
    lead, helper = problem.people
    assert (lead.is_lead, lead.work) == (True, ((540, 900),))
    assert helper.crafts == {"sew"}
    blanks, carve, string = problem.steps
    assert blanks.fixed is not None
    assert blanks.fixed.start == -90
    assert (carve.lead_only, carve.one_go, carve.not_before) == (True, True, 500)
    assert string.second == ("helper-1",)
    assert (string.holds[0].equipment, string.holds[0].hold_min) == ("frame", 30)
    assert problem.figures[0].weight == 3
    assert problem.problems() == []


def test_command_prints_one_line_for_each_file(
    show: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rcp = tmp_path / "tiny.rcp"
    rcp.write_text(PATTERSON, encoding="utf-8")
    assert main([str(show), str(rcp), "--seconds", "0.05", "--seed", "3"]) == 0
    first, second = (json.loads(line) for line in capsys.readouterr().out.splitlines())
    assert list(first) == ["file", "makespan", "lateness", "bound", "status", "steps"]
    assert first["steps"][2] == {
        "id": "F001.string",
        "person": "lead",
        "second": "helper-1",
        "start": 610,
        "finish": 810,
    }
    assert (first["makespan"], first["status"]) == (810, "proved")
    assert list(second) == ["file", "makespan", "lateness", "bound", "status", "starts"]
    assert second["makespan"] == 9
    assert len(second["starts"]) == 5


def test_command_goes_on_after_a_wrong_file(
    show: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wrong = tmp_path / "wrong.json"
    wrong.write_text("{", encoding="utf-8")
    assert main([str(wrong), str(show), "--seconds", "0"]) == 1
    said = capsys.readouterr()
    assert "wrong.json: line 1 is not JSON" in said.err
    assert len(said.out.splitlines()) == 1


def test_command_says_why_there_is_no_plan(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "nobody.json"
    path.write_text(json.dumps({**SHOW, "people": SHOW["people"][1:]}), encoding="utf-8")
    assert main([str(path)]) == 1
    said = capsys.readouterr()
    assert "F001.blanks names lead, who is not among the people." in said.err
    line = json.loads(said.out)
    assert (line["status"], line["makespan"], line["steps"]) == ("none", None, [])
    assert line["reasons"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the first two lines of a Patterson file are missing"),
        ("3 1", "the first two lines of a Patterson file are missing"),
        ("1 1 x", "whole numbers alone"),
        ("2 1\n4\n0 0 1", "activity 1 of 2 is cut short"),
        ("2 1\n4\n0 0 1 7\n0 0 0", "activity 1 has the unknown successor 7"),
    ],
)
def test_broken_patterson_file_is_refused(text: str, said: str) -> None:
    with pytest.raises(FileFault, match=said):
        read_patterson(text, "broken.rcp")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"format": "show 2"}, "its 'format' should be 'show 1'"),
        ({"people": None}, "a value has the wrong shape"),
        ({"people": [{"id": "lead"}]}, "the key 'work' is missing"),
        ({"horizon": "soon"}, "a value has the wrong shape"),
        ({"steps": [{"id": "a", "minutes": 5, "craft": "sew", "after": [1]}]}, "wrong shape"),
    ],
)
def test_broken_show_is_refused(changes: dict[str, Any], said: str) -> None:
    with pytest.raises(FileFault, match=said):
        read_show(json.dumps({**SHOW, **changes}), "broken.json")


def test_missing_or_strange_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileFault, match="it cannot be read"):
        read_file(tmp_path / "none.json")
    strange = tmp_path / "plan.txt"
    strange.write_text("a", encoding="utf-8")
    with pytest.raises(FileFault, match=r"should end in \.json or \.rcp"):
        read_file(strange)
    rubbish = tmp_path / "rubbish.json"
    rubbish.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(FileFault, match="it is not UTF-8 text"):
        read_file(rubbish)


def test_nought_seconds_and_nonsense_seconds(show: Path) -> None:
    assert main([str(show), "--seconds", "0"]) == 0
    with pytest.raises(SystemExit):
        main([str(show), "--seconds", "-1"])
