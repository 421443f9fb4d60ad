"""The invented story as plain data: people and hours, scenes, roles, plot, and how far work is.

Days are counted from the Monday of the week in which the demo is laid, so that the same weekday
always shows the same bench. Everything the pages say of it is computed, nothing is typed here.
"""

from __future__ import annotations

from dataclasses import dataclass

COMPANY = "Driftmoor Figure Theatre"
SHOW = "The Salt Almanac"
TIME_ZONE = "Europe/London"
LEAD = "Ines"
FIRST_WEEK = -30  # weeks before the Monday of this week
LAST_LOOK = 1000  # rounds of improvement of the plan that stands on the wall
BENCH_WEEK = -20  # when the work at the bench began
OPENING_DAYS = 99  # days after it
NEEDED_BY_DAYS = 82

MONDAY, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = range(5)


@dataclass(frozen=True)
class Person:
    """A maker: crafts, marks, and stretches as (weekday, from, to) in hours of the day."""

    name: str
    crafts: tuple[str, ...]
    hours: tuple[tuple[int, float, float], ...]
    marks: tuple[str, ...] = ()


EVERYTHING = (
    "draw",
    "sculpt",
    "mould",
    "carve",
    "woodwork",
    "joint",
    "paint",
    "hair",
    "sew",
    "string",
)
PEOPLE = (
    Person(
        LEAD,
        EVERYTHING,
        tuple(stretch for day in range(5) for stretch in ((day, 9, 13), (day, 14, 17))),
        ("is_saw_trained",),
    ),
    Person(
        "Tomas",
        ("sculpt", "mould", "woodwork", "paint", "string"),
        tuple(s for day in (TUESDAY, WEDNESDAY) for s in ((day, 10, 13), (day, 13.5, 17))),
        ("is_saw_trained",),
    ),
    Person(
        "Priya",
        ("sculpt", "paint", "hair", "sew", "string"),
        tuple(s for day in (MONDAY, THURSDAY) for s in ((day, 10, 13), (day, 13.5, 17))),
        ("has_latex_allergy",),
    ),
)
READER = "Odile"  # the second performer looks, and is no maker

# Whose, first and last day from this Monday, the hours of each (None: the whole day), word.
# The lead is in on every weekday of this week and the last, so that the mould always dries.
OTHER_WORK = (
    (LEAD, 1, 1, (14, 17), "writing"),
    (LEAD, 8, 8, None, "writing"),
    (LEAD, 15, 15, None, "writing"),
    (LEAD, 22, 22, None, "writing"),
    (LEAD, 35, 37, None, "away on tour: Ferry Songs"),
    (LEAD, 70, 71, None, "rehearsal"),
)
DAYS_OFF = ((None, 49, 53, "the workshop is closed"), ("Tomas", 28, 30, "away"))

# Label, title, act, minutes, gap after, interval, needed by (days from this Monday).
SCENES = (
    ("1", "The tide table", "One", 5, 0, False, None),
    ("2", "The pier", "One", 8, 0, False, None),
    ("3", "The ferry", "One", 6, 0.5, False, None),
    ("4", "Kitchen", "One", 9, 0, False, None),
    ("5", "Storm", "One", 7, 20, True, 75),
    ("6", "Thirty years on", "Two", 8, 0, False, None),
    ("7", "The heron", "Two", 7, 0, False, None),
    ("8", "Customs shed", "Two", 8, 0, False, None),
    ("9", "Night crossing", "Two", 10, 0.5, False, None),
    ("10", "Salt", "Two", 7, 0, False, 37),
)


@dataclass(frozen=True)
class GuiseStory:
    """A guise: its costumes with sewing hours, sizes, words, and whose head or body it borrows."""

    role: str
    letters: str
    guise: str
    kind: str
    costumes: tuple[tuple[str, float | None], ...]
    height_mm: int
    head_mm: int
    words: str
    colours: str
    has_working: bool = False


