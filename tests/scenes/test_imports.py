"""Importing a plot: a new draft or every problem at once, by the command and on the page."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.core.management.base import CommandError
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from builds.models import Figure
from company import clock
from company.models import Change, Company, Role
from scenes.core.plot_files import Source
from scenes.models import (
    Appearance,
    ChangeRule,
    Character,
    Costume,
    Draft,
    Guise,
    Rig,
    Scene,
    Show,
    Walk,
)
from scenes.services.exports import export_plot
from scenes.services.imports import ImportRefused, PlotSources, import_plot
from tests.factories import CompanyFactory, ShowFactory, person
from tests.scenes.plots import lay_salt_almanac

pytestmark = pytest.mark.django_db

SCENES = """\
scene,title,act,minutes,gap_after
1,The tide table,one,4,
2,The pier,one,4:30,0:30
3a,Fog,two,5.5,20
"""
PLOT = """\
scene,character,guise,costume,enters,leaves,from_place,to_place,copies
1,Jory Tarrow,at nine,smock,,,left,right,
2,Jory Tarrow,at nine,oilskin,1,4,,,2
3a,Jory Tarrow,at sixty,pilot coat,-0:30,6,bridge,,
3a,The Heron,,,,,,,
"""
CHANGES = """\
character,guise,from_costume,to_costume,minutes,people
Jory Tarrow,at nine,smock,oilskin,2:30,2
Bartle,,apron,tarpaulin,4,
"""


def sources(scenes=SCENES, plot=PLOT, changes=None, guises=None):
    def source(name, text):
        return Source(name, text if isinstance(text, bytes) else text.encode())

    return PlotSources(
        source("scenes.csv", scenes),
        source("plot.csv", plot),
        None if changes is None else source("changes.csv", changes),
        None if guises is None else source("guises.csv", guises),
    )


def bring_in(company, title="The Salt Almanac", files=None, **more):
    return import_plot(company=company, user=None, title=title, sources=files or sources(), **more)


def refused(company, **files):
    with pytest.raises(ImportRefused) as stopped:
        bring_in(company, files=sources(**files))
    assert not Show.objects.exists()
    assert not Change.objects.exists()
    return [str(problem) for problem in stopped.value.problems]


def says(draft, model, *columns):
    return sorted(map(str, model.objects.filter(draft=draft).values_list(*columns)))


@pytest.fixture
def company():
    return CompanyFactory(name="Driftmoor Figure Theatre")


# What is made


def test_show_and_all_that_the_files_name_is_made(company):
    done = bring_in(company, files=sources(changes=CHANGES), crossing_s=60, reset_s=0)

    show = Show.objects.get()
    assert (show.title, show.crossing_s, show.reset_s) == ("The Salt Almanac", 60, 0)
    assert show.current_draft == done.draft
    assert done.draft.number == 1
    names = Character.objects.values_list("name", "letters", "position")
    assert list(names) == [("Jory Tarrow", "J", 0), ("The Heron", "H", 1), ("Bartle", "B", 2)]
    assert [str(guise) for guise in Guise.objects.order_by("pk")] == [
        "Jory Tarrow at nine",
        "Jory Tarrow at sixty",
        "The Heron",
        "Bartle",
    ]
    costumes = Costume.objects.order_by("pk").values_list("name", "tint")
    assert list(costumes) == [
        ("smock", 1),
        ("oilskin", 2),
        ("pilot coat", 3),
        ("apron", 4),
        ("tarpaulin", 5),
    ]
    assert done.made == {"role": 3, "guise": 4, "costume": 5, "show": 1}


def test_rows_say_what_the_files_say(company):
    draft = bring_in(company, files=sources(changes=CHANGES)).draft

    scenes = Scene.objects.filter(draft=draft).values_list("label", "act", "length_s", "gap_s")
    assert list(scenes) == [
        ("1", "one", 240, 0),
        ("2", "one", 270, 30),
        ("3a", "two", 330, 1200),
    ]
    rows = Appearance.objects.filter(draft=draft).order_by("pk")
    columns = ("costume__name", "enters_s", "leaves_s", "from_place", "to_place", "copies")
    assert list(rows.values_list(*columns)) == [
        ("smock", None, None, "left", "right", 1),
        ("oilskin", 60, 240, "", "", 2),
        ("pilot coat", -30, 360, "bridge", "", 1),
        (None, None, None, "", "", 1),
    ]
    rules = ChangeRule.objects.filter(draft=draft).order_by("pk")
    assert list(rules.values_list("change_s", "people")) == [(150, 2), (240, 1)]


def test_names_match_within_their_parent_and_keep_their_first_spelling(company):
    bring_in(company)
    plot = "scene,character,guise,costume\n1, JORY  tarrow ,AT NINE,Smock\n1,The Heron,,smock\n"

    done = bring_in(company, title="the SALT almanac", files=sources(plot=plot))

    assert done.made == {"role": 0, "guise": 0, "costume": 1, "show": 0}
    assert Character.objects.filter(name="Jory Tarrow").count() == 1
    owners = Costume.objects.filter(name="smock").values_list("guise__character__name", flat=True)
    assert set(owners) == {"Jory Tarrow", "The Heron"}


def test_always_a_new_draft_and_the_old_one_stays(company):
    first = bring_in(company).draft
    before = says(first, Appearance, "key", "costume__name")

    second = bring_in(company, files=sources(scenes=SCENES.replace("Fog", "Mist"))).draft

    assert (second.number, second.parent) == (2, first)
    assert Show.objects.get().current_draft == second
    assert Scene.objects.get(draft=first, label="3a").title == "Fog"
    assert says(first, Appearance, "key", "costume__name") == before


def test_draft_that_a_person_began_is_not_written_over(company):
    show = lay_salt_almanac(company=company)

    done = bring_in(company, title=show.title)

    assert done.draft.number == 2
    assert Appearance.objects.filter(draft__number=1).count() == 23


def test_figures_are_never_touched(company):
    bring_in(company)
    guise = Guise.objects.get(name="at nine")
    figure = Figure.objects.create(
        show=Show.objects.get(), guise=guise, letters="J", number=4, made_at=clock.now(), note="eye"
    )
    Draft.objects.update(frozen_at=clock.now())

    bring_in(company, files=sources(plot="scene,character,guise,costume\n"))

    figure.refresh_from_db()
    assert (figure.tag, figure.note, figure.guise) == ("J4", "eye", guise)
    assert Guise.objects.filter(pk=guise.pk).exists()


def test_equal_and_overlapping_rows_are_kept_apart(company):
    plot = "scene,character,guise,costume\n" + "1,Gulls,,plain\n" * 3

    draft = bring_in(company, files=sources(plot=plot)).draft

    assert Appearance.objects.filter(draft=draft).count() == 3
    assert len(set(Appearance.objects.values_list("key", flat=True))) == 3


def test_headers_alone_are_good(company):
    done = bring_in(
        company, files=sources(scenes="scene,minutes\n", plot="scene,character,guise,costume\n")
    )

    assert (done.scenes, done.appearances) == (0, 0)


def test_one_record_of_the_whole_import(company):
    done = bring_in(company)

    change = Change.objects.get(noun="import")
    assert change.row == str(done.draft.pk)
    assert change.after["files"] == ["scenes.csv", "plot.csv"]
    assert change.after["appearances"] == 4


def test_times_stay_where_none_are_given(company):
    ShowFactory(company=company, title="Salt", crossing_s=45, reset_s=15)

    bring_in(company, title="Salt")
    show = Show.objects.get()
    assert (show.crossing_s, show.reset_s) == (45, 15)

    bring_in(company, title="Salt", crossing_s=0, reset_s=0)
    show.refresh_from_db()
    assert (show.crossing_s, show.reset_s) == (0, 0)


# Spellings of a file


@pytest.mark.parametrize(
    "turn",
    [
        lambda text: text.encode("utf-8-sig"),
        lambda text: text.replace(",", ";").encode(),
        lambda text: text.replace("\n", "\r\n").encode(),
        lambda text: ("\n\n" + text + "\n,,,,\n").replace("\n,,,,\n", "\n\n").encode(),
    ],
    ids=["bom", "semicolons", "windows lines", "blank lines"],
)
def test_any_spelling_of_a_table_says_the_same(company, turn):
    plain = bring_in(company, title="plain").draft
    other = bring_in(company, title="other", files=sources(turn(SCENES), turn(PLOT))).draft

    for model, columns in ((Scene, ("label", "length_s")), (Appearance, ("enters_s", "copies"))):
        assert says(plain, model, *columns) == says(other, model, *columns)


def test_columns_in_any_order(company):
    plot = "costume,guise,character,scene\nsmock,at nine,Jory Tarrow,1\n"

    draft = bring_in(company, files=sources(plot=plot)).draft

    assert str(Appearance.objects.get(draft=draft).guise) == "Jory Tarrow at nine"


def test_names_of_forty_letters_in_any_script(company):
    name = "Ünglückshäher-Grünspecht-Ŵẃéñ-鷺-Ёж " + "x" * 4
    plot = f"scene,character,guise,costume\n1,{name},{name},{name}\n"

    draft = bring_in(company, files=sources(plot=plot)).draft

    row = Appearance.objects.get(draft=draft)
    assert (row.guise.character.name, row.guise.name, row.costume.name) == (name, name, name)


# What is wrong


def test_every_problem_of_every_file_at_once(company):
    told = refused(
        company,
        scenes="scene,minutes\n1,4\n1,5\n2,long\n,3\n",
        plot="scene,character,guise,costume,enters,leaves,copies\n"
        "9,Jory,,smock,,,\n1,,,smock,,,0\n1,Jory,,smock,3,2,1\n",
        changes="character,guise,from_costume,to_costume,minutes\nJory,,smock,smock,-1\n",
    )

    # A line that cannot be read is not looked at further, so that each problem is told once.
    assert [line.split(": ", 1)[0] for line in told] == [
        "scenes.csv:3",
        "scenes.csv:4",
        "scenes.csv:5",
        "plot.csv:2",
        "plot.csv:3",
        "plot.csv:3",
        "plot.csv:4",
        "changes.csv:2",
        "changes.csv:2",
    ]
    assert "there already, in line 2" in told[0]
    assert "there is no scene '9' in scenes.csv" in told[3]


@pytest.mark.parametrize(
    ("scenes", "words"),
    [
        ("", "is empty"),
        ("scene,minutes,colour\n1,4,red\n", "unknown column 'colour'"),
        ("scene,title\n1,x\n", "the column minutes is missing"),
        ('scene,minutes\n"1,4\n', "never closed"),
        (SCENES.replace("Fog", "Fög").encode("latin-1"), "is not UTF-8"),
        (SCENES.encode("utf-16"), "UTF-16"),
        (b"scene,minutes\n1,4\x00\n", "zero byte"),
        ("scene,minutes\n1,0\n", "longer than 0"),
        ("scene,minutes\n1,4,5\n", "has 3 cells"),
    ],
)
def test_file_that_cannot_be_read_is_refused_in_words(company, scenes, words):
    told = refused(company, scenes=scenes)

    assert any(words in line and line.startswith("scenes.csv:") for line in told)


def test_ten_megabytes_of_rubbish_are_refused_quickly(company):
    told = refused(company, scenes=b"\xfe\x07" * 5_000_000, plot="x," * 5_000_000)

    assert any("10.0 MB" in line for line in told)
    assert any("UTF-16" in line or "MB" in line for line in told)


def test_more_roles_than_any_show_has_are_refused(company):
    plot = "scene,character,guise,costume\n" + "".join(f"1,gull {n},,\n" for n in range(501))

    assert refused(company, plot=plot) == ["plot.csv:1: names 501 roles; a show has at most 500"]


def test_title_that_cannot_be_is_refused(company):
    for title, words in (("", "needs a title"), ("x" * 121, "longer than 120")):
        with pytest.raises(ImportRefused) as stopped:
            bring_in(company, title=title)
        assert words in str(stopped.value.problems[0])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300), st.binary(max_size=300))
def test_rubbish_is_refused_or_read_never_half_saved(company, scenes, plot):
    before = Scene.objects.count(), Draft.objects.count()
    try:
        bring_in(company, title="Rubbish", files=sources(scenes, plot))
    except ImportRefused:
        assert (Scene.objects.count(), Draft.objects.count()) == before


# What is known again


def test_keys_stay_with_scenes_entries_and_changes(company):
    first = bring_in(company, files=sources(changes=CHANGES)).draft
    second = bring_in(company, files=sources(changes=CHANGES)).draft

    for model in (Scene, Appearance, ChangeRule):
        assert says(first, model, "key") == says(second, model, "key")


def test_entry_whose_minutes_change_keeps_its_key(company):
    first = bring_in(company).draft
    second = bring_in(company, files=sources(plot=PLOT.replace("oilskin,1,4", "oilskin,2,4"))).draft

    assert says(first, Appearance, "key") == says(second, Appearance, "key")
    assert Appearance.objects.get(draft=second, costume__name="oilskin").enters_s == 120


def test_twins_each_keep_a_key_of_their_own(company):
    plot = "scene,character,guise,costume,copies\n1,Gulls,,plain,1\n1,Gulls,,plain,3\n"
    first = bring_in(company, files=sources(plot=plot)).draft
    turned = "scene,character,guise,costume,copies\n1,Gulls,,plain,3\n1,Gulls,,plain,1\n"
    second = bring_in(company, files=sources(plot=turned)).draft

    assert says(first, Appearance, "key", "copies") == says(second, Appearance, "key", "copies")


def test_column_left_out_keeps_what_stands(company):
    show = lay_salt_almanac(company=company)
    Appearance.objects.filter(draft=show.current_draft).update(hold="hung in view", rig="flying")
    scenes = "scene,minutes,gap_after\n" + "".join(f"{n},5,20\n" for n in range(1, 11))
    plot = "scene,character,guise,costume\n2,Jory Tarrow,at nine,smock\n"

    draft = bring_in(company, title=show.title, files=sources(scenes, plot)).draft

    fifth = Scene.objects.get(draft=draft, label="5")
    assert (fifth.title, fifth.act, fifth.is_interval) == ("Storm", "Act one", True)
    row = Appearance.objects.get(draft=draft)
    assert (row.hold, row.rig) == ("hung in view", "flying")


# The command


@pytest.fixture
def folder(tmp_path):
    for name, text in (("scenes.csv", SCENES), ("plot.csv", PLOT), ("changes.csv", CHANGES)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def command(folder, *more, title="The Salt Almanac"):
    out, err = io.StringIO(), io.StringIO()
    files = ["--scenes", str(folder / "scenes.csv"), "--plot", str(folder / "plot.csv")]
    try:
        call_command("import_plot", title, *files, *more, stdout=out, stderr=err)
    except SystemExit as stopped:
        return stopped.code, out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def test_command_makes_a_company_where_there_is_none(folder):
    code, out, err = command(folder, "--changes", str(folder / "changes.csv"))

    assert (code, err) == (0, "")
    assert out == (
        "The Salt Almanac, draft 1: 3 scenes, 4 entries, 2 changes. "
        "New: 3 roles, 4 guises, 5 costumes, 1 show.\n"
    )
    company = Company.objects.get()
    assert (company.name, company.time_zone, company.units, company.paper) == (
        "My company",
        "UTC",
        "metric",
        "A4",
    )


def test_command_takes_the_only_company_there_is(folder, company):
    command(folder, "--crossing", "1:30", "--reset", "0.5")

    show = Show.objects.get()
    assert (show.company, show.crossing_s, show.reset_s) == (company, 90, 30)


def test_command_gives_no_time_where_none_is_given(folder, company):
    ShowFactory(company=company, title="The Salt Almanac", crossing_s=45, reset_s=30)

    command(folder)

    show = Show.objects.get()
    assert (show.crossing_s, show.reset_s) == (0, 0)


def test_command_lists_the_companies_where_there_are_several(folder, company):
    other = CompanyFactory(name="The Other Bench")

    with pytest.raises(CommandError, match="Driftmoor Figure Theatre, The Other Bench"):
        command(folder)
    with pytest.raises(CommandError, match="no company called 'Nobody'"):
        command(folder, "--company", "Nobody")
    assert not Show.objects.exists()

    command(folder, "--company", " the other BENCH ")
    assert Show.objects.get().company == other


def test_command_says_every_problem_and_saves_nothing(folder):
    (folder / "scenes.csv").write_text("scene,minutes\n1,x\n", encoding="utf-8")
    (folder / "plot.csv").write_text("scene,character,guise,costume\n9,A,,b\n", encoding="utf-8")

    code, out, err = command(folder)

    assert (code, out) == (1, "")
    lines = err.splitlines()
    assert lines[0].startswith(f"{folder / 'scenes.csv'}:2: minutes: ")
    assert lines[1].startswith(f"{folder / 'plot.csv'}:2: scene: there is no scene '9'")
    assert not Company.objects.exists()


def test_command_says_what_cannot_be_opened_beside_what_is_wrong(folder):
    (folder / "plot.csv").write_text("nonsense\n", encoding="utf-8")
    missing = str(folder / "nowhere.csv")

    code, _, err = command(folder, "--changes", missing, "--crossing", "soon", "--reset", "-1")

    assert code == 1
    starts = [line.split(": ", 1)[0] for line in err.splitlines()]
    assert starts[:3] == ["--crossing:1", "--reset:1", f"{missing}:1"]
    assert f"{folder / 'plot.csv'}:1" in starts
    assert "No such file" in err


def test_command_refuses_a_folder_as_a_file(folder, tmp_path):
    code, _, err = command(folder, "--changes", str(tmp_path))

    assert code == 1
    assert "cannot be read" in err


def test_command_refuses_a_title_that_cannot_be(folder):
    code, _, err = command(folder, title="  ")

    assert code == 1
    assert "A show needs a title." in err
    assert not Company.objects.exists()


def test_own_export_comes_in_and_changes_nothing_but_the_number(company, tmp_path):
    show = lay_salt_almanac(company=company)
    old = show.current_draft
    Appearance.objects.filter(draft=old).update(hold="one hand", from_place="left")
    say_places_and_rigs(show)
    for name, data in export_plot(show).items():
        (tmp_path / name).write_bytes(data)

    before = says_of_people(show)
    more = [f"--{name}={tmp_path / name}.csv" for name in ("changes", "guises", "places")]

    code, _, _ = command(tmp_path, *more, "--crossing=1", "--reset=0:30", title=show.title)

    assert code == 0
    show.refresh_from_db()
    new = show.current_draft
    assert (old.number, new.number) == (1, 2)
    unlike = {"id", "draft_id", "draft", "scene_id", "scene", "version"}
    for model in (Scene, Appearance, ChangeRule):
        columns = [f.attname for f in model._meta.concrete_fields if f.attname not in unlike]
        assert says(new, model, *columns) == says(old, model, *columns)
    assert export_plot(show) == {
        name: (tmp_path / name).read_bytes()
        for name in ("scenes.csv", "plot.csv", "changes.csv", "guises.csv", "places.csv")
    }
    assert says_of_people(show) == before


def say_places_and_rigs(show):
    """Ways of their own, trick builds, and how many people a guise takes."""
    for pair, seconds in ((("left", "bridge"), 90), (("bridge", "left"), 20)):
        Walk.objects.create(show=show, from_place=pair[0], to_place=pair[1], walk_s=seconds)
    heron = Guise.objects.get(character__show=show, character__letters="H")
    Guise.objects.filter(pk=heron.pk).update(people=2)
    for name, plays_plain in (("flying", True), ("break-away", False), ("fight", True)):
        Rig.objects.create(guise=heron, name=name, plays_plain=plays_plain)


def says_of_people(show):
    """Every column of every role, guise, costume, trick build and way."""
    return [
        list(model.objects.for_company(show.company).order_by("pk").values())
        for model in (Character, Guise, Costume, Rig, Walk)
    ]


def test_export_comes_into_an_empty_house_whole(company, tmp_path):
    show = lay_salt_almanac(company=company)
    Guise.objects.filter(name="at sixty").update(
        height_mm=560, scale="0.8", words="bent, dry", has_working=True, note="two\nlines"
    )
    say_places_and_rigs(show)
    Costume.objects.filter(name="smock").update(tint=6, sewing_min=480, weight_g=120, matters=True)
    files = {name: Source(name, data) for name, data in export_plot(show).items()}
    other = CompanyFactory(name="The Other Bench")

    bring_in(
        other,
        files=PlotSources(
            *(files[f"{name}.csv"] for name in ("scenes", "plot", "changes", "guises", "places"))
        ),
    )

    assert export_plot(Show.objects.get(company=other)) == export_plot(show)


GUISES = """\
character,guise,letters,kind,height_mm,costume,sewing,matters
Jory Tarrow,at nine,JT,rod,480,smock,8,yes
The Moon,,M,shadow,,,,
"""


def test_guises_file_makes_and_fills_who_is_in_the_plot(company):
    bring_in(company, files=sources(guises=GUISES))

    boy = Guise.objects.get(name="at nine")
    assert (boy.character.letters, boy.kind, boy.height_mm) == ("JT", "rod", 480)
    smock = boy.costumes.get(name="smock")
    assert (smock.sewing_min, smock.matters) == (480, True)
    assert Guise.objects.get(character__name="The Moon").kind == "shadow"
    assert Character.objects.get(name="The Heron").letters == "H"


def test_blank_cells_take_nothing_away_and_nothing_new_takes_no_version(company):
    bring_in(company, files=sources(guises=GUISES))
    boy = Guise.objects.get(name="at nine")

    bring_in(company, files=sources(guises=GUISES))
    bring_in(company, files=sources(guises="character,guise,height_mm\nJory Tarrow,at nine,\n"))

    again = Guise.objects.get(name="at nine")
    assert (again.height_mm, again.version) == (480, boy.version)


def test_letters_exchange_places(company):
    bring_in(company)
    swap = "character,guise,letters\nJory Tarrow,at nine,H\nThe Heron,,J\n"

    bring_in(company, files=sources(guises=swap))

    assert Character.objects.get(name="Jory Tarrow").letters == "H"
    assert Character.objects.get(name="The Heron").letters == "J"


def test_letters_of_another_role_and_fixed_letters_are_refused(company):
    bring_in(company)
    guise = Guise.objects.get(name="at nine")
    Figure.objects.create(
        show=Show.objects.get(), guise=guise, letters="J", number=1, made_at=clock.now()
    )
    wrong = "character,guise,letters\nJory Tarrow,at nine,K\nThe Moon,,H\n"

    with pytest.raises(ImportRefused) as stopped:
        bring_in(company, files=sources(guises=wrong))

    assert [str(problem) for problem in stopped.value.problems] == [
        "guises.csv:2: letters: J stands inside figures of Jory Tarrow, and is fixed",
        "guises.csv:3: letters: The Heron has H already",
    ]
    assert Draft.objects.count() == 1
    bring_in(company, files=sources(guises=wrong.replace(",K", ",J").replace(",H", ",M")))


def test_problems_of_the_guises_file_stand_beside_the_others(company):
    told = refused(company, plot="scene\n1\n", guises="character,guise,tint\nJory,,9\n")

    assert {line.split(":")[0] for line in told} == {"plot.csv", "guises.csv"}


# The page


@pytest.fixture
def show(company):
    return lay_salt_almanac(company=company)


def send(client, show, scenes=SCENES, plot=PLOT, changes=None):
    def upload(name, text):
        data = text if isinstance(text, bytes) else text.encode()
        return SimpleUploadedFile(name, data, content_type="text/csv")

    data = {"scenes": upload("scenes.csv", scenes), "plot": upload("plot.csv", plot)}
    if changes is not None:
        data["changes"] = upload("changes.csv", changes)
    return client.post(reverse("scenes:plot_import", args=[show.pk]), data)


def test_page_brings_a_draft_in_and_keeps_the_times_of_the_show(show, client):
    client.force_login(person(show.company, Role.LEAD))

    response = send(client, show, changes=CHANGES)

    assert response.status_code == 302
    show.refresh_from_db()
    assert (show.current_draft.number, show.crossing_s, show.reset_s) == (2, 60, 30)


def test_page_lists_every_problem_and_saves_nothing(show, client):
    client.force_login(person(show.company, Role.LEAD))

    response = send(client, show, scenes="scene,minutes\n1,x\n", plot="<script>,b\n")

    html = response.content.decode()
    assert response.status_code == 422
    assert "<b>scenes.csv, line 2</b>: minutes:" in html
    assert "&lt;script&gt;" in html
    assert Draft.objects.count() == 1


def test_page_asks_for_files_that_were_not_chosen(show, client):
    client.force_login(person(show.company, Role.LEAD))

    response = client.post(reverse("scenes:plot_import", args=[show.pk]), {})

    assert response.status_code == 422
    assert set(response.context["form"].errors) == {"scenes", "plot"}


def test_page_takes_ten_megabytes_of_rubbish_calmly(show, client):
    client.force_login(person(show.company, Role.LEAD))

    response = send(client, show, scenes=b"\x07,\n" * 3_400_000)

    assert response.status_code == 422
    assert "10.2 MB; a plot file is at most 8 MB" in response.content.decode()


def test_empty_file_is_told_to_be_empty(show, client):
    client.force_login(person(show.company, Role.LEAD))

    assert "is empty" in send(client, show, scenes=b"").content.decode()


@pytest.mark.parametrize(("role", "status"), [(Role.MAKER, 403), (Role.READER, 403), (None, 404)])
def test_only_a_lead_brings_in(show, client, role, status):
    user = person(show.company, role) if role else person(CompanyFactory(), Role.LEAD)
    client.force_login(user)

    assert send(client, show).status_code == status
    assert Draft.objects.count() == 1
