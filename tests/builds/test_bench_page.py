"""The page 'To the bench' and the borrowing of heads, as a person presses them."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from builds.models import Figure, GuisePart
from builds.services.bench import add_figure
from company.models import Role, User
from tests.builds.desk import Desk
from tests.factories import CompanyFactory, person

pytestmark = pytest.mark.django_db


class Bench(Desk):
    """Jory at sixty in a coat and a nightshirt, nothing at the bench yet."""

    def __init__(self) -> None:
        super().__init__()
        self.jory = self.role("Jory Tarrow", "at sixty", "pilot coat", "nightshirt")
        self.wear(self.jory, "1", "pilot coat")
        self.wear(self.jory, "2", "nightshirt")
        self.client = client_of(self.lead)
        self.url = reverse("builds:bench", args=[self.show.pk])

    def page(self, **headers: str) -> Any:
        return self.client.get(self.url, headers=headers)

    def press(self, page: Any = None, **sent: Any) -> Any:
        """Press on the page as it was read, with its hidden fields."""
        hidden = dict(
            re.findall(
                r'name="(draft|revision|shown)" value="([^"]*)"', content(page or self.page())
            )
        )
        return self.client.post(
            reverse("builds:bench_accept", args=[self.show.pk]), {**hidden, **sent}
        )


@pytest.fixture
def bench() -> Bench:
    return Bench()


def client_of(user: User | None) -> Client:
    client = Client()
    if user is not None:
        client.force_login(user)
    return client


def content(answer: Any) -> str:
    return str(answer.content.decode())


def words_of(answer: Any) -> str:
    text = re.sub(r"<[^>]+>", " ", content(answer)).replace("\u00a0", " ")
    return " ".join(text.split())


def test_the_page_says_what_the_draft_asks_of_the_bench(bench: Bench) -> None:
    page = words_of(bench.page())
    assert "This draft needs two figures: two are new." in page
    assert "Figures that stay are never renumbered." in page
    bench.press(all="1")
    assert "This draft is at the bench: two figures." in words_of(bench.page())
    bench.wear(bench.jory, "2")
    assert "This draft needs one figure: one stays, one is stranded." in words_of(bench.page())


def test_a_plot_without_appearances_offers_the_plot() -> None:
    desk = Desk()
    page = client_of(desk.lead).get(reverse("builds:bench", args=[desk.show.pk]))
    assert "The plot asks for no figure yet." in words_of(page)
    assert "Write the plot" in words_of(page)


def test_roles_on_the_page_and_on_the_press(bench: Bench) -> None:
    people = {
        "maker": person(bench.company, Role.MAKER, "Tomas"),
        "reader": person(bench.company, Role.READER, "Odile"),
        "stranger": person(CompanyFactory(), Role.LEAD, "Somebody"),
        "nobody": None,
    }
    accept = reverse("builds:bench_accept", args=[bench.show.pk])
    got = {
        name: (client_of(user).get(bench.url).status_code, client_of(user).post(accept).status_code)
        for name, user in people.items()
    }
    assert got == {
        "maker": (200, 403),
        "reader": (200, 403),
        "stranger": (404, 404),
        "nobody": (302, 302),
    }
    assert "Take it all" not in words_of(client_of(people["reader"]).get(bench.url))
    assert not Figure.objects.exists()


def test_all_or_line_by_line(bench: Bench) -> None:
    page = bench.page()
    keys = re.findall(r'name="line" value="([^"]+)"', content(page))
    assert len(keys) == 2
    assert bench.press(page, line=keys[1]).status_code == 302
    assert bench.tags() == ["J1"]
    answer = bench.press(all="1")
    assert answer.status_code == 302
    assert "J2 new." in words_of(bench.page())
    assert bench.tags() == ["J1", "J2"]


def test_a_page_that_was_read_before_the_plot_changed_is_told_what_changed(bench: Bench) -> None:
    page = bench.page()
    bench.wear(bench.jory, "3", "smock")
    answer = bench.press(page, all="1")
    assert answer.status_code == 409
    assert "Nothing was taken to the bench." in words_of(answer)
    assert "Jory Tarrow at sixty: three figures now, two then." in words_of(answer)
    assert "The last to write in the plot was Ines." in words_of(answer)
    assert not Figure.objects.exists()
    assert bench.press(answer, all="1").status_code == 302
    assert bench.tags() == ["J1", "J2", "J3"]


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        ({"line": "figure:99"}, 422),
        ({}, 422),
        ({"all": "1", "revision": "x"}, 409),
        ({"all": "1", "draft": "99999999999999"}, 409),
        ({"all": "1", "revision": "-1", "shown": "a:b,::,9:" + "9" * 5000}, 409),
    ],
)
def test_rubbish_makes_no_figure(bench: Bench, sent: dict[str, str], status: int) -> None:
    assert bench.press(**sent).status_code == status
    assert not Figure.objects.exists()


def test_htmx_gets_the_lines_with_the_sentence(bench: Bench) -> None:
    page = bench.page()
    hidden = dict(re.findall(r'name="(draft|revision|shown)" value="([^"]*)"', content(page)))
    answer = bench.client.post(
        reverse("builds:bench_accept", args=[bench.show.pk]),
        {**hidden, "all": "1"},
        headers={"HX-Request": "true"},
    )
    assert "<html" not in content(answer)
    assert content(answer).lstrip().startswith('<div id="bench"')
    assert "J1 and J2 new." in words_of(answer)


@pytest.mark.parametrize("more", [2, 11])
def test_queries_do_not_grow(bench: Bench, more: int, django_assert_num_queries: Any) -> None:
    bench.press(all="1")
    bench.wear(bench.jory, "3", "smock")
    for number in range(more):
        add_figure(show=bench.show, user=bench.lead, guise=bench.jory)
        bench.wear(bench.role(f"Gull {number}", "", "white"), "4", "white")
    bench.page()
    with django_assert_num_queries(50):
        bench.page()


# Borrowing


def borrow(bench: Bench, guise: Any, **sent: Any) -> Any:
    url = reverse("builds:guise_borrow", args=[guise.pk])
    return bench.client.post(url, sent, follow=True)


def test_a_head_is_borrowed_and_given_back_by_form(bench: Bench) -> None:
    young = bench.role("Jory Tarrow", "at thirty", "coat")
    page = borrow(bench, young, part="head", lender=bench.jory.pk)
    assert "the head is that of Jory Tarrow at sixty now" in words_of(page)
    assert GuisePart.objects.get(guise=young).pattern.made_for == bench.jory
    page = borrow(bench, young, part="head", lender="")
    assert "the head is its own now" in words_of(page)
    assert GuisePart.objects.get(guise=young).pattern.made_for == young


def test_borrowing_what_does_not_fit_says_so(bench: Bench) -> None:
    heron = bench.role("The Heron", "", "grey", kind="rod")
    page = borrow(bench, bench.jory, part="head", lender=heron.pk)
    assert "Select a valid choice" in words_of(page)
    assert not GuisePart.objects.exists()


def test_borrowing_is_the_leads(bench: Bench) -> None:
    url = reverse("builds:guise_borrow", args=[bench.jory.pk])
    assert client_of(person(bench.company, Role.MAKER, "T")).post(url).status_code == 403
    assert client_of(person(CompanyFactory(), Role.LEAD, "S")).post(url).status_code == 404
    assert client_of(None).post(url).status_code == 302
