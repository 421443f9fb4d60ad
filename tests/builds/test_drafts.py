"""Drafts of the plot: named, compared, gone back to; begun work never hangs loose unsaid."""

from __future__ import annotations

import re

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from builds.models import Step
from builds.queries.bench import read_bench
from builds.queries.draft_minutes import draft_minutes
from builds.queries.draft_work import read_dropped, read_hanging
from builds.queries.steps import read_workshop
from builds.services.draft_dates import date_of_draft
from builds.services.hours import log_work
from builds.services.work import begin_step
from company import clock
from company.models import Change, Membership, Role
from scenes.models import Appearance, Draft, Scene, Show
from scenes.queries.draft_changes import compare_drafts
from scenes.queries.drafts import A_PAGE, read_drafts, with_draft
from scenes.services.drafts import go_back_to, name_draft, open_draft
from scenes.services.exports import export_plot
from scenes.services.scenes import edit_scene, move_scene, remove_scene
from scenes.services.undo import redo_edit, undo_edit
from tests.builds.desk import Desk, facts_of_bench, nothing_lost
from tests.builds.workshop import Workshop
from tests.factories import person
from tests.scenes.plots import lay_large_plot
from tests.scenes.sent import HTMX

pytestmark = pytest.mark.django_db

LIST_QUERIES, COMPARE_QUERIES = 17, 107


@pytest.fixture
def desk():
    """Draft 1 with a heron in two costumes, at the bench; the next edit opens draft 2."""
    desk = Desk()
    heron = desk.role("The Heron", "", "flying", "standing")
    desk.wear(heron, "1", "flying")
    desk.wear(heron, "3", "standing")
    desk.accept()
    desk.heron = heron
    return desk


@pytest.fixture
def begun(desk):
    """Six hours in the figure that plays scene 3."""
    step = Step.objects.filter(figure=desk.figure("H2"), begun_at=None).first()
    begin_step(step=step, user=desk.lead, maker=desk.ines, reason="The wood was there")
    log_work(step=step, user=desk.lead, maker=desk.ines, day=clock.today(desk.company), minutes=360)
    return step


def draft(desk, number):
    return Draft.objects.get(show=desk.show, number=number)


def scene(desk, label):
    return Scene.objects.get(draft=desk.show.current_draft, label=label)


def page(client, desk, name="draft_list", *args, **query):
    return client.get(reverse(f"builds:{name}", args=[desk.show.pk, *args]), query)


def shown(answer) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


# The list


def test_list_counts_every_draft(desk):
    desk.wear(desk.heron, "2", "flying", "standing")

    drafts = read_drafts(desk.show)

    assert [(d.draft.number, d.entries, d.figures, d.is_current) for d in drafts.lines] == [
        (2, 4, 2, True),
        (1, 2, 2, False),
    ]
    assert drafts.current.came_from == 1
    assert drafts.lines[0].draft.made_at == clock.now()


def test_older_drafts_are_on_the_next_page(desk):
    for _ in range(A_PAGE + 3):
        open_draft(show=desk.show, user=desk.lead, parent=desk.show.current_draft)

    first = read_drafts(desk.show)
    second = read_drafts(desk.show, first.older)

    assert (len(first.lines), first.total) == (A_PAGE, A_PAGE + 4)
    assert [line.draft.number for line in second.lines] == [4, 3, 2, 1]
    assert second.older is None


# Names


def test_draft_is_named_and_the_name_taken_away(desk):
    name_draft(show=desk.show, user=desk.lead, draft=draft(desk, 1), name="  As  read through ")

    assert str(draft(desk, 1)) == "As read through"
    change = Change.objects.filter(noun="draft").order_by("pk").last()
    assert (change.before, change.after) == ({"name": ""}, {"name": "As read through"})
    name_draft(show=desk.show, user=desk.lead, draft=draft(desk, 1), name="")
    assert str(draft(desk, 1)) == "draft 1"


def test_two_drafts_do_not_share_a_name(desk):
    desk.wear(desk.heron, "2", "flying")
    name_draft(show=desk.show, user=desk.lead, draft=draft(desk, 1), name="Spring")

    with pytest.raises(ValidationError, match="Draft 1 is called 'Spring' already"):
        name_draft(show=desk.show, user=desk.lead, draft=draft(desk, 2), name="SPRING ")
    with pytest.raises(ValidationError, match="At most 80 letters, not 81"):
        name_draft(show=desk.show, user=desk.lead, draft=draft(desk, 2), name="x" * 81)


