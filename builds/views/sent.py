"""What becomes of a form that was sent: done, refused, or somebody was quicker."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from builds.forms.refusals import add_refusal
from company.services.changes import StaleEdit


@dataclass(frozen=True, slots=True)
class Sent:
    """How it went: the status of the page, and whether it was written, so that it moves on.

    `stands` is the row as somebody else has written it meanwhile.
    """

    status: int
    is_done: bool = False
    stands: Any = None


SHOWN = Sent(200)  # a page that is looked at: nothing was sent


def send_form(
    form: forms.Form, write: Callable[[dict[str, Any]], object], *, quicker: str = ""
) -> Sent:
    """Write what the form says; whatever is wrong stands on it then, and nothing typed is lost.

    Where somebody was quicker the form takes up the version that stands, so that sending it again
    writes over that one; `quicker` says so on the form, where the page does not.
    """
    if not form.is_valid():
        return Sent(422)
    try:
        write(form.cleaned_data)
    except ValidationError as refusal:
        add_refusal(form, refusal)
        return Sent(422)
    except StaleEdit as stale:
        form.data = form.data.copy()
        form.data["version"] = str(stale.row.version)
        if quicker:
            form.add_error(None, quicker)
        return Sent(409, stands=stale.row)
    return Sent(200, is_done=True)


def send_or_show(
    request: HttpRequest,
    form: forms.Form,
    write: Callable[[dict[str, Any]], object],
    *,
    quicker: str = "",
) -> Sent:
    """The same for a page that shows its form first, before anything is sent."""
    return send_form(form, write, quicker=quicker) if request.method == "POST" else SHOWN
