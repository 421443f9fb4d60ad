"""The form that takes a plot from a spreadsheet."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from scenes.core.plot_files import Source
from scenes.forms.fields import blank_words
from scenes.services.imports import ENOUGH_BYTES, PlotSources

ACCEPT = ".csv,text/csv"


class PlotFilesForm(forms.Form):
    """Five files, of which all but scenes and plot may be left out."""

    scenes = forms.FileField(
        label="Scenes",
        help_text="Columns scene and minutes; title, act, gap_after, interval, needed_by as well.",
        error_messages=blank_words("Choose the file with the scenes"),
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
    )
    plot = forms.FileField(
        label="Plot",
        help_text="Columns scene, character, guise, costume; enters, leaves, from_place, "
        "to_place, copies, hold, rig as well.",
        error_messages=blank_words("Choose the file with the plot"),
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

    def sources(self) -> PlotSources:
        """The files as they came; the form must be valid."""
        data = self.cleaned_data
        names = ("scenes", "plot", "changes", "guises", "places")
        scenes, plot, *others = [_source(data[name]) for name in names]
        assert scenes is not None
        assert plot is not None
        return PlotSources(scenes, plot, *others)


def _source(upload: UploadedFile | None) -> Source | None:
    # An empty file is false, and still a file: it is refused as what it is.
    if upload is None:
        return None
    return Source(upload.name or "file", upload.read(ENOUGH_BYTES))