# Going back


def test_going_back_copies_with_keys_and_loses_nothing(desk):
    before = export_plot(desk.show)
    keys = set(Appearance.objects.values_list("key", flat=True))
    remove_scene(show=desk.show, user=desk.lead, key=scene(desk, "3").key)
    bench = facts_of_bench(desk.show)

    opened = go_back_to(show=desk.show, user=desk.lead, draft=draft(desk, 1))

    assert (opened.number, opened.parent.number) == (3, 1)
    assert export_plot(desk.show) == before
    assert set(opened.appearances.values_list("key", flat=True)) == keys
    assert draft(desk, 2).appearances.count() == 1
    assert nothing_lost(bench, facts_of_bench(desk.show)) == []


def test_going_back_is_undone_and_made_again(desk):
    desk.wear(desk.heron, "2", "flying")
    before = export_plot(desk.show)
    go_back_to(show=desk.show, user=desk.lead, draft=draft(desk, 1))

    assert undo_edit(show=desk.show, user=desk.lead).said == "back to draft 1"
    assert (desk.show.current_draft.number, export_plot(desk.show)) == (2, before)
    redo_edit(show=desk.show, user=desk.lead)
    assert desk.show.current_draft.number == 3


def test_going_back_is_not_undone_over_what_others_wrote_since(desk):
    desk.wear(desk.heron, "2", "flying")
    go_back_to(show=desk.show, user=desk.lead, draft=draft(desk, 1))
    ines, desk.lead = desk.lead, person(desk.company, Role.LEAD, name="Odile")
    desk.wear(desk.heron, "4", "flying")

    with pytest.raises(Exception, match="Odile has worked in this draft since: The Heron in scen"):
        undo_edit(show=desk.show, user=ines)


def test_going_back_to_the_current_draft_does_nothing(desk):
    assert go_back_to(show=desk.show, user=desk.lead, draft=draft(desk, 1)).number == 1
    assert Draft.objects.filter(show=desk.show).count() == 1


# Comparing


def test_two_drafts_are_compared_in_sentences(desk):
    desk.wear(desk.heron, "1", "flying", "flying")
    edit_scene(show=desk.show, user=desk.lead, key=scene(desk, "2").key, length_s=360)
    remove_scene(show=desk.show, user=desk.lead, key=scene(desk, "3").key)
    move_scene(show=desk.show, user=desk.lead, key=scene(desk, "4").key, is_up=True)
    desk.change(desk.heron, "flying", "standing", 60)

    changes = compare_drafts(desk.show, draft(desk, 1), draft(desk, 2))

    said = {
        group.title: [(row.fate, row.what, row.how) for row in group.rows]
        for group in changes.groups
    }
    assert said["Scenes"][:2] == [
        ("changed", "Scene 4", "plays at another place in the order"),
        ("changed", "Scene 2", "running time: 6, was 5"),
    ] or said["Scenes"][0][1] in ("Scene 2", "Scene 4")
    assert ("went", "Scene 3", "") in said["Scenes"]
    assert ("came", "The Heron in scene 1, flying", "") in said["Who is on"]
    assert ("went", "The Heron in scene 3, standing", "") in said["Who is on"]
    assert said["Changes of costume"] == [("came", "The Heron, flying to standing", "")]
    assert changes.found.figures == (2, 2)


def test_same_drafts_differ_in_nothing(desk):
    open_draft(show=desk.show, user=desk.lead, parent=desk.show.current_draft)

    assert compare_drafts(desk.show, draft(desk, 1), draft(desk, 2)).is_same


def test_hours_of_a_draft_grow_with_its_figures():
    shop = Workshop()
    before = draft_minutes(read_bench(shop.show), read_workshop(shop.show))

    assert before > 0
    scene_row = Scene.objects.filter(draft=shop.show.current_draft).first()
    entry = Appearance.objects.filter(draft=shop.show.current_draft).first()
    Appearance.objects.create(
        draft=shop.show.current_draft,
        scene=entry.scene or scene_row,
        guise=entry.guise,
        costume=entry.costume,
    )
    Draft.objects.filter(pk=shop.show.current_draft_id).update(revision=99)
    show = Show.objects.select_related("company", "current_draft").get(pk=shop.show.pk)
    assert draft_minutes(read_bench(show), read_workshop(show)) > before


