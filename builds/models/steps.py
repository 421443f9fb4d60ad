"""Steps: stages made concrete, with what was done, how long it took, and pictures of it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from builds.models.figures import Figure, Pattern
from builds.models.moulds import Mould, Pour
from builds.models.routes import Stage
from company.models import Company, Maker, User
from company.rows import CompanyRows
from scenes.models import Costume, Guise, Show


def _subject(**given: bool) -> Q:
    names = ("guise", "pattern", "mould", "pour", "figure", "costume")
    return Q(**{f"{name}__isnull": not given.get(name, False) for name in names})


class Step(models.Model):
    """One stage for one guise, pattern, mould, pour, figure, or costume of a figure.

    The first mould of a pattern is made by the pattern's own step, each further one by its own.

    `round` is 2 and more where a figure that was made over goes through the stage again.
    `planned_min` comes from the route. `own_min`, pins, notes and the record of what was done
    are the makers' own and no re-making of steps writes them.
    """

    company_path: ClassVar[str] = "show__company"

    show = models.ForeignKey(Show, on_delete=models.PROTECT, related_name="steps")
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="steps")
    guise = models.ForeignKey(
        Guise, on_delete=models.PROTECT, null=True, blank=True, related_name="steps"
    )
    pattern = models.ForeignKey(
        Pattern, on_delete=models.PROTECT, null=True, blank=True, related_name="steps"
    )
    mould = models.ForeignKey(
        Mould, on_delete=models.PROTECT, null=True, blank=True, related_name="steps"
    )
    pour = models.ForeignKey(
        Pour, on_delete=models.PROTECT, null=True, blank=True, related_name="steps"
    )
    figure = models.ForeignKey(
        Figure, on_delete=models.PROTECT, null=True, blank=True, related_name="steps"
    )
    costume = models.ForeignKey(
        Costume, on_delete=models.PROTECT, null=True, blank=True, related_name="steps"
    )
    round = models.PositiveSmallIntegerField(default=1)
    planned_min = models.PositiveIntegerField()
    own_min = models.PositiveIntegerField("hours of its own", null=True, blank=True)
    begun_at = models.DateTimeField(null=True, blank=True)
    begun_by = models.ForeignKey(
        Maker, on_delete=models.PROTECT, null=True, blank=True, related_name="begun_steps"
    )
    finished_at = models.DateTimeField(null=True, blank=True)
    passed_at = models.DateTimeField(null=True, blank=True)
    passed_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, related_name="passed_steps"
    )
    needs_lead = models.BooleanField(default=False)
    needs_lead_words = models.CharField(max_length=300, blank=True)
    pinned_maker = models.ForeignKey(
        Maker, on_delete=models.PROTECT, null=True, blank=True, related_name="pinned_steps"
    )
    not_before = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=_subject(guise=True)
                | _subject(pattern=True)
                | _subject(mould=True)
                | _subject(pour=True)
                | _subject(figure=True)
                | _subject(figure=True, costume=True),
                name="step_one_subject",
            ),
            models.UniqueConstraint(
                fields=["stage", "guise"],
                condition=Q(guise__isnull=False),
                name="step_of_guise_once",
            ),
            models.UniqueConstraint(
                fields=["stage", "pattern"],
                condition=Q(pattern__isnull=False),
                name="step_of_pattern_once",
            ),
            models.UniqueConstraint(
                fields=["stage", "mould"],
                condition=Q(mould__isnull=False),
                name="step_of_mould_once",
            ),
            models.UniqueConstraint(
                fields=["stage", "pour"], condition=Q(pour__isnull=False), name="step_of_pour_once"
            ),
            models.UniqueConstraint(
                fields=["stage", "figure", "round"],
                condition=Q(figure__isnull=False, costume=None),
                name="step_of_figure_once",
            ),
            models.UniqueConstraint(
                fields=["stage", "figure", "costume", "round"],
                condition=Q(costume__isnull=False),
                name="step_of_costume_once",
            ),
            models.CheckConstraint(
                condition=Q(finished_at=None) | Q(begun_at__isnull=False),
                name="step_finished_needs_begun",
                violation_error_message="A step is begun before it is finished.",
            ),
            models.CheckConstraint(
                condition=Q(passed_at=None) | Q(finished_at__isnull=False),
                name="step_passed_needs_finished",
                violation_error_message="A step is finished before it is passed.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stage}, {self.subject_words}"

    @property
    def is_handed_on(self) -> bool:
        """Whether somebody began it, and the lead has given it to somebody else since."""
        given, begun = self.pinned_maker_id, self.begun_by_id
        return begun is not None and given is not None and given != begun

    @property
    def subject_words(self) -> str:
        """What the step is for, in words."""
        if self.figure:
            return f"{self.figure.tag} {self.costume}" if self.costume else self.figure.tag
        if self.pour:
            return f"{self.pour.mould.pattern.whose}, pour {self.pour.number}"
        if self.mould:
            return f"{self.mould.pattern.whose}, mould {self.mould.number}"
        return self.pattern.whose if self.pattern else str(self.guise)

    @property
    def work_min(self) -> int:
        """Minutes of work: its own where set, else the route's."""
        return self.planned_min if self.own_min is None else self.own_min

    @property
    def is_done(self) -> bool:
        """Finished, and passed where the stage is a gate."""
        return bool(self.passed_at if self.stage.gate else self.finished_at)


class WorkLog(models.Model):
    """Minutes that a maker put into a step on a day. A mistake is struck, not deleted."""

    company_path: ClassVar[str] = "step__show__company"

    step = models.ForeignKey(Step, on_delete=models.PROTECT, related_name="work")
    maker = models.ForeignKey(Maker, on_delete=models.PROTECT, related_name="work")
    day = models.DateField()
    minutes = models.PositiveIntegerField()
    note = models.CharField(max_length=300, blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["day", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes__gt=0),
                name="work_minutes_above_nought",
                violation_error_message="The time it took is longer than nought.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.minutes} min by {self.maker}"


def photo_path(photo: Photo, filename: str) -> str:
    """Where a photo is kept: the name is given by the service, never taken from the upload."""
    return f"photos/{filename}"


class Photo(models.Model):
    """A picture of a figure, a step or a pour."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="photos")
    file = models.ImageField(upload_to=photo_path, width_field="width_px", height_field="height_px")
    width_px = models.PositiveIntegerField(editable=False)
    height_px = models.PositiveIntegerField(editable=False)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="photos")
    at = models.DateTimeField()
    words = models.CharField(max_length=200, blank=True)
    figure = models.ForeignKey(
        Figure, on_delete=models.PROTECT, null=True, blank=True, related_name="photos"
    )
    step = models.ForeignKey(
        Step, on_delete=models.PROTECT, null=True, blank=True, related_name="photos"
    )
    pour = models.ForeignKey(
        Pour, on_delete=models.PROTECT, null=True, blank=True, related_name="photos"
    )
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(figure__isnull=False, step=None, pour=None)
                | Q(figure=None, step__isnull=False, pour=None)
                | Q(figure=None, step=None, pour__isnull=False),
                name="photo_one_subject",
            )
        ]

    def __str__(self) -> str:
        return self.words or f"photo of {self.figure or self.step or self.pour}"
