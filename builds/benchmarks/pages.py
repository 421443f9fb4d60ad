"""How long pages take on the server: the grid at its full size, and each page of the demo's show.

Everything happens in a database of its own. Times are medians in milliseconds; the ratio is to the
sign-in page in the same run, which asks the database for nothing.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from builds.demo.lay import lay_demo
from builds.models import Figure
from company.models import User
from company.services.companies import start_company
from scenes.models import Appearance, Character, Costume, Guise, Kind, Scene, Show
from scenes.services.shows import start_show

ROLES, SCENES, APPEARANCES, COSTUMES = 40, 60, 400, 3
PAGES = (
    ("builds:today", "today"),
    ("scenes:scene_list", "scenes and roles"),
    ("scenes:plot", "costume plot"),
    ("scenes:plot_grid", "the grid"),
    ("builds:bench", "to the bench"),
    ("builds:figure_list", "figures"),
    ("builds:wall_plan", "wall plan"),
    ("builds:sheet_list", "bench sheets"),
)


@dataclass(frozen=True, slots=True)
class PageRow:
    """A page or an edit: median time, size of the answer, queries, ratio to the sign-in page."""

    what: str
    median_ms: float
    kilobytes: float
    queries: int
    ratio: float


@contextmanager
def own_database() -> Iterator[None]:
    """A database for the length of the measurement, thrown away afterwards."""
    name = settings.DATABASES["default"]["NAME"]
    connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
    try:
        yield
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)


def measure_pages(runs: int = 15) -> list[PageRow]:
    """Rows for an edit in the grid at 40 x 60 x 400 and for each page of the demo's show."""
    with own_database():
        client = Client(HTTP_HOST="127.0.0.1")
        still = _measure("sign-in page", lambda _: client.get(reverse("company:sign_in")), runs, 1)
        rows = [still, *_measure_grid(runs, still.median_ms), *_measure_demo(runs, still.median_ms)]
    return rows


def _measure(what: str, ask: Callable[[int], Any], runs: int, reference_ms: float) -> PageRow:
    ask(0)
    times = []
    for run in range(runs):
        began = time.perf_counter()
        answer = ask(run + 1)
        times.append((time.perf_counter() - began) * 1000)
    with CaptureQueriesContext(connection) as seen:
        answer = ask(runs + 1)
    if answer.status_code != 200:
        raise RuntimeError(f"{what} answered {answer.status_code}")
    median = statistics.median(times)
    ratio = median / reference_ms if what != "sign-in page" else 1.0
    return PageRow(what, median, len(answer.content) / 1024, len(seen), ratio)


def _measure_grid(runs: int, reference_ms: float) -> list[PageRow]:
    lead, show = lay_large_show()
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(lead, backend="django.contrib.auth.backends.ModelBackend")
    guises = list(Guise.objects.filter(character__show=show).order_by("pk"))
    costumes = {
        guise.pk: list(Costume.objects.filter(guise=guise).values_list("pk", flat=True))
        for guise in guises
    }
    scenes = list(Scene.objects.filter(draft=show.current_draft))
    chance = random.Random(5)

    def edit(run: int) -> Any:
        guise = guises[run % len(guises)]
        scene = chance.choice(scenes)
        while Appearance.objects.filter(scene=scene, guise=guise).count() > 1:
            scene = chance.choice(scenes)
        address = reverse("scenes:cell_pick", args=[show.pk, guise.pk, scene.key])
        pick = costumes[guise.pk][run % COSTUMES]
        return client.post(address, {"costume": pick}, headers={"HX-Request": "true"})

    grid = reverse("scenes:plot_grid", args=[show.pk])
    size = f"{ROLES} x {SCENES} x {APPEARANCES}"
    return [
        _measure(f"one edit in the grid, {size}", edit, runs, reference_ms),
        _measure(f"the grid, {size}", lambda _: client.get(grid), runs, reference_ms),
    ]


def _measure_demo(runs: int, reference_ms: float) -> list[PageRow]:
    show, lead = lay_demo()
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(lead, backend="django.contrib.auth.backends.ModelBackend")
    asked = [(words, reverse(name, args=[show.pk])) for name, words in PAGES]
    figure = Figure.objects.filter(show=show)[3]
    asked.append(("a figure", figure.get_absolute_url()))
    asked.append(("company", show.company.get_absolute_url()))
    return [
        _measure(words, lambda _, at=address: client.get(at), runs, reference_ms)  # type: ignore[misc]
        for words, address in asked
    ]


def lay_large_show() -> tuple[User, Show]:
    """A show of 40 roles, 60 scenes and 400 appearances, at most one in a cell but for a few."""
    company, lead = start_company(name="Large", lead_name="Lead")
    show = start_show(company=company, user=lead, title="Large")
    draft = show.current_draft
    assert draft is not None
    chance = random.Random(3)
    scenes = Scene.objects.bulk_create(
        Scene(
            draft=draft,
            label=str(n + 1),
            title=f"Scene of the plot number {n + 1}",
            act="One" if n < SCENES // 2 else "Two",
            position=n,
            length_s=60 * chance.randint(2, 9),
            gap_s=chance.choice((0, 0, 30)),
        )
        for n in range(SCENES)
    )
    guises = []
    for n in range(ROLES):
        character = Character.objects.create(
            show=show, name=f"Role {n + 1}", letters=_letters(n), position=n
        )
        guise = Guise.objects.create(character=character, kind=Kind.STRING)
        guises.append(guise)
        Costume.objects.bulk_create(
            Costume(guise=guise, name=name, name_key=name, tint=k % 6 + 1, position=k)
            for k, name in enumerate(("coat", "smock", "nightshirt"))
        )
    cells = chance.sample([(s, g) for s in scenes for g in guises], APPEARANCES)
    costumes = {g.pk: list(Costume.objects.filter(guise=g)) for g in guises}
    Appearance.objects.bulk_create(
        Appearance(draft=draft, scene=s, guise=g, costume=chance.choice(costumes[g.pk]))
        for s, g in cells
    )
    return lead, show


def _letters(n: int) -> str:
    return chr(65 + n // 26) + chr(65 + n % 26)
