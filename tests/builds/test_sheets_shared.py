"""On whose sheet shared work stands, and what a sheet says of several steps together."""

from __future__ import annotations

import pytest

from builds.models import Figure, Pattern, Stage, Step
from builds.queries.sheets.care import LAST_WORD, care_for, told
from builds.queries.sheets.owners import find_owners
from builds.services.patterns import borrow_part
from scenes.models import Guise
from scenes.services.guises import add_guise
from tests.builds.desk import Desk


@pytest.mark.django_db
class TestOwners:
    @pytest.fixture
    def desk(self) -> Desk:
        """Jory twice at sixty and once at thirty; the younger borrows the head of the older."""
        made = Desk()
        self.old = made.role("Jory Tarrow", "at sixty", "coat", "nightshirt")
        self.young = self._younger(made)
        made.wear(self.old, "1", "coat")
        made.wear(self.old, "2", "nightshirt")
        made.wear(self.young, "3", "smock")
        borrow_part(guise=self.young, part="head", lender=self.old, user=made.lead)
        made.accept()
        return made

    def _younger(self, made: Desk) -> Guise:
        return add_guise(
            show=made.show,
            user=made.lead,
            character=self.old.character,
            name="at thirty",
            costumes=["smock"],
        )

    def owners(self, desk: Desk, *left_out: str) -> dict[tuple[str, str], str]:
        """Tag of the owner by stage key and what the step is for."""
        figures = [f for f in Figure.objects.filter(show=desk.show) if f.tag not in left_out]
        steps = Step.objects.filter(show=desk.show).select_related("stage")
        found = find_owners(desk.show, steps, figures)
        tags = {figure.pk: figure.tag for figure in Figure.objects.all()}
        return {
            (step.stage.key, self._for(step)): tags[found[step.pk]]
            for step in steps
            if step.pk in found
        }

    def _for(self, step: Step) -> str:
        return str(step.figure or step.pattern or step.guise or f"pour {step.pour_id}")

    def test_work_of_a_figure_and_of_its_guise(self, desk: Desk) -> None:
        found = self.owners(desk)
        old = [tag for tag in ("J1", "J2", "J3") if desk.figure(tag).guise_id == self.old.pk]
        young = next(t for t in ("J1", "J2", "J3") if desk.figure(t).guise_id == self.young.pk)
        assert len(old) == 2
        for tag in ("J1", "J2", "J3"):
            assert found["carve", tag] == tag
        assert found["choose-sketch", str(self.old)] == old[0]
        assert found["choose-sketch", str(self.young)] == young

    def test_a_borrowed_head_stands_with_the_guise_that_it_was_made_for(self, desk: Desk) -> None:
        head = Pattern.objects.get(made_for=self.old, part="head")
        found = self.owners(desk)
        first = min(t for t in ("J1", "J2", "J3") if desk.figure(t).guise_id == self.old.pk)
        assert found["sculpt-head", str(head)] == first

    def test_and_with_the_borrower_where_none_of_that_guise_is_built(self, desk: Desk) -> None:
        head = Pattern.objects.get(made_for=self.old, part="head")
        old = [t for t in ("J1", "J2", "J3") if desk.figure(t).guise_id == self.old.pk]
        young = next(t for t in ("J1", "J2", "J3") if desk.figure(t).guise_id == self.young.pk)
        assert self.owners(desk, *old)["sculpt-head", str(head)] == young

    def test_a_pour_stands_with_the_figure_of_its_casting(self, desk: Desk) -> None:
        found = self.owners(desk)
        steps = Step.objects.filter(show=desk.show, pour__isnull=False).select_related("pour")
        assert steps.count() > 3
        for step in steps:
            (casting,) = step.pour.castings.all()
            owner = found[step.stage.key, self._for(step)]
            # What is poured in case another fails stands with a figure of the same pattern.
            assert owner == str(casting.figure) if casting.figure else owner in found.values()

    def test_every_live_step_has_one(self, desk: Desk) -> None:
        live = Step.objects.filter(show=desk.show, struck_at=None)
        assert len(self.owners(desk)) == live.count()


def stage(name: str, **more: object) -> Stage:
    return Stage(pk=abs(hash(name)) % 10**6, name=name, key=name.lower(), **more)  # type: ignore[misc]


class TestTold:
    def test_one_step_needs_no_name(self) -> None:
        (only,) = told([stage("Carve", ask_if="It splits.")] * 3, lambda s: s.ask_if)
        assert (only.steps, only.text) == ("", "It splits.")

    def test_equal_words_stand_once_with_the_names_of_their_steps(self) -> None:
        stages = [stage("Carve", ask_if="It splits."), stage("Joint", ask_if=" It splits. "),
                  stage("Paint", ask_if="It runs."), stage("Bag")]  # fmt: skip
        said = [(one.steps, one.text) for one in told(stages, lambda s: s.ask_if)]
        assert said == [("Carve and Joint", "It splits."), ("Paint", "It runs.")]


class TestCare:
    def test_a_closing_that_several_share_is_said_once(self) -> None:
        care = care_for(
            [
                stage("Carve", cautions="Knives cut. Local rules come first."),
                stage("Paint", cautions="No brush in the mouth. Local rules come first."),
                stage("Sew", cautions="Pins counted. Ask the sewer."),
            ]
        )
        assert care.last_words == ("Local rules come first.",)
        assert care.lines == (
            "Knives cut.",
            "No brush in the mouth.",
            "Pins counted. Ask the sewer.",
        )

    def test_somebody_has_the_last_word_on_every_sheet(self) -> None:
        assert care_for([stage("Sew", cautions="Pins counted.")]).last_words == (LAST_WORD,)
        own = care_for([stage("Sew", cautions="Pins counted. Your local rules come first.")])
        assert own.last_words == ()
        assert own.lines == ("Pins counted. Your local rules come first.",)

    def test_what_stands_inside_another_caution_is_not_said_twice(self) -> None:
        hanging = "Nobody's head below."
        care = care_for(
            [
                stage("Hang", cautions=hanging),
                stage("String", cautions=f"A broken string drops it. {hanging}"),
            ]
        )
        assert care.lines == ("A broken string drops it. Nobody's head below.",)

    def test_a_lone_sentence_is_never_lost(self) -> None:
        care = care_for([stage("A", cautions="Mask on."), stage("B", cautions="Hot. Mask on.")])
        assert "Mask on." in " ".join((*care.lines, *care.last_words))
        same = care_for([stage("A", cautions="Mask on."), stage("B", cautions="Mask on.")])
        assert "Mask on." in " ".join((*same.lines, *same.last_words))

    def test_for_whom_a_step_is_closed(self) -> None:
        care = care_for(
            [
                stage("Saw", needs_saw_training=True, closed_to_under_18=True),
                stage("Pour", closed_to_latex_allergy=True),
                stage("Trim", closed_to_latex_allergy=True),
            ]
        )
        assert care.marks == (
            "Not for anyone with a latex allergy: Pour and Trim.",
            "Only for people trained on the saw: Saw.",
            "Not for anyone under 18: Saw.",
        )
        assert care
        assert not care_for([stage("Bag")])
