"""The register, the page of a figure and of a step: who sees them, what they say, flat queries."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from builds.models import Figure, Plan, PlannedStep, Step, WorkLog
from builds.queries.figures import Filters, read_register, say_register
from builds.queries.step_card import read_step
from builds.services.bench import add_figure
from builds.services.figures import edit_figure
from builds.services.work import begin_step, finish_step, pass_step
from company import clock
from company.models import Maker, Role, User
from tests.builds.desk import Desk
from tests.factories import CompanyFactory, MakerFactory, person

pytestmark = pytest.mark.django_db


class Bench(Desk):
    """Jory at sixty in one coat, Captain Pell; everybody who may sign in, and a stranger."""

    def __init__(self) -> None:
        super().__init__()
        Maker.objects.filter(pk=self.ines.pk).update(is_saw_trained=True)
        self.jory = self.role("Jory Tarrow", "at sixty", "pilot coat")
        self.pell = self.role("Captain Pell", "", "uniform")
        self.wear(self.jory, "1", "pilot coat")
        self.wear(self.pell, "2", "uniform")
        self.accept()
        self.maker = person(self.company, Role.MAKER, "Tomas")
        self.tomas = MakerFactory(company=self.company, name="Tomas", user=self.maker)
        self.reader = person(self.company, Role.READER, "Odile")
        self.stranger = person(CompanyFactory(), Role.LEAD, "Somebody")


@pytest.fixture
def bench() -> Bench:
    return Bench()


def client_of(user: User | None) -> Client:
    client = Client()
    if user is not None:
        client.force_login(user)
    return client


def words_of(answer: Any) -> str:
    """The page without its marks, white space as single blanks."""
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def lede_of(answer: Any) -> str:
    found = re.search(r'id="lede"[^>]*>(.*?)</p>', answer.content.decode(), re.S)
    assert found
    return " ".join(re.sub(r"<[^>]+>", "", found[1]).split())


def plan_for(bench: Bench, step: Step, maker: Any, **figures: Any) -> Plan:
    """A pinned-up plan of one step, with what it says of figures by tag: days until fit."""
    start = clock.now() + timedelta(days=1)
    plan = Plan.objects.create(
        show=bench.show,
        made_at=clock.now(),
        status="found",
        is_pinned_up=True,
        ready=start,
        figures=[
            {
                "figure": bench.figure(tag).pk,
                "fit": (clock.now() + timedelta(days=days)).isoformat(),
                "ready": (clock.now() + timedelta(days=days + 7)).isoformat(),
                "late_min": 0,
            }
            for tag, days in figures.items()
        ],
    )
    PlannedStep.objects.create(
        plan=plan, step=step, minutes=60, maker=maker, start=start,
        finish=start + timedelta(hours=1),
    )  # fmt: skip
    return plan


# Who sees what

PAGES = ("figure_list", "figure_detail", "figure_edit", "figure_link", "step_detail", "step_edit")


def address(bench: Bench, name: str) -> str:
    figure, step = bench.figure("J1"), bench.step("J1", "carve")
    args: dict[str, Any] = {
        "figure_list": bench.show.pk,
        "figure_link": figure.public_key,
        "step_detail": step.pk,
        "step_edit": step.pk,
    }
    return reverse(f"builds:{name}", args=[args.get(name, figure.pk)])


@pytest.mark.parametrize("name", PAGES)
def test_pages_are_for_people_of_the_company_by_their_role(bench: Bench, name: str) -> None:
    fine = 302 if name == "figure_link" else 200
    for_makers = name.endswith("_edit")
    got = {
        who: client_of(getattr(bench, who, None)).get(address(bench, name)).status_code
        for who in ("lead", "maker", "reader", "stranger", "nobody")
    }
    assert got == {
        "lead": fine,
        "maker": fine,
        "reader": 403 if for_makers else fine,
        "stranger": 404,
        "nobody": 302,
    }


@pytest.mark.parametrize(
    ("name", "who"),
    [
        ("figure_add", "lead"),
        ("figure_state", "lead"),
        ("step_pass", "lead"),
        ("step_record", "maker"),
        ("step_undo", "maker"),
        ("step_answer", "maker"),
        ("work_add", "maker"),
    ],
)
def test_presses_are_for_their_role_alone(bench: Bench, name: str, who: str) -> None:
    step = bench.step("J1", "carve").pk
    pk = {"figure_add": bench.show.pk, "figure_state": bench.figure("J1").pk}.get(name, step)
    url = reverse(f"builds:{name}", args=[pk])
    assert client_of(bench.stranger).post(url).status_code == 404
    assert client_of(bench.reader).post(url).status_code == 403
    if who == "lead":
        assert client_of(bench.maker).post(url).status_code == 403
    assert client_of(None).post(url).status_code == 302
    assert client_of(bench.lead).get(url).status_code == 405
    assert client_of(bench.lead).post(url).status_code in (200, 302, 422)


def test_the_printed_link_leads_to_the_figure_and_an_unknown_one_nowhere(bench: Bench) -> None:
    figure = bench.figure("J1")
    answer = client_of(bench.reader).get(f"/f/{figure.public_key.upper()}/")
    assert answer["Location"] == figure.get_absolute_url()
    assert client_of(bench.reader).get("/f/aaaaaaaaaa/").status_code == 404
    answer = client_of(None).get(f"/f/{figure.public_key}/")
    assert f"next=/f/{figure.public_key}/" in answer["Location"]


# What the register says


def test_an_empty_register_says_what_comes_next() -> None:
    desk = Desk()
    answer = client_of(desk.lead).get(reverse("builds:figure_list", args=[desk.show.pk]))
    assert lede_of(answer) == "Nothing is at the bench yet."
    assert "Figures appear once a count of the costume plot is taken to the bench" in words_of(
        answer
    )


def test_the_sentence_counts_begun_and_ready_and_names_the_late(bench: Bench) -> None:
    url = reverse("builds:figure_list", args=[bench.show.pk])
    client = client_of(bench.lead)
    assert lede_of(client.get(url)) == (
        "Two figures at the bench, none begun yet. No plan says yet when they will be ready."
    )
    begin_step(step=bench.step("P1", "shoes"), user=bench.lead, reason="first")
    for step in (
        Step.objects.filter(figure=bench.figure("J1"))
        | Step.objects.filter(pattern__made_for=bench.jory)
        | Step.objects.filter(guise=bench.jory)
        | Step.objects.filter(pour__castings__figure=bench.figure("J1"))
    ):
        finish_step(step=step, user=bench.lead, reason="all at once")
        if step.stage.gate:
            pass_step(step=step, user=bench.lead)
    assert lede_of(client.get(url)).startswith("Two figures begun, one ready to play. ")
    edit_figure(
        figure=bench.figure("P1"), user=bench.lead, version=None, needed_by=date(2026, 3, 10)
    )
    plan_for(bench, bench.step("P1", "carve"), bench.ines, P1=9)
    assert lede_of(client.get(url)) == (
        "Two figures begun, one ready to play. P1 will be three days late for its own date."
    )


def test_register_row_says_what_comes_next_and_with_whom(bench: Bench) -> None:
    step = bench.step("J1", "carve")
    begin_step(step=step, user=bench.lead, reason="the wood is here")
    plan_for(bench, step, bench.ines, J1=3)
    register = read_register(bench.show, bench.lead, Filters())
    row = next(row for row in register.rows if str(row.figure) == "J1")
    assert row.next is not None
    assert (row.next.words, row.next.slip.who if row.next.slip else "") == (
        "Carve the body",
        "Ines",
    )
    assert row.fit == date(2026, 3, 7)
    assert row.title == "Jory Tarrow at sixty, pilot coat"


def test_braid_has_a_strand_each_and_a_trunk_that_joins_in_order(bench: Bench) -> None:
    row = read_register(bench.show, bench.lead, Filters()).rows[0]
    assert [strand.word for strand in row.braid.strands] == ["head", "body", "control", "costume"]
    trunk = [line.step.stage.key for line in row.braid.trunk]
    assert trunk[0] == "trial-hang"
    joins = {strand.word: trunk[strand.joins] for strand in row.braid.strands}
    assert joins == {
        "head": "trial-hang",
        "body": "trial-hang",
        "control": "string",
        "costume": "dress",
    }


def test_helpers_see_only_the_plan_that_is_pinned_up(bench: Bench) -> None:
    plan = plan_for(bench, bench.step("J1", "carve"), bench.ines, J1=3)
    Plan.objects.filter(pk=plan.pk).update(is_pinned_up=False)
    assert read_register(bench.show, bench.lead, Filters()).has_plan
    assert not read_register(bench.show, bench.maker, Filters()).has_plan


def test_filters_narrow_by_role_craft_person_and_lateness(bench: Bench) -> None:
    step = bench.step("J1", "shoes")
    begin_step(step=step, user=bench.lead, reason="first")
    plan_for(bench, step, bench.ines, J1=9)
    edit_figure(
        figure=bench.figure("J1"), user=bench.lead, version=None, needed_by=date(2026, 3, 10)
    )
    url = reverse("builds:figure_list", args=[bench.show.pk])
    client = client_of(bench.lead)

    def shown(**asked: Any) -> list[str]:
        page = client.get(url, asked).content.decode()
        return re.findall(r'<tr id="figure-row-\d+">\s*<th[^>]*><a[^>]*>(\w+)<', page)

    assert shown() == ["J1", "P1"]
    assert shown(role=bench.pell.character_id) == ["P1"]
    assert shown(craft=step.stage.craft_id) == ["J1"]
    assert shown(maker=bench.ines.pk) == ["J1"]
    assert shown(late="1") == ["J1"]
    assert shown(role=bench.pell.character_id, late="1") == []
    assert shown(role="x", craft="9" * 30) == ["J1", "P1"]
    answer = client.get(url, {"late": "1"}, headers={"HX-Request": "true"})
    assert "<html" not in answer.content.decode()
    assert "1 of 2 shown" in words_of(answer)
    assert "HX-Request" in answer["Vary"]


def test_spares_and_struck_ones_are_folded_away(bench: Bench) -> None:
    client = client_of(bench.lead)
    figure = bench.figure("P1")
    url = reverse("builds:figure_state", args=[figure.pk])
    client.post(url, {"state": "spare", "version": figure.version})
    page = client.get(reverse("builds:figure_list", args=[bench.show.pk]))
    assert "1 figure at rest" in words_of(page).replace("\u00a0", " ")
    assert "A spare." in lede_of(client.get(figure.get_absolute_url()))
    client.post(url, {"state": "wanted"})
    assert bench.tags() == ["J1", "P1"]
    assert client.post(url, {"state": "melted"}).status_code == 422
    assert client.post(url, {"state": "spare", "version": "1"}).status_code == 409


@pytest.mark.parametrize("more", [0, 9])
def test_queries_of_every_page_do_not_grow(
    bench: Bench, more: int, django_assert_num_queries: Any
) -> None:
    for _ in range(more):
        add_figure(show=bench.show, user=bench.lead, guise=bench.jory)
    client = client_of(bench.lead)
    step = bench.step("J1", "carve")
    plan_for(bench, step, bench.ines, J1=3)
    figure = bench.figure("J1")
    for url, count in (
        (reverse("builds:figure_list", args=[bench.show.pk]), 49),
        (figure.get_absolute_url(), 52),
        (reverse("builds:step_detail", args=[step.pk]), 56),
    ):
        client.get(url)
        with django_assert_num_queries(count):
            client.get(url)


def test_a_title_without_costume_is_the_guise_alone(bench: Bench) -> None:
    figure = add_figure(show=bench.show, user=bench.lead, guise=bench.pell)
    answer = client_of(bench.lead).get(figure.get_absolute_url())
    assert "P2, Captain Pell" in words_of(answer)
    assert "Twins" in words_of(answer)
    assert say_register([], True) == [("Nothing is at the bench yet.", False)]


# Writing on a figure


def test_a_note_is_saved_and_a_stale_one_comes_back_with_both_texts(bench: Bench) -> None:
    client, figure = client_of(bench.maker), bench.figure("J1")
    url = reverse("builds:figure_edit", args=[figure.pk])
    sent = {"version": figure.version, "place": "shelf B", "note": "left foot glued"}
    assert client.post(url, sent)["Location"] == figure.get_absolute_url()
    answer = client.post(url, {**sent, "note": "right foot glued"})
    assert answer.status_code == 409
    assert "left foot glued" in words_of(answer)
    assert "right foot glued" in answer.content.decode()
    assert Figure.objects.get(pk=figure.pk).note == "left foot glued"
    version = re.search(r'name="version" value="(\d+)"', answer.content.decode())
    assert version
    assert client.post(url, {**sent, "version": version[1], "note": "both"}).status_code == 302
    assert Figure.objects.get(pk=figure.pk).note == "both"


def test_a_refused_edit_keeps_what_was_typed(bench: Bench) -> None:
    figure = bench.figure("J1")
    url = reverse("builds:figure_edit", args=[figure.pk])
    sent = {"version": 1, "place": "shelf C", "note": "kept", "weight": "12", "needed_by": "soon"}
    answer = client_of(bench.lead).post(url, sent)
    assert answer.status_code == 422
    assert "This is not a day" in words_of(answer)
    assert "from 1 to 9" in words_of(answer)
    assert 'value="shelf C"' in answer.content.decode()
    assert Figure.objects.get(pk=figure.pk).place == ""


def test_one_figure_more_by_form(bench: Bench) -> None:
    client = client_of(bench.lead)
    url = reverse("builds:figure_add", args=[bench.show.pk])
    coat = bench.costume(bench.jory, "pilot coat")
    answer = client.post(url, {"wears": coat.pk, "sort": "twin"}, follow=True)
    assert "J2 is new at the bench." in words_of(answer)
    client.post(url, {"wears": coat.pk, "sort": "whole"})
    assert bench.figure("J3").state == Figure.State.SPARE
    answer = client.post(url, {"wears": coat.pk, "sort": "head"}, follow=True)
    assert bench.figure("J4").extent == Figure.Extent.HEAD
    assert "J4, Jory Tarrow at sixty, spare head" in words_of(answer)
    assert "A spare head, still to be made." in words_of(answer)
    answer = client.post(url, {"wears": "99999", "sort": "twin"})
    assert (answer.status_code, "Choose a costume of this show." in words_of(answer)) == (422, True)
    answer = client.post(url, {})
    assert "Choose which guise it is, and what it wears." in words_of(answer)


# The page of a step


def record(client: Client, step: Step, answer: str, **more: Any) -> Any:
    sent = {"answer": answer, "version": step.version, **more}
    return client.post(reverse("builds:step_record", args=[step.pk]), sent)


def test_the_three_answers_from_the_page(bench: Bench) -> None:
    client = client_of(bench.maker)
    step = bench.step("J1", "shoes")
    assert "Something comes before this" in words_of(
        client.get(reverse("builds:step_detail", args=[step.pk]))
    )
    answer = record(client, step, "left", hours="1½", words="one sole on")
    assert answer.status_code == 422
    assert "Say why it is begun all the same" in words_of(answer)
    assert "one sole on" in answer.content.decode()
    assert not WorkLog.objects.exists()
    answer = record(client, step, "left", hours="1½", words="one sole on", reason="rain")
    assert answer.status_code == 302
    step = bench.step("J1", "shoes")
    assert (step.begun_by, WorkLog.objects.get().minutes) == (bench.tomas, 90)
    record(client, step, "need", words="Which heel?")
    step = bench.step("J1", "shoes")
    assert step.needs_lead
    record(client, step, "finished", hours="0:45")
    assert bench.step("J1", "shoes").finished_at is not None
    page = words_of(client.get(reverse("builds:step_detail", args=[step.pk])))
    assert "Begun early rain" in page


def test_hours_that_cannot_be_are_named_at_their_field(bench: Bench) -> None:
    client, step = client_of(bench.lead), bench.step("J1", "shoes")
    for hours, words in (("soon", "is not a time in hours"), ("0", "longer than nought"),
                         ("30", "at most 16 hours")):  # fmt: skip
        answer = record(client, step, "finished", hours=hours, reason="x", words="typed")
        assert answer.status_code == 422
        assert words in words_of(answer)
        assert "typed" in answer.content.decode()
    assert bench.step("J1", "shoes").begun_at is None


def test_a_reason_is_asked_only_where_something_comes_before(bench: Bench) -> None:
    client, shoes = client_of(bench.lead), bench.step("J1", "shoes")
    steps = Step.objects.order_by("pk")
    free = next(step for step in steps if not read_step(step, bench.lead).hindrances)

    assert "Why all the same" in words_of(record(client, shoes, "left", hours="soon"))
    assert "Why all the same" not in words_of(record(client, free, "left", hours="soon"))


def test_somebody_was_quicker_keeps_what_was_typed(bench: Bench) -> None:
    client, step = client_of(bench.lead), bench.step("J1", "shoes")
    record(client, step, "finished", reason="first", hours="1")
    answer = record(client, step, "left", hours="2", words="mine", reason="y")
    assert answer.status_code == 409
    assert "Somebody was quicker" in words_of(answer)
    assert WorkLog.objects.count() == 1


def test_a_photo_comes_with_the_answer_and_a_bad_one_stops_it(bench: Bench) -> None:
    client, step = client_of(bench.lead), bench.step("J1", "shoes")
    bad = SimpleUploadedFile("a.png", b"nothing at all")
    answer = record(client, step, "finished", hours="1", reason="x", photo=bad)
    assert answer.status_code == 422
    assert "not a whole PNG" in words_of(answer)
    assert bench.step("J1", "shoes").begun_at is None


def test_the_lead_passes_and_hands_back_from_the_page(bench: Bench) -> None:
    client = client_of(bench.lead)
    gate = bench.step("J1", "trial-hang")
    finish_step(step=gate, user=bench.lead, reason="for the test")
    url = reverse("builds:step_pass", args=[gate.pk])
    page = client.get(reverse("builds:step_detail", args=[gate.pk]))
    assert "Waits for your pass" in words_of(page)
    assert "Waits for your pass" not in words_of(
        client_of(bench.maker).get(reverse("builds:step_detail", args=[gate.pk]))
    )
    version = bench.step("J1", "trial-hang").version
    answer = client.post(url, {"verdict": "back", "version": version})
    assert (answer.status_code, "Say what is still to do" in words_of(answer)) == (422, True)
    client.post(url, {"verdict": "pass", "version": version})
    assert bench.step("J1", "trial-hang").passed_by == bench.lead
    client.post(url, {"verdict": "back", "words": "it leans"})
    step = bench.step("J1", "trial-hang")
    assert (step.finished_at, step.note.endswith("it leans")) == (None, True)


def test_hours_are_booked_and_struck_and_a_press_taken_back(bench: Bench) -> None:
    client, step = client_of(bench.lead), bench.step("J1", "shoes")
    add = reverse("builds:work_add", args=[step.pk])
    answer = client.post(add, {"hours": "", "day": "2026-03-05", "version": step.version})
    assert "Say how long it took" in words_of(answer)
    answer = client.post(add, {"hours": "2", "day": "2026-03-05", "version": step.version})
    assert "This day is still to come." in words_of(answer)
    sent = {"hours": "2", "day": "2026-03-02", "version": step.version, "maker": bench.tomas.pk}
    assert client.post(add, sent).status_code == 302
    assert client.post(add, sent).status_code == 409
    log = WorkLog.objects.get()
    assert (log.maker, log.day) == (bench.tomas, date(2026, 3, 2))
    client.post(reverse("builds:work_strike", args=[step.pk, log.pk]))
    assert WorkLog.objects.get().struck_at is not None
    other = bench.step("P1", "shoes")
    url = reverse("builds:work_strike", args=[other.pk, log.pk])
    assert client.post(url).status_code == 404
    undo = reverse("builds:step_undo", args=[step.pk])
    answer = client.post(undo)
    assert (answer.status_code, "nothing to take back" in words_of(answer)) == (422, True)


def test_a_stale_step_edit_shows_both_texts(bench: Bench) -> None:
    client, step = client_of(bench.lead), bench.step("J1", "shoes")
    url = reverse("builds:step_edit", args=[step.pk])
    assert client.post(url, {"version": step.version, "note": "mine"}).status_code == 302
    answer = client.post(url, {"version": step.version, "note": "yours", "own_min": "2 h"})
    assert answer.status_code == 409
    assert "mine" in words_of(answer)
    assert "yours" in answer.content.decode()
    assert bench.step("J1", "shoes").note == "mine"


def test_htmx_gets_the_card_with_its_sentence_and_messages(bench: Bench) -> None:
    client, step = client_of(bench.lead), bench.step("J1", "shoes")
    answer = client.post(
        reverse("builds:step_record", args=[step.pk]),
        {"answer": "begin", "reason": "now", "version": step.version},
        headers={"HX-Request": "true"},
    )
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "<html" not in page
    assert 'id="lede" hx-swap-oob="true"' in page
    assert "is begun" in words_of(answer)
