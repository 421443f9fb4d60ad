"""What a bench sheet says of a figure's body: its profile, how it hangs, its strings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property

from django.utils.safestring import SafeString, mark_safe

from builds.drawings.hang import HangData, draw_hang
from builds.loading.hang_picture import hang_data
from builds.loading.outlines import load_outline
from builds.models import (
    Ballast,
    Control,
    Drawing,
    Figure,
    FigureCostume,
    Stage,
    TrialHang,
    Weighing,
)
from builds.models.routes import Strand
from builds.queries.figure_hang import FigureHang, make_figure_hang
from builds.queries.sheets.papers import Fact
from builds.queries.strings import drawings_of_show
from scenes.models import Costume, Show

# Strands whose steps go by the drawing of the body, and those that go by its strings.
BODY = (Strand.BODY, Strand.CONTROL, Strand.MEET, Strand.END)
STRUNG = (Strand.CONTROL, Strand.END)
PICTURE_HEIGHT = 330.0
LEAD_WORDS = "do not file or open it; gloves, wash hands; never for children to handle"


class Bodies:
    """The bodies of a show, read once, each reckoned when a sheet asks for it."""

    def __init__(self, show: Show) -> None:
        self.show = show
        self._known: dict[int, FigureHang | None] = {}

    @cached_property
    def drawings(self) -> dict[int, Drawing]:
        """The drawing each guise goes by."""
        return drawings_of_show(self.show)

    @cached_property
    def _weighings(self) -> dict[int, list[Weighing]]:
        rows: dict[int, list[Weighing]] = defaultdict(list)
        found = Weighing.objects.filter(figure__show=self.show, struck_at=None)
        for row in found.select_related("figure"):
            rows[row.figure.guise_id].append(row)
        return rows

    @cached_property
    def _trials(self) -> dict[int, list[TrialHang]]:
        rows: dict[int, list[TrialHang]] = defaultdict(list)
        for row in TrialHang.objects.filter(figure__show=self.show, struck_at=None):
            rows[row.figure_id].append(row)
        return rows

    @cached_property
    def _worn(self) -> dict[int, Costume]:
        rows = FigureCostume.objects.filter(
            figure__show=self.show, is_built_in=True, struck_at=None
        )
        return {row.figure_id: row.costume for row in rows.select_related("costume__fit")}

    @cached_property
    def _controls(self) -> dict[int, Control]:
        rows = Control.objects.filter(guise__character__show=self.show)
        return {row.guise_id: row for row in rows.prefetch_related("strings")}

    def of(self, figure: Figure) -> FigureHang | None:
        """How the figure hangs, or None where its drawing does not say."""
        if figure.pk not in self._known:
            drawing = self.drawings.get(figure.guise_id)
            self._known[figure.pk] = drawing and make_figure_hang(
                figure,
                drawing,
                self._weighings[figure.guise_id],
                self._trials[figure.pk],
                self._worn.get(figure.pk),
                self._controls.get(figure.guise_id),
                self.show.bridge_mm,
            )
        return self._known[figure.pk]

    def picture(self, figure: Figure, stages: Iterable[Stage]) -> SafeString:
        """The profile with the line of balance, for steps that go by the body; else nothing."""
        if not any(stage.strand in BODY for stage in stages):
            return mark_safe("")
        drawing = self.drawings.get(figure.guise_id)
        if drawing is None:
            return mark_safe("")
        outline = load_outline(drawing)
        if not (outline.parts or outline.points):
            return mark_safe("")
        body = self.of(figure)
        data = HangData(drawn=outline, rest=())
        words = f"{figure.guise} in profile, with the line of balance"
        if body is not None and any(stage.strand in STRUNG for stage in stages):
            data = hang_data(drawing, body.hang)
            words = f"{figure.guise} as drawn, and in firm line as it hangs"
        return draw_hang(
            data,
            ident=f"body-{figure.pk}",
            title=words,
            height=PICTURE_HEIGHT,
            printed=True,
        )

    def facts(self, figure: Figure, stages: Iterable[Stage]) -> tuple[Fact, ...]:
        """How it hangs, and where it is strung what each string is cut to."""
        found = list(stages)
        if not any(stage.strand in BODY for stage in found):
            return ()
        body = self.of(figure)
        if body is None:
            return ()
        said = f"{body.hang.said}"
        if not body.hang.is_true:
            said += f". To the drawing: {body.hang.trues[0][0].lower()}{body.hang.trues[0][1:]}"
        facts = [Fact("Hangs", said)]
        if body.strings is not None and any(stage.strand in STRUNG for stage in found):
            cut = ", ".join(f"{row.count} {row.to} {row.cut_mm}" for row in body.strings.rows)
            facts.append(Fact("Strings cut", f"{cut} mm, for the bridge at {body.bridge_mm}"))
        if any(row.metal == Ballast.Metal.LEAD for row in body.drawing.ballast.all()):
            facts.append(Fact("Contains lead", LEAD_WORDS, is_strong=True))
        return tuple(facts)
