"""Tests of how forms are drawn: labels, help and errors tied to their fields, all errors on top."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

from django import forms
from django.template.loader import render_to_string
from django.test import RequestFactory


class SceneForm(forms.Form):
    label = forms.CharField(label="Scene", help_text="As the script has it.")
    minutes = forms.IntegerField(label="Running minutes", required=False)
    crafts = forms.MultipleChoiceField(
        label="Crafts",
        choices=[("carve", "carve"), ("sew", "sew")],
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    is_lead = forms.BooleanField(label="Lead", required=False)
    version = forms.IntegerField(widget=forms.HiddenInput)

    def clean(self) -> None:
        super().clean()
        self.add_error(None, "This scene is in the bin.")


def draw(form: forms.Form, **more: Any) -> str:
    request = RequestFactory().get("/scenes/")
    return render_to_string("parts/form.html", {"form": form, **more}, request)


def parse(form: forms.Form) -> ElementTree.Element:
    return ElementTree.fromstring(_closed(f"<div>{form}</div>"))


def _closed(html: str) -> str:
    """Void elements closed and bare attributes given values, so that an XML parser reads it."""
    for bare in ("required", "checked", "data-focus", "disabled"):
        html = html.replace(f" {bare}>", f' {bare}="">').replace(f" {bare} ", f' {bare}="" ')
    out, at = [], 0
    while (start := html.find("<input", at)) >= 0:
        end = html.index(">", start)
        out += [html[at:end], "/>"]
        at = end + 1
    return "".join([*out, html[at:]])


def test_every_field_has_a_label_that_points_at_it() -> None:
    root = parse(SceneForm())
    named = {e.attrib["id"] for e in root.iter() if e.tag == "input" and "id" in e.attrib}

    targets = {e.attrib["for"] for e in root.iter("label")}
    legends = ["".join(e.itertext()).split(" (")[0] for e in root.iter("legend")]

    assert {"id_label", "id_minutes", "id_is_lead"} <= targets <= named
    assert legends == ["Crafts"]


def test_help_and_errors_are_tied_to_their_field() -> None:
    form = SceneForm({"label": "", "minutes": "soon", "version": "1"})
    root = parse(form)
    ids = {e.attrib["id"] for e in root.iter() if "id" in e.attrib}

    label = next(e for e in root.iter("input") if e.get("name") == "label")

    assert label.attrib["aria-invalid"] == "true"
    described = set(label.attrib["aria-describedby"].split())
    assert described == {"id_label_helptext", "id_label_error"}
    assert described <= ids


def test_all_errors_stand_on_top_linked_to_their_fields() -> None:
    form = SceneForm({"label": "", "minutes": "soon", "version": ""})

    page = draw(form)

    top = page[page.index('class="errors"') : page.index('class="field')]
    assert "This scene is in the bin." in top
    assert 'href="#id_label"' in top
    assert 'href="#id_minutes"' in top
    assert "Version" in top  # a hidden field's error is said as well
    assert "4 things to put right" in top
    assert "data-focus" in top


def test_a_form_without_errors_says_nothing_of_them() -> None:
    assert "errors" not in draw(SceneForm())


def test_form_posts_plainly_and_by_htmx_to_the_same_place() -> None:
    page = draw(SceneForm(), target="#scene", submit="Save the scene", confirm="Really?")

    assert 'method="post"' in page
    assert 'hx-post="/scenes/"' in page
    assert 'hx-target="#scene"' in page
    assert "csrfmiddlewaretoken" in page
    assert "Save the scene" in page
    assert 'data-confirm="Really?"' in page


def test_form_without_a_target_needs_no_htmx() -> None:
    page = draw(SceneForm(), action="/elsewhere/")

    assert "hx-post" not in page
    assert 'action="/elsewhere/"' in page


def test_fields_that_may_be_blank_say_so_in_words() -> None:
    page = draw(SceneForm())

    assert page.count("(may be blank)") == 2  # minutes and crafts; a tick box needs no word


def test_what_people_typed_is_escaped() -> None:
    form = SceneForm({"label": '"><script>', "minutes": "<b>", "version": "1"})

    page = draw(form)

    assert "<script" not in page
    assert "<b>" not in page


def test_formsets_keep_their_management_form_and_errors() -> None:
    formset = forms.formset_factory(SceneForm, extra=2)()

    page = str(formset)

    assert "form-TOTAL_FORMS" in page
    assert page.count('class="fields fields-row"') == 2
