"""What a service refused, at the fields of the form that asked for it."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError

from scenes.forms.fields import add_problems


def add_refusal(form: forms.Form, refusal: ValidationError) -> None:
    """Write every sentence of the refusal at its field, or above the form."""
    if hasattr(refusal, "error_dict"):
        add_problems(form, refusal.message_dict)
    else:
        add_problems(form, {"": refusal.messages})
