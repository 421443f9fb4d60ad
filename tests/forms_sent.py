"""Forms read off a page as a browser without scripts reads them: where they go and what is in them.

`forms_on(html)` gives each form with the values that it would send if a button were pressed.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

Values = dict[str, list[str]]


@dataclass
class Form:
    """One form of a page. `choices`: what each field with a given list could be set to."""

    action: str
    method: str
    values: Values = field(default_factory=dict)
    choices: Values = field(default_factory=dict)
    buttons: list[tuple[str, str]] = field(default_factory=list)
    is_upload: bool = False

    def put(self, name: str, value: str) -> None:
        self.values.setdefault(name, []).append(value)

    def offer(self, name: str, value: str) -> None:
        self.choices.setdefault(name, []).append(value)


def forms_on(html: str, address: str) -> list[Form]:
    """Every form of the page at `address`; a button with an address of its own is one more."""
    reader = _Reader(address)
    reader.feed(html)
    reader.close()
    return reader.finish()


class _Reader(HTMLParser):
    def __init__(self, address: str) -> None:
        super().__init__(convert_charrefs=True)
        self.address = address
        self.forms: list[Form] = []
        self.named: dict[str, Form] = {}
        self.elsewhere: list[tuple[str, dict[str, str]]] = []
        self.detours: list[tuple[str, str, Form]] = []
        self.open: Form | None = None
        self.select: tuple[Form, str, bool] | None = None
        self.area: tuple[Form, str] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            form = Form(given.get("action") or self.address, given.get("method", "get").lower())
            form.is_upload = "multipart" in given.get("enctype", "")
            self.forms.append(form)
            self.open = form
            if given.get("id"):
                self.named[given["id"]] = form
        elif tag in ("input", "select", "textarea", "button"):
            if "form" in given:
                self.elsewhere.append((tag, given))
            elif self.open is not None:
                self._take(tag, given, self.open)
        elif tag == "option" and self.select is not None:
            form, name, _ = self.select
            form.offer(name, given.get("value", ""))
            if "selected" in given:
                form.put(name, given.get("value", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.open = None
        elif tag == "textarea":
            self.area = None
        elif tag == "select" and self.select is not None:
            form, name, is_many = self.select
            if name not in form.values and not is_many and form.choices.get(name):
                form.put(name, form.choices[name][0])
            self.select = None

    def handle_data(self, data: str) -> None:
        if self.area is not None:
            form, name = self.area
            form.values[name] = [form.values.get(name, [""])[0] + data.lstrip("\n")]

    def _take(self, tag: str, given: dict[str, str], form: Form) -> None:
        name, sort = given.get("name", ""), given.get("type", "")
        if tag == "button" or sort == "submit":
            if name:
                form.buttons.append((name, given.get("value", "")))
            if "formaction" in given:
                self.detours.append((given["formaction"], given.get("formmethod", ""), form))
        elif not name or "disabled" in given:
            return
        elif tag == "select":
            self.select = (form, name, "multiple" in given)
        elif tag == "textarea":
            self.area = (form, name)
            form.put(name, "")
        elif sort in ("radio", "checkbox"):
            value = given.get("value", "on")
            form.offer(name, value)
            if "checked" in given:
                form.put(name, value)
        elif sort not in ("file", "button", "reset"):
            form.put(name, given.get("value", ""))

    def finish(self) -> list[Form]:
        for tag, given in self.elsewhere:
            if given["form"] in self.named and tag != "select":
                self._take(tag, given, self.named[given["form"]])
        for action, method, form in self.detours:
            self.forms.append(
                Form(action, method.lower() or form.method, form.values, form.choices)
            )
        return self.forms
