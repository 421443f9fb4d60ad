"""All amounts of one mould together: the part, the block around it, one pour into it.

What cannot be worked out stays None and says in `asks` what is missing; a number that cannot be
right stands in `faults` by its field, with a sentence.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from builds.core.casting import volumes
from builds.core.casting.mixes import Filling, Measured, filling, is_small_batch, measure_out
from builds.core.casting.plaster import DEFAULT_WATER, LEAST_WATER, MOST_WATER, slurry_for
from builds.core.casting.shrinkage import sculpt_factor
from builds.core.casting.values import Material, Mix
from builds.core.casting.weighing import round_mix

USUAL_WASTE = 0.10  # common practice, no source
PLASTERS = ("plaster", "sealed plaster")
MOST_SECOND = 1000.0


@dataclass(frozen=True, slots=True)
class Typed:
    """What a maker typed: volumes in ml, masses in g, lengths in mm, density in g per ml.

    `way` is how the volume of the part is come by: 'known', 'water', 'weight' or 'size'. Sizes are
    those of the sculpt. `second_per_100` is water to 100 of plaster, or the second part of a mix
    to 100 of the first. Blank is None. `head_mm` is the finished height where nothing was typed.
    """

    way: str = "size"
    known_ml: float | None = None
    before_ml: float | None = None
    after_ml: float | None = None
    mass_g: float | None = None
    density: float | None = None
    length_mm: float | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    box_length_mm: float | None = None
    box_width_mm: float | None = None
    box_height_mm: float | None = None
    second_per_100: float | None = None
    waste: float = USUAL_WASTE
    stays: float | None = None
    head_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Setting:
    """What is poured into what: the materials, and how the mould is laid out.

    `parts` of the mould, `cavities` in it; `is_plaster` where the mould is mixed of plaster and
    water, whatever the company calls it. `density` of the sculpt, to weigh it by.
    """

    mould: Material | None = None
    cast: Material | None = None
    sculpt: Material | None = None
    parts: int = 2
    cavities: int = 1
    is_plaster: bool = True
    shrinkage: float | None = None


@dataclass(frozen=True, slots=True)
class Amounts:
    """What was worked out. `part_ml` is one cavity; `is_guess` where only its height is known.

    `block` are the parts of the mould's own mix for the whole mould, already as weighed;
    `pour` those of one pour into all cavities. `fill` is that pour as a volume.
    """

    part_ml: float | None = None
    is_guess: bool = False
    block_ml: float | None = None
    block: tuple[Measured, ...] = ()
    fill: Filling | None = None
    pour: tuple[Measured, ...] = ()
    is_small_batch: bool = False
    casting_g: float | None = None
    asks: tuple[str, ...] = ()
    faults: dict[str, str] = field(default_factory=dict)


def work_out(typed: Typed, setting: Setting) -> Amounts:
    """Everything that can be worked out from what was typed.

    >>> from builds.core.casting.materials import find_material
    >>> slip = find_material("cast", "neoprene slip")
    >>> found = work_out(Typed(way="water", before_ml=2000, after_ml=2860), Setting(cast=slip))
    >>> found.part_ml, round(found.fill.fill_ml), found.fill.stays_ml
    (860, 946, 215.0)
    >>> work_out(Typed(way="water", before_ml=2000, after_ml=1500), Setting()).faults["after_ml"]
    'The water must stand higher with the part under it.'
    """
    faults: dict[str, str] = {}
    asks: list[str] = []
    part_ml, is_guess = _part(typed, setting, faults, asks)
    found = Amounts(part_ml=part_ml, is_guess=is_guess)
    found = _with_block(found, typed, setting, faults, asks)
    found = _with_pour(found, typed, setting, faults, asks)
    return replace(found, asks=tuple(asks), faults=faults)


def _part(
    typed: Typed, setting: Setting, faults: dict[str, str], asks: list[str]
) -> tuple[float | None, bool]:
    ways: dict[str, Callable[[], float | None]] = {
        "known": lambda: typed.known_ml,
        "water": lambda: _by_water(typed, faults),
        "weight": lambda: _by_weight(typed, setting, faults, asks),
        "size": lambda: _by_size(typed),
    }
    found = ways[typed.way]()
    if found is not None or faults:
        return found, False
    if typed.head_mm:
        shrinkage = setting.shrinkage or 0.0
        return volumes.head_from_height(typed.head_mm * sculpt_factor(shrinkage)), True
    asks.append("Say how large the part is.")
    return None, False


def _by_water(typed: Typed, faults: dict[str, str]) -> float | None:
    if typed.before_ml is None or typed.after_ml is None:
        if typed.before_ml is not None or typed.after_ml is not None:
            missing = "after_ml" if typed.after_ml is None else "before_ml"
            faults[missing] = "Both levels are needed: before, and with the part under water."
        return None
    if typed.after_ml <= typed.before_ml:
        faults["after_ml"] = "The water must stand higher with the part under it."
        return None
    return volumes.volume_of_water(typed.before_ml, typed.after_ml)


def _by_weight(
    typed: Typed, setting: Setting, faults: dict[str, str], asks: list[str]
) -> float | None:
    if typed.mass_g is None:
        if typed.density is not None:
            faults["mass_g"] = "Say what the sculpt weighs, without its armature."
        return None
    known = setting.sculpt.density if setting.sculpt else None
    density = typed.density or (known.usual if known else None)
    if density is None:
        faults["density"] = "Say the density: nobody knows it for this material."
        return None
    if not 0.01 <= density <= 25:
        faults["density"] = "A density runs from 10 to 25 000 g per litre."
        return None
    if typed.density is None:
        asks.append("The density is from the table of materials: weigh a litre of it to be sure.")
    return volumes.volume_of_mass(typed.mass_g, density)


def _by_size(typed: Typed) -> float | None:
    sizes = (typed.length_mm, typed.width_mm, typed.height_mm)
    if None in sizes:
        return None
    return volumes.volume_of_head(*(size or 0.0 for size in sizes))


def _with_block(
    found: Amounts, typed: Typed, setting: Setting, faults: dict[str, str], asks: list[str]
) -> Amounts:
    """The mould's own mix, where its box is known."""
    box = (typed.box_length_mm, typed.box_width_mm, typed.box_height_mm)
    if any(size is None for size in box):
        asks.append("Say the size of the mould box, to know what the mould itself takes.")
        return found
    model_ml = (found.part_ml or 0.0) * setting.cavities
    box_ml = volumes.volume_of_box(*(size or 0.0 for size in box))
    if model_ml >= box_ml:
        faults["box_length_mm"] = "The part does not fit into this box."
        return found
    block_ml = box_ml - model_ml
    wanted_ml = block_ml * (1 + typed.waste)
    if setting.is_plaster:
        water = typed.second_per_100 if typed.second_per_100 is not None else _water(setting)
        if not LEAST_WATER <= water <= MOST_WATER:
            faults["second_per_100"] = (
                f"Water to 100 of plaster runs from {LEAST_WATER} to {MOST_WATER}."
            )
            return replace(found, block_ml=block_ml)
        slurry = slurry_for(wanted_ml, water)
        mix = (Measured("plaster", slurry.plaster_g, "g"), Measured("water", slurry.water_g, "g"))
        return replace(found, block_ml=block_ml, block=round_mix(mix))
    return _with_rubber(replace(found, block_ml=block_ml), typed, setting, faults, asks)


