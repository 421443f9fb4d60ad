"""The people who sign in: inviting them, their role, taking access away."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction

from company import clock
from company.core.names import name_key, tidy_name
from company.models import Company, Maker, Membership, Role, User
from company.services.changes import snapshot
from company.services.columns import record


@transaction.atomic
def invite(
    *,
    company: Company,
    user: User | None,
    name: str,
    role: str,
    login: str = "",
    maker: Maker | None = None,
) -> Membership:
    """Give somebody access, as a new person who signs in; the link is made apart.

    `login` is the sign-in name, the name itself where left out. `maker` is who they are at the
    bench, where they are one.
    """
    name = tidy_name(name)
    login = tidy_name(login) or name
    problems = invite_problems(company, name=name, login=login, role=role, maker=maker)
    if problems:
        raise ValidationError(problems)
    person = User.objects.create_user(login=login, name=name)
    place = Membership.objects.create(user=person, company=company, role=role)
    if maker is not None:
        maker.user = person
        maker.save(update_fields=["user"])
    after = snapshot(place) | {"name": name, "maker": maker.pk if maker else None}
    record(company, user, "access", place.pk, None, after)
    return place


def invite_problems(
    company: Company, *, name: str, login: str, role: str, maker: Maker | None
) -> dict[str, list[str]]:
    """What is wrong with an invitation, by field."""
    problems: dict[str, list[str]] = {}
    if not name:
        problems["name"] = ["Who is it? Give a name."]
    elif len(name) > 120:
        problems["name"] = [f"At most 120 letters, not {len(name)}."]
    if len(login) > 120:
        problems["login"] = [f"At most 120 letters, not {len(login)}."]
    elif User.objects.filter(login_key=name_key(login)).exists():
        problems["login"] = [f"Somebody signs in as '{login}' already: choose another name."]
    if role not in Role.values:
        problems["role"] = ["Choose reader, maker or lead."]
    if maker is not None and (maker.company_id != company.pk or maker.struck_at):
        problems["maker"] = ["That maker is not of this company."]
    elif maker is not None and maker.user_id:
        problems["maker"] = [f"{maker} signs in already, as {maker.user}."]
    return problems


@transaction.atomic
def change_role(*, place: Membership, user: User | None, role: str) -> Membership:
    """Make somebody reader, maker or lead. A company keeps one lead who signs in."""
    if role not in Role.values:
        raise ValidationError({"role": ["Choose reader, maker or lead."]})
    _keep_a_lead(place, role)
    before = snapshot(place)
    place.role = role
    place.save(update_fields=["role"])
    record(place.company, user, "access", place.pk, before, snapshot(place))
    return place


@transaction.atomic
def take_access(*, place: Membership, user: User | None) -> None:
    """Take somebody's access away; as a maker they stay. Links not used yet end with it."""
    _keep_a_lead(place, None)
    before = snapshot(place) | {"name": place.user.name}
    Maker.objects.filter(company=place.company, user=place.user).update(user=None)
    person = place.user
    row = place.pk
    place.delete()
    if not person.memberships.exists():
        person.sign_in_links.filter(used_at=None).update(expires=clock.now())
    record(place.company, user, "access", row, before, None)


def _keep_a_lead(place: Membership, role: str | None) -> None:
    # Locks the company's row, so that two leads cannot take each other out at once.
    Company.objects.select_for_update().get(pk=place.company_id)
    others = Membership.objects.filter(company=place.company, role=Role.LEAD).exclude(pk=place.pk)
    if place.role == Role.LEAD and role != Role.LEAD and not others.exists():
        words = f"{place.user} is the only lead who signs in: make somebody else lead first."
        raise ValidationError({"role": [words]})