GUISES = (
    GuiseStory(
        "Jory Tarrow",
        "J",
        "at nine",
        "string",
        (("smock", 8), ("oilskin", 14)),
        430,
        84,
        "quick, hungry, bright",
        "flesh: white 6, ochre 1, a touch of red",
    ),
    GuiseStory(
        "Jory Tarrow",
        "J",
        "at thirty",
        "string",
        (("grey coat", 25),),
        560,
        92,
        "tired, upright, proud",
        "flesh: white 6, ochre 2, raw umber 1",
    ),
    GuiseStory(
        "Jory Tarrow",
        "J",
        "at sixty",
        "string",
        (("pilot coat", 25), ("nightshirt", 9)),
        540,
        92,
        "wary, salt-stiff, kind",
        "flesh: white 6, ochre 2, burnt umber 1, some green",
    ),
    GuiseStory(
        "Captain Pell",
        "P",
        "",
        "string",
        (("uniform", 28), ("drowned", 16)),
        590,
        96,
        "broad, loud, afraid",
        "flesh: white 5, red 1, ochre 1; buttons brass",
    ),
    GuiseStory(
        "The Heron",
        "H",
        "",
        "rod",
        (("feathers", 30),),
        720,
        110,
        "still, sudden, old",
        "grey 5, white 3; bill ochre 2, umber 1",
        has_working=True,
    ),
    GuiseStory(
        "Bartle the ferryman",
        "B",
        "",
        "string",
        (("apron", 7), ("tarpaulin", 12)),
        520,
        94,
        "round, slow, sly",
        "flesh: white 5, ochre 2, red 1",
    ),
    GuiseStory(
        "Sister Quill",
        "Q",
        "",
        "string",
        (("habit", 16),),
        550,
        90,
        "thin, dry, exact",
        "flesh: white 7, ochre 1; habit black",
    ),
    GuiseStory(
        "Gulls",
        "G",
        "",
        "hand",
        (("plain", 7),),
        300,
        60,
        "greedy, many, rude",
        "white 8, grey 1; bill yellow",
    ),
)

# Scene, role, guise, costume (None: not decided), enters, leaves, from, to, hold, copies.
PLOT = (
    ("1", "Jory Tarrow", "at sixty", "pilot coat", None, None, "left", "left", "two hands", 1),
    ("2", "Jory Tarrow", "at nine", "smock", None, None, "left", "right", "two hands", 1),
    ("3", "Jory Tarrow", "at nine", "oilskin", 1, None, "left", "right", "two hands", 1),
    ("4", "Jory Tarrow", "at nine", "smock", None, None, "right", "left", "two hands", 1),
    ("5", "Jory Tarrow", "at nine", "oilskin", None, None, "right", "left", "two hands", 1),
    ("6", "Jory Tarrow", "at thirty", "grey coat", None, None, "left", "left", "two hands", 1),
    ("8", "Jory Tarrow", "at thirty", "grey coat", 1, None, "left", "right", "two hands", 1),
    ("9", "Jory Tarrow", "at sixty", "nightshirt", None, None, "left", "right", "two hands", 1),
    ("10", "Jory Tarrow", "at sixty", "pilot coat", None, None, "right", "right", "two hands", 1),
    ("3", "Captain Pell", "", "uniform", None, None, "right", "right", "two hands", 1),
    ("5", "Captain Pell", "", "uniform", 2, None, "right", "left", "two hands", 1),
    ("8", "Captain Pell", "", "uniform", None, None, "left", "left", "two hands", 1),
    ("9", "Captain Pell", "", "drowned", 3, None, "left", "left", "one hand", 1),
    ("7", "The Heron", "", "feathers", None, None, "left", "right", "two hands", 1),
    ("10", "The Heron", "", "feathers", 4, None, "right", "right", "one hand", 1),
    ("3", "Bartle the ferryman", "", "apron", None, None, "left", "left", "two hands", 1),
    ("6", "Bartle the ferryman", "", "tarpaulin", None, None, "left", "left", "two hands", 1),
    ("9", "Bartle the ferryman", "", "tarpaulin", None, None, "left", "right", "two hands", 1),
    ("4", "Sister Quill", "", "habit", None, None, "left", "left", "two hands", 1),
    ("6", "Sister Quill", "", "habit", 2, None, "left", "left", "two hands", 1),
    ("5", "Gulls", "", "plain", None, None, "left", "right", "one hand", 2),
    ("7", "Gulls", "", "plain", 3, None, "right", "right", "one hand", 2),
)

