"""The form that takes a photo."""

from __future__ import annotations

from typing import Any

from django import forms

from company.pictures import ACCEPT, LARGEST_MB
from scenes.forms.fields import blank_words


class PhotoForm(forms.Form):
    """A picture and a few words. What is in the file is looked at by the service."""

    file = forms.FileField(
        label="Photo",
        help_text=f"PNG, JPEG or WebP, up to {LARGEST_MB} MB.",
        error_messages={
            **blank_words("Choose a picture first"),
            "empty": "The file is empty. Choose the picture again.",
        },
        widget=forms.FileInput(attrs={"accept": ACCEPT, "data-preview": "photo-preview"}),
    )
    words = forms.CharField(
        label="What it shows",
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", "photo-%s")
        super().__init__(*args, **more)