# What hangs on what goes


def test_begun_work_in_a_scene_is_named(desk, begun):
    (hanging,) = read_hanging(desk.show, scene_keys=[scene(desk, "3").key])

    assert (str(hanging.figure), hanging.hours_min, hanging.plays_on) == ("H2", 360, False)
    assert hanging.steps == (begun.stage.name,)
    assert read_hanging(desk.show, scene_keys=[scene(desk, "1").key]) == []
    assert read_hanging(desk.show, scene_keys=[scene(desk, "2").key]) == []


def test_draft_without_a_begun_figures_part_names_it(desk, begun):
    remove_scene(show=desk.show, user=desk.lead, key=scene(desk, "3").key)
    go_back_to(show=desk.show, user=desk.lead, draft=draft(desk, 1))

    assert [str(one.figure) for one in read_dropped(desk.show, draft(desk, 2))] == ["H2"]
    assert read_dropped(desk.show, draft(desk, 3)) == []


# The pages


def test_list_page_names_and_compares(desk, client):
    client.force_login(desk.lead)
    desk.wear(desk.heron, "2", "flying")

    words = shown(page(client, desk))

    assert "There are 2 drafts, and every one is kept. Draft 2 is written now and needs" in words
    assert "Taken to the bench on 4 March 2026." in words
    answer = client.post(
        reverse("builds:draft_name", args=[desk.show.pk, 1]), {"name": "As first read"}
    )
    assert answer.url == reverse("builds:draft_list", args=[desk.show.pk])
    assert "As first read" in shown(client.get(answer.url))


def test_wrong_name_is_told_and_kept(desk, client):
    client.force_login(desk.lead)

    answer = client.post(reverse("builds:draft_name", args=[desk.show.pk, 1]), {"name": "x" * 81})

    assert answer.status_code == 422
    assert "At most 80 letters, not 81." in shown(answer)
    assert f'value="{"x" * 81}"' in answer.content.decode()


def test_compare_page_says_figures_hours_and_rows(desk, client):
    client.force_login(desk.lead)
    desk.wear(desk.heron, "1", "flying", "flying")

    words = shown(page(client, desk, "draft_compare", **{"from": 1, "to": 2}))

    assert "Draft 2 needs one figure more: 3 after 2" in words
    assert "came The Heron in scene 1, flying" in words
    assert "3 figures, 2 before" in words


def test_going_back_over_begun_work_asks_once_more(desk, begun, client):
    client.force_login(desk.lead)
    remove_scene(show=desk.show, user=desk.lead, key=scene(desk, "3").key)
    go_back_to(show=desk.show, user=desk.lead, draft=draft(desk, 1))
    back = reverse("builds:draft_back", args=[desk.show.pk, 2])
    facts = facts_of_bench(desk.show)

    asked = client.post(back)

    assert asked.status_code == 422
    words = shown(asked)
    assert "Work is begun for what draft 2 does not have" in words
    assert f"H2 , The Heron: 6 h in it, begun: {begun.stage.name}." in words
    assert "It would have nothing to play." in words
    assert desk.show.current_draft.number == 3
    sent = dict(re.findall(r'name="(sure)" value="(1)"', asked.content.decode()))
    done = client.post(back, sent)
    assert done.url == reverse("builds:draft_list", args=[desk.show.pk])
    assert desk.show.current_draft.number == 4
    assert nothing_lost(facts, facts_of_bench(desk.show)) == []
    assert Step.objects.get(pk=begun.pk).begun_at


def test_scene_with_begun_work_is_taken_out_knowingly(desk, begun, client):
    client.force_login(desk.lead)
    url = reverse("scenes:scene_remove", args=[desk.show.pk, scene(desk, "3").key])

    words = shown(client.get(url))

    assert "Work is begun for it" in words
    assert "H2 , The Heron: 6 h in it" in words
    assert "Take it out all the same" in words
    calm = reverse("scenes:scene_remove", args=[desk.show.pk, scene(desk, "2").key])
    assert "Work is begun" not in shown(client.get(calm))