# Role, guise, from, to, minutes, people. The second is longer than any gap: allowed, and said.
CHANGES = (
    ("Bartle the ferryman", "", "apron", "tarpaulin", 4, 1),
    ("Jory Tarrow", "at sixty", "nightshirt", "pilot coat", 3, 1),
)

# How far each figure is: the last stages done, by role, guise and costume. What comes before
# them is done too.
DONE: dict[tuple[str, str, str], tuple[str, ...]] = {
    ("Captain Pell", "", "uniform"): ("bag",),
    ("Sister Quill", "", "habit"): ("bag",),
    ("Jory Tarrow", "at nine", "smock"): ("string",),
    ("Jory Tarrow", "at nine", "oilskin"): ("prime", "pattern", "control"),
    ("Bartle the ferryman", "", "apron"): ("paint", "toile", "control"),
    ("Gulls", "", "plain"): ("prime", "sew"),
    ("Jory Tarrow", "at thirty", "grey coat"): ("joint", "neck-block", "shoes", "toile"),
    ("Jory Tarrow", "at sixty", "pilot coat"): ("neck-block", "carve", "shoes"),
    ("Jory Tarrow", "at sixty", "nightshirt"): ("saw-blanks",),
    ("Captain Pell", "", "drowned"): ("trim", "saw-blanks"),
    ("The Heron", "", "feathers"): ("pass-head", "drawing"),
}


@dataclass(frozen=True)
class StepStory:
    """A step picked out by its figure's role, guise and costume and its stage."""

    role: str
    guise: str
    costume: str
    stage: str
    who: str = LEAD
    hours: float = 0
    words: str = ""


JUST_MOULDED = StepStory("The Heron", "", "feathers", "mould-head", LEAD, 6)
FINISHED_NOT_PASSED = StepStory("Jory Tarrow", "at thirty", "grey coat", "trial-hang", LEAD, 3)
# So far along that the day on which they are pinned up would finish them: they are left over.
UNDER_WAY = (
    StepStory("Jory Tarrow", "at sixty", "pilot coat", "joint", LEAD, 6),
    StepStory("Jory Tarrow", "at nine", "oilskin", "paint", "Tomas", 4),
)
CALLS_LEAD = StepStory(
    "Jory Tarrow",
    "at nine",
    "oilskin",
    "paint",
    "Tomas",
    0,
    "The primer shows through at the left temple. One more coat?",
)

# What the lead has written into the plot since: a second heron in scene 7, Sister Quill in a
# costume not decided yet, and one gull fewer.
SECOND_HERON = ("7", "The Heron", "")
UNDECIDED = ("9", "Sister Quill", "")
ONE_GULL = (("5", "Gulls", ""), ("7", "Gulls", ""))

# Sister Quill has left her convent since: the figure that was ready in the habit is re-costumed.
NEW_COSTUME = ("Sister Quill", "", "travelling cloak", 18)
NEW_COSTUME_IN = ("4", "6")
# A head in case the boy's is dropped on the road.
SPARE_HEAD = ("Jory Tarrow", "at nine", "smock")

# What the lead wants sooner than any rehearsal does, in days from this Monday: pictures for the
# poster. With its mould still drying it cannot be in time, whatever the plan does.
WANTED_BY = {("The Heron", "", "feathers"): 14}

PLACES = {
    ("Captain Pell", "", "uniform"): "rail, hook 2",
    ("Sister Quill", "", "habit"): "rail, hook 3",
    ("Jory Tarrow", "at nine", "smock"): "stringing frame",
    ("Jory Tarrow", "at nine", "oilskin"): "shelf B, face up",
    ("Jory Tarrow", "at sixty", "pilot coat"): "bench by the window",
}
