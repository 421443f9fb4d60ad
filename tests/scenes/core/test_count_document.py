"""The document of a count, exactly as scripts read it."""

from __future__ import annotations

import json

from scenes.core.count_document import NamedCharacter, make_count_document
from scenes.core.counting import count_figures
from scenes.core.naming import Names
from scenes.core.plot import Appearance, ChangeRule, Plot, Scene

SCENES = (Scene(11, "1", 240, gap_s=60), Scene(12, "3a", 330))
WORN = (
    Appearance(1, "j60", "coat", 11, from_place="left", to_place="right"),
    Appearance(2, "j60", "oilskin", 12, enters_s=90, leaves_s=320),
    Appearance(3, "heron", None, 12, enters_s=-30, copies=2),
)
PLOT = Plot(
    SCENES, WORN, (ChangeRule("j60", "coat", "oilskin", 90),), guises=("j9", "j60", "heron")
)
NAMES = Names(
    guises={"j9": "Jory at nine", "j60": "Jory at sixty", "heron": "the Heron"},
    costumes={"coat": "Coat", "oilskin": "oilskin"},
    scenes={11: "1", 12: "3a"},
)
CHARACTERS = (
    NamedCharacter("Jory Tarrow", (("j9", "at nine"), ("j60", "at sixty"))),
    NamedCharacter("the Heron", (("heron", ""),)),
)
HERON_ON = {
    "scene": "3a", "costume": "", "enters": -0.5, "leaves": 5.5, "from_place": "", "to_place": "",
}  # fmt: skip


def test_the_document_is_as_scripts_expect_it() -> None:
    document = make_count_document("The Salt Almanac", PLOT, count_figures(PLOT), CHARACTERS, NAMES)
    assert document == {
        "show": "The Salt Almanac",
        "figures": 3,
        "proved": True,
        "characters": [
            {
                "character": "Jory Tarrow",
                "figures": 1,
                "guises": [
                    {
                        "guise": "at nine",
                        "figures": 0,
                        "reason": "not in any scene yet",
                        "tracks": [],
                    },
                    {
                        "guise": "at sixty",
                        "figures": 1,
                        "reason": "one figure plays all of it",
                        "tracks": [
                            {
                                "appearances": [
                                    {
                                        "scene": "1",
                                        "costume": "Coat",
                                        "enters": 0,
                                        "leaves": 4,
                                        "from_place": "left",
                                        "to_place": "right",
                                    },
                                    {
                                        "scene": "3a",
                                        "costume": "oilskin",
                                        "enters": 1.5,
                                        "leaves": 320 / 60,
                                        "from_place": "",
                                        "to_place": "",
                                    },
                                ],
                                "changes": 1,
                            }
                        ],
                    },
                ],
            },
            {
                "character": "the Heron",
                "figures": 2,
                "guises": [
                    {
                        "guise": "",
                        "figures": 2,
                        "reason": "both in scene 3a at once",
                        "tracks": [
                            {"appearances": [HERON_ON], "changes": 0},
                            {"appearances": [HERON_ON], "changes": 0},
                        ],
                    }
                ],
            },
        ],
    }
    assert json.loads(json.dumps(document)) == document