@pytest.mark.parametrize("headers", [{}, HTMX], ids=["page", "fragment"])
def test_entry_with_begun_work_does_not_go_in_silence(desk, begun, client, headers):
    client.force_login(desk.lead)
    key = scene(desk, "3").key
    url = reverse("scenes:cell_clear", args=[desk.show.pk, desk.heron.pk, key])

    answer = client.post(url, headers=headers)

    if not headers:
        answer = client.get(answer.url.partition("#")[0])
    assert "Work is begun for what you took out: H2 , The Heron: 6 h in it" in shown(answer)


def test_pasted_block_says_what_hangs_on_what_it_takes_out(desk, begun, client):
    client.force_login(desk.lead)
    desk.wear(desk.heron, "3", "standing", "flying")
    standing = Appearance.objects.get(
        draft=desk.show.current_draft, scene__label="3", costume__name="flying"
    )
    assert standing

    answer = client.post(
        reverse("scenes:plot_paste", args=[desk.show.pk]), {"block": "\t3\nThe Heron\tflying"}
    )

    words = shown(answer)
    assert "taken out" in words


def test_day_is_planned_on_a_copy_of_each(client):
    shop = Workshop()
    show = Show.objects.select_related("company", "current_draft").get(pk=shop.show.pk)
    before = Change.objects.count(), facts_of_bench(show), Draft.objects.count()

    found = date_of_draft(show, show.current_draft)

    assert found.day is not None
    assert (Change.objects.count(), facts_of_bench(show), Draft.objects.count()) == before
    lead = Membership.objects.filter(company=show.company, role=Role.LEAD).first()
    client.force_login(lead.user if lead else person(show.company, Role.LEAD))
    answer = client.get(reverse("builds:draft_date", args=[show.pk]), headers=HTMX)
    assert "with draft 1" in shown(answer)


def test_show_without_people_says_why_there_is_no_day(desk, client):
    client.force_login(desk.lead)

    answer = page(client, desk, "draft_date")

    assert "Nobody has hours from now on" in shown(answer)


@pytest.mark.parametrize("role", [Role.MAKER, Role.READER])
def test_others_look_and_do_not_touch(desk, client, role):
    client.force_login(person(desk.company, role))
    desk.wear(desk.heron, "2", "flying")

    assert "Name it" not in shown(page(client, desk))
    looked = page(client, desk, "draft_compare", **{"from": 2, "to": 1})
    assert "Go back to draft" not in shown(looked)
    for name in ("draft_name", "draft_back"):
        url = reverse(f"builds:{name}", args=[desk.show.pk, 1])
        assert client.post(url, {"name": "x"}).status_code == 403


@pytest.mark.parametrize("number", ["9", "x", "99999999999"])
def test_draft_that_is_not_there_is_not_found_or_passed_over(desk, client, number):
    client.force_login(desk.lead)

    answer = page(client, desk, "draft_compare", **{"from": number})

    assert answer.status_code == (404 if number == "9" else 200)


def test_show_without_scenes_says_what_comes_next(client):
    desk = Desk(scenes=0)
    Show.objects.filter(pk=desk.show.pk).update(current_draft=None)
    client.force_login(desk.lead)

    answer = page(client, desk)

    assert "No draft is written yet" in shown(answer)
    assert page(client, desk, "draft_compare").status_code == 404


@pytest.mark.parametrize("rows", [1, 10])
def test_reads_are_the_same_for_one_row_and_for_ten(client, django_assert_num_queries, rows):
    show = lay_large_plot(roles=rows, scenes=rows + 1, appearances=rows)
    for _ in range(rows):
        show = Show.objects.select_related("company", "current_draft").get(pk=show.pk)
        open_draft(show=show, user=None, parent=show.current_draft)
    client.force_login(person(show.company, Role.LEAD))

    with django_assert_num_queries(LIST_QUERIES):
        client.get(reverse("builds:draft_list", args=[show.pk]))
    with django_assert_num_queries(COMPARE_QUERIES):
        client.get(reverse("builds:draft_compare", args=[show.pk]), {"from": 1, "to": 2})


def test_reading_with_another_draft_leaves_the_show_as_it_is(desk):
    show = desk.show

    assert with_draft(show, None).current_draft is None
    assert show.current_draft.number == 1
