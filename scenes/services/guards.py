"""Why a role, guise or costume cannot be taken away, and what to do about it.

Figures are rows of the workshop: they are met only through the guise's own `figures`.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import QuerySet

from scenes.models import Appearance, ChangeRule, Character, Costume, Guise, Show


def are_letters_fixed(character: Character) -> bool:
    """Letters stand inside figures: from the first figure of the role on they never change."""
    return Guise.objects.filter(character=character, figures__isnull=False).exists()


def reasons_to_keep_guise(guise: Guise, show: Show) -> list[str]:
    """Sentences; none where the guise may go. Its costumes go with it."""
    rows = Appearance.objects.filter(guise=guise)
    rules = ChangeRule.objects.filter(guise=guise)
    tags = [str(figure) for figure in guise.figures.all()]  # type: ignore[attr-defined]
    reasons = _plot_reasons(rows, rules, show)
    if tags:
        reasons.append(
            f"{_listed(tags)} {'is' if len(tags) == 1 else 'are'} numbered for life and keep"
            f"{'s' if len(tags) == 1 else ''} the guise. Leave it: out of the plot it asks for "
            "no new figure."
        )
    if guise.sketches.all():
        reasons.append("Sketches are kept with it. Whoever put them up takes them away first.")
    if not tags and guise.steps.all():  # type: ignore[attr-defined]
        reasons.append("Work at the bench is written down for it. Leave it: it costs nothing.")
    if not reasons and guise.tracks.all():
        reasons.append("An earlier count is kept that names it. Leave it: it costs nothing.")
    return reasons


def reasons_to_keep_role(character: Character, show: Show) -> list[str]:
    """Sentences; none where the role may go, with all its guises and costumes."""
    reasons = []
    guises = character.guises.prefetch_related("figures", "sketches", "steps", "tracks")
    for guise in guises:
        guise.character = character
        said = reasons_to_keep_guise(guise, show)
        reasons += [f"{guise}: {sentence}" for sentence in said] if guise.name else said
    return reasons


def reasons_to_keep_costume(costume: Costume, show: Show) -> list[str]:
    """Sentences; none where the costume may go."""
    rows = Appearance.objects.filter(costume=costume)
    rules = ChangeRule.objects.filter(from_costume=costume) | ChangeRule.objects.filter(
        to_costume=costume
    )
    reasons = _plot_reasons(rows, rules, show)
    worn_by = costume.figure_costumes.select_related("figure")  # type: ignore[attr-defined]
    tags = sorted({str(row.figure) for row in worn_by})
    if tags:
        reasons.append(
            f"{_listed(tags)} {'wears' if len(tags) == 1 else 'wear'} it. Leave it, or rename it."
        )
    elif costume.steps.exists():  # type: ignore[attr-defined]
        reasons.append("Sewing is written down for it. Leave it, or rename it.")
    return reasons


def _plot_reasons(rows: QuerySet[Appearance], rules: QuerySet[ChangeRule], show: Show) -> list[str]:
    """What the plot says against it: this draft's scenes by name, older drafts by number."""
    reasons = []
    labels = list(
        dict.fromkeys(
            rows.filter(draft=show.current_draft_id)
            .order_by("scene__position")
            .values_list("scene__label", flat=True)
        )
    )
    if labels:
        word = "scene" if len(labels) == 1 else "scenes"
        reasons.append(f"The plot has it in {word} {_listed(labels)}. Take it out of there first.")
    if rules.filter(draft=show.current_draft_id).exists():
        reasons.append("A change is written for it in the plot. Take that out first.")
    if not reasons:
        kept = {*rows.values_list("draft__number", flat=True)}
        kept |= {*rules.values_list("draft__number", flat=True)}
        if kept:
            word = "Draft" if len(kept) == 1 else "Drafts"
            reasons.append(
                f"{word} {_listed(str(number) for number in sorted(kept))} of the plot "
                f"{'has' if len(kept) == 1 else 'have'} it and {'is' if len(kept) == 1 else 'are'} "
                "kept. Leave it: out of this draft it asks for no figure."
            )
    return reasons


def _listed(words: Iterable[str]) -> str:
    said = list(words)
    return " and ".join([", ".join(said[:-1]), said[-1]]) if len(said) > 1 else "".join(said)
