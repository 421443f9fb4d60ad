"""The form that lays a photo or scan under a drawing."""

from __future__ import annotations

from typing import Any

from django import forms

from company.pictures import ACCEPT, LARGEST_MB
from scenes.forms.fields import blank_words


class PictureForm(forms.Form):
    """A photo or scan of the paper drawing, and what it shows."""

    file = forms.FileField(
        label="Photo or scan of the drawing",
        help_text=f"PNG, JPEG or WebP, up to {LARGEST_MB} MB. Square on, the whole figure.",
        error_messages={
            **blank_words("Choose a picture first"),
            "empty": "The file is empty. Choose the picture again.",
        },
        widget=forms.FileInput(attrs={"accept": ACCEPT, "data-preview": "drawing-preview"}),
    )
    views = forms.ChoiceField(
        label="It shows",
        choices=[
            ("front profile", "front and profile side by side"),
            ("profile", "the profile"),
            ("front", "the front"),
        ],
        error_messages=blank_words("Say whether it shows the front, the profile, or both"),
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", "picture-%s")
        super().__init__(*args, **more)
