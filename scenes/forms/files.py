"""The form that takes a plot from a spreadsheet."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from scenes.core.plot_files import Source
from scenes.services.imports import ENOUGH_BYTES, PlotSources
from scenes.services.workbooks import read_plot_workbook

ACCEPT = ".csv,text/csv"
ACCEPT_WORKBOOK = ".xlsx"
FILES = ("scenes", "plot", "changes", "guises", "places")


class PlotFilesForm(forms.Form):
    """One workbook with everything, or five files, of which scenes and plot must be there."""

    workbook = forms.FileField(
        label="Workbook",
        required=False,
        help_text="One .xlsx with the sheets scenes and plot; changes, guises, places as well. "
        "With it no other file is needed.",
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ACCEPT_WORKBOOK}),
    )

    scenes = forms.FileField(
        label="Scenes",
        help_text="Columns scene and minutes; title, act, gap_after, interval, needed_by as well.",
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
    )
    plot = forms.FileField(
        label="Plot",
        help_text="Columns scene, character, guise, costume; enters, leaves, from_place, "
        "to_place, copies, hold, rig as well.",
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
    )
    changes = forms.FileField(
        label="Changes",
        required=False,
        help_text="Columns character, guise, from_costume, to_costume, minutes; people as well. "
        "Without this file no change is possible.",
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
    )
    guises = forms.FileField(
        label="Guises",
        required=False,
        help_text="Columns character and guise; letters, kind, sizes, words, trick builds, "
        "costumes with hours and weight as well. What is blank in it stays as it is.",
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
    )
    places = forms.FileField(
        label="Places",
        required=False,
        help_text="Columns from, to, minutes: the ways behind the stage that differ from the "
        "show's crossing time. Without this file they stay as they are.",
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", "files-%s")
        super().__init__(*args, **more)

    @property
    def single(self) -> list[forms.BoundField]:
        """The fields of the files that stand for the sheets of a workbook."""
        return [self[name] for name in FILES]

    def clean(self) -> dict[str, Any]:
        """A workbook alone, or both files that a plot cannot do without."""
        data: dict[str, Any] = super().clean() or {}
        given = [name for name in FILES if data.get(name) is not None]
        if data.get("workbook") is not None:
            if given:
                words = "A workbook holds everything: choose it alone, or the files without it."
                self.add_error("workbook", words)
        else:
            for name in ("scenes", "plot"):
                if name not in self.errors and data.get(name) is None:
                    self.add_error(name, f"Choose the file with the {name}, or a workbook.")
        return data

    def sources(self) -> PlotSources:
        """The files as they came; the form must be valid. Raises ImportRefused."""
        data = self.cleaned_data
        workbook = _source(data["workbook"])
        if workbook is not None:
            return read_plot_workbook(workbook)
        scenes, plot, *others = [_source(data[name]) for name in FILES]
        assert scenes is not None
        assert plot is not None
        return PlotSources(scenes, plot, *others)


def _source(upload: UploadedFile | None) -> Source | None:
    # An empty file is false, and still a file: it is refused as what it is.
    if upload is None:
        return None
    return Source(upload.name or "file", upload.read(ENOUGH_BYTES))
