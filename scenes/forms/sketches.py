"""The form that takes a sketch."""

from __future__ import annotations

from typing import Any

from django import forms

from company.pictures import ACCEPT, LARGEST_MB
from scenes.forms.fields import blank_words


class SketchForm(forms.Form):
    """A picture and a few words. What is in the file is looked at by the service."""

    file = forms.FileField(
        label="Sketch or photo of it",
        help_text=f"PNG, JPEG or WebP, up to {LARGEST_MB} MB. Yours alone until it is chosen.",
        error_messages={
            **blank_words("Choose a picture first"),
            "empty": "The file is empty. Choose the picture again.",
        },
        widget=forms.FileInput(attrs={"accept": ACCEPT, "data-preview": "sketch-preview"}),
    )
    words = forms.CharField(
        label="A few words", max_length=200, required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", "sketch-%s")
        super().__init__(*args, **more)
