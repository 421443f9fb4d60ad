"""One cell of the plot, with all that its panel needs."""

from __future__ import annotations

from dataclasses import dataclass

from company.core.units import format_minutes
from scenes.models import Appearance, Costume, Guise, Rig, Scene, Show, Walk
from scenes.queries.grid import Swatch, cell_ident, in_playing_order, make_swatch
from scenes.queries.places import USUAL_PLACES


@dataclass(frozen=True)
class CellPage:
    """A guise in a scene: what stands there, what it could wear, what was said elsewhere."""

    show: Show
    guise: Guise
    scene: Scene
    scenes: list[Scene]
    costumes: list[Costume]
    stands: list[Appearance]
    places: list[str]
    rigs: list[str]
    plain_rigs: list[str]
    other_rigs: list[str]

    @property
    def ident(self) -> str:
        """The cell's id in the page of the grid."""
        return cell_ident(self.guise, self.scenes.index(self.scene) + 1)

    @property
    def swatches(self) -> list[Swatch]:
        """What stands in the cell, as the grid shows it."""
        return [make_swatch(a, self.scene) for a in self.stands]

    @property
    def scene_minutes(self) -> str:
        """The scene's running time, as a maker writes it."""
        return format_minutes(self.scene.length_s)

    @property
    def scene_times(self) -> str:
        """How long the scene runs, and how far an exit may go beyond it."""
        runs = f"The scene runs {self.scene_minutes} min"
        if not self.scene.gap_s:
            return f"{runs}."
        return f"{runs}, then {format_minutes(self.scene.gap_s)} until the next."


def read_cell_page(show: Show, guise: Guise, scene: Scene) -> CellPage:
    """What the panel of one cell shows: five reads."""
    scenes = list(Scene.objects.filter(draft=scene.draft_id))
    costumes = list(Costume.objects.filter(guise=guise))
    by_pk = {costume.pk: costume for costume in costumes}
    stands, places = [], dict.fromkeys(USUAL_PLACES)
    for walk in Walk.objects.filter(show=show):
        places |= dict.fromkeys((walk.from_place, walk.to_place))
    named = list(Rig.objects.filter(guise=guise))
    rigs = dict.fromkeys(rig.name for rig in named)
    for a in Appearance.objects.filter(draft=scene.draft_id):
        places |= dict.fromkeys(filter(None, (a.from_place, a.to_place)))
        if a.guise_id == guise.pk and a.rig:
            rigs.setdefault(a.rig)
        if a.scene_id == scene.pk and a.guise_id == guise.pk:
            a.costume = by_pk[a.costume_id] if a.costume_id is not None else None
            a.scene, a.guise = scene, guise
            stands.append(a)
    plain = {rig.name for rig in named if rig.plays_plain}
    return CellPage(
        show=show,
        guise=guise,
        scene=scene,
        scenes=scenes,
        costumes=costumes,
        stands=in_playing_order(stands),
        places=list(places),
        rigs=list(rigs),
        plain_rigs=[rig.name for rig in named if rig.plays_plain],
        other_rigs=[name for name in rigs if name not in plain],
    )
