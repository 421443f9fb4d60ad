"""All rows of a problem on one sheet: a single row of whole numbers that decoders index.

One row instead of forty keeps the loops quick when they are compiled (passing one array costs
nothing, passing forty does) and is the same list in plain Python. The first places hold sizes and
where each row begins: `t[t[MINUTES] + i]` is the minutes of step i.
"""

from __future__ import annotations

from typing import Final

from builds.core.planning.tables import Numbers, Tables
from builds.core.planning.taken import BEFORE_ALL

N: Final = 0
HORIZON: Final = 1
DAYS: Final = 2
PEOPLE: Final = 3
GEAR: Final = 4
PARTS: Final = 5
FIGURES: Final = 6
WIDTH: Final = 7
MARKS: Final = 8
ALL_DONE: Final = 9
BEATS: Final = 10
OPTIONS: Final = 11
# how much later two people may be done with a step that they then need not pause, in minutes
GRACE: Final = 12

# where each row begins, one entry a step, an option, a hold, a calendar, a slot, a person ...
MINUTES: Final = 16
ONE_GO: Final = 17
RELEASE: Final = 18
PART: Final = 19
PRED_AT: Final = 20
PRED: Final = 21
PRED_WAIT: Final = 22
SUCC_AT: Final = 23
SUCC: Final = 24
SUCC_WAIT: Final = 25
OPT_AT: Final = 26
OPT_PERSON: Final = 27
OPT_SECOND: Final = 28
OPT_CAL: Final = 29
HOLD_AT: Final = 30
HOLD_OF: Final = 31
HOLD_AMOUNT: Final = 32
HOLD_PRE: Final = 33
HOLD_POST: Final = 34
CAL_DAY: Final = 35
CAL_END: Final = 36
SLOT_FROM: Final = 37
SLOT_TO: Final = 38
CAPACITY: Final = 39
BASE_PART: Final = 40
BASE_FROM: Final = 41
BASE_TO: Final = 42
BASE_N: Final = 43
BASE_AT: Final = 44
BASE_USED: Final = 45
BASE_MARKS: Final = 46
BEAT: Final = 47
FIGURE: Final = 48
DUE: Final = 49
WEIGHT: Final = 50
FIGURE_DONE: Final = 51
# rows that change while steps are placed: a person's busy times, marks of equipment, hands of parts
PART_PERSON: Final = 52
BUSY_FROM: Final = 53
BUSY_TO: Final = 54
BUSY_N: Final = 55
MARK_AT: Final = 56
MARK_USED: Final = 57
MARK_N: Final = 58
FIGURE_READY: Final = 59
USER_AT: Final = 60
USER: Final = 61
USER_POST: Final = 62
HEADER: Final = 64
USUAL_GRACE_MIN: Final = 1440


def lay_sheet(t: Tables) -> Numbers:
    """The sheet of some tables, with nothing placed but the fixed steps."""
    rows: dict[int, Numbers] = {
        MINUTES: t.minutes,
        ONE_GO: t.one_go,
        RELEASE: t.release,
        PART: t.part,
        PRED_AT: t.pred_at,
        PRED: t.pred,
        PRED_WAIT: t.pred_wait,
        SUCC_AT: t.succ_at,
        SUCC: t.succ,
        SUCC_WAIT: t.succ_wait,
        OPT_AT: t.opt_at,
        OPT_PERSON: t.opt_person,
        OPT_SECOND: t.opt_second,
        OPT_CAL: t.opt_cal,
        HOLD_AT: t.hold_at,
        HOLD_OF: t.hold_of,
        HOLD_AMOUNT: t.hold_amount,
        HOLD_PRE: t.hold_pre,
        HOLD_POST: t.hold_post,
        CAL_DAY: t.cal_day,
        CAL_END: t.cal_end,
        SLOT_FROM: t.slot_from,
        SLOT_TO: t.slot_to,
        CAPACITY: t.capacity,
        BASE_PART: t.part_person,
        BASE_FROM: _flat(t.busy_from),
        BASE_TO: _flat(t.busy_to),
        BASE_N: t.busy_n,
        BASE_AT: _flat(t.mark_at),
        BASE_USED: _flat(t.mark_used),
        BASE_MARKS: t.mark_n,
        BEAT: t.beats,
        FIGURE: t.figure,
        DUE: t.due,
        WEIGHT: t.weight,
        FIGURE_DONE: t.figure_done,
        PART_PERSON: t.part_person,
        BUSY_FROM: _flat(t.busy_from),
        BUSY_TO: _flat(t.busy_to),
        BUSY_N: t.busy_n,
        MARK_AT: _flat(t.mark_at),
        MARK_USED: _flat(t.mark_used),
        MARK_N: t.mark_n,
        USER_AT: t.user_at,
        USER: t.user,
        USER_POST: t.user_post,
        FIGURE_READY: [BEFORE_ALL] * len(t.due),
    }
    sheet = [0] * HEADER
    sizes = {
        N: t.n,
        HORIZON: t.horizon,
        DAYS: t.days,
        PEOPLE: t.people,
        GEAR: t.gear,
        PARTS: t.parts,
        FIGURES: len(t.due),
        WIDTH: t.width,
        MARKS: t.marks,
        ALL_DONE: t.all_done,
        BEATS: len(t.beats),
        OPTIONS: len(t.opt_person),
        GRACE: USUAL_GRACE_MIN,
    }
    for place, size in sizes.items():
        sheet[place] = size
    for place, row in rows.items():
        sheet[place] = len(sheet)
        sheet += row
    return sheet


def _flat(rows: list[Numbers]) -> Numbers:
    return [value for row in rows for value in row]