def _with_rubber(
    found: Amounts, typed: Typed, setting: Setting, faults: dict[str, str], asks: list[str]
) -> Amounts:
    mould = setting.mould
    if mould is None or mould.density is None or found.block_ml is None:
        asks.append("The density of this mould material is not known: add it under Materials.")
        return found
    mix = mould.mix
    if mix is not None and typed.second_per_100 is not None:
        if not 0 < typed.second_per_100 <= MOST_SECOND:
            faults["second_per_100"] = "The second part to 100 of the first: above 0, at most 1000."
            return found
        mix = Mix(mix.names, (100.0, typed.second_per_100), mix.by, mix.source, mix.least_g)
    parts = measure_out(found.block_ml, mould.density.usual, mix, waste=typed.waste)
    return replace(found, block=round_mix(_named(parts, mould.name)))


def _with_pour(
    found: Amounts, typed: Typed, setting: Setting, faults: dict[str, str], asks: list[str]
) -> Amounts:
    """One pour into all cavities."""
    cast = setting.cast
    if cast is None:
        asks.append("Say what it is cast in.")
        return found
    if found.part_ml is None:
        return found
    stays = typed.stays if typed.stays is not None else cast.stays
    if not 0 < stays <= 1:
        faults["stays"] = "Of what is filled in more than nothing stays, at most all of it."
        return found
    fill = _fill(found.part_ml, stays, typed, setting, cast)
    density = cast.density.usual if cast.density else None
    pour: tuple[Measured, ...]
    if cast.is_slip or (cast.mix is None and cast.measured_by == "volume"):
        pour = (Measured(cast.name, fill.fill_ml, "ml"),)
    elif density is None:
        asks.append("The density of this casting material is not known: add it under Materials.")
        pour = (Measured(cast.name, fill.fill_ml, "ml"),)
    elif cast.mix is not None and cast.mix.names == ("plaster", "water"):
        slurry = slurry_for(fill.fill_ml, cast.mix.amounts[1])
        pour = (Measured("plaster", slurry.plaster_g, "g"), Measured("water", slurry.water_g, "g"))
    else:
        pour = measure_out(fill.stays_ml, density, cast.mix, waste=typed.waste)
    if cast.mix is None and cast.times.pot_min is not None:
        asks.append(f"The parts of {cast.name} are as its label says.")
    return replace(
        found,
        fill=fill,
        pour=round_mix(_named(pour, cast.name)),
        is_small_batch=is_small_batch(pour, cast.mix),
        casting_g=_casting_mass(fill, cast, setting.cavities),
    )


def _fill(part_ml: float, stays: float, typed: Typed, setting: Setting, cast: Material) -> Filling:
    """Slip fills the mould and most is poured back; of anything else no more goes in than stays."""
    if cast.is_slip:
        return filling(part_ml * setting.cavities, stays, waste=typed.waste)
    one_ml = part_ml * stays
    if cast.shell_mm is not None and typed.stays is None:
        one_ml = volumes.volume_of_shell(part_ml, cast.shell_mm)
    solid_ml = one_ml * setting.cavities
    return Filling(solid_ml * (1 + typed.waste), solid_ml)


def _casting_mass(fill: Filling, cast: Material, cavities: int) -> float | None:
    """About what one casting weighs, by the density as it is weighed; None where unknown."""
    if cast.density is None or cast.is_slip:
        return None
    return fill.stays_ml * cast.density.usual / cavities


def _named(parts: tuple[Measured, ...], name: str) -> tuple[Measured, ...]:
    return tuple(Measured(part.name or name, part.amount, part.unit) for part in parts)


def _water(setting: Setting) -> float:
    mix = setting.mould.mix if setting.mould else None
    return mix.amounts[1] * 100 / mix.amounts[0] if mix else DEFAULT_WATER
