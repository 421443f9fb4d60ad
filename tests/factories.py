"""Rows for tests: one small factory a model, and a whole show laid as a person would lay it."""

from __future__ import annotations

from typing import Any

import factory
from factory.django import DjangoModelFactory

from company.models import Company, Craft, Maker, Membership, Role, User
from scenes.models import Character, Costume, Guise, Kind, Show


class CompanyFactory(DjangoModelFactory[Company]):
    class Meta:
        model = Company

    name = factory.Sequence(lambda n: f"Driftmoor Figure Theatre {n}" if n else "Driftmoor")
    slug = factory.Sequence(lambda n: f"driftmoor-{n}")


class UserFactory(DjangoModelFactory[User]):
    class Meta:
        model = User

    login = factory.Sequence(lambda n: f"ines{n}")
    name = "Ines"


class MembershipFactory(DjangoModelFactory[Membership]):
    class Meta:
        model = Membership

    user = factory.SubFactory(UserFactory)
    company = factory.SubFactory(CompanyFactory)
    role = Role.MAKER


class CraftFactory(DjangoModelFactory[Craft]):
    class Meta:
        model = Craft

    company = factory.SubFactory(CompanyFactory)
    name = factory.Sequence(lambda n: f"craft {n}")


class MakerFactory(DjangoModelFactory[Maker]):
    class Meta:
        model = Maker

    company = factory.SubFactory(CompanyFactory)
    name = factory.Sequence(lambda n: f"Tomas {n}" if n else "Tomas")


class ShowFactory(DjangoModelFactory[Show]):
    class Meta:
        model = Show

    company = factory.SubFactory(CompanyFactory)
    title = factory.Sequence(lambda n: f"The Salt Almanac {n}" if n else "The Salt Almanac")


class CharacterFactory(DjangoModelFactory[Character]):
    class Meta:
        model = Character

    show = factory.SubFactory(ShowFactory)
    name = factory.Sequence(lambda n: f"Jory {n}" if n else "Jory Tarrow")
    letters = factory.Sequence(lambda n: "J" + "".join(chr(65 + int(d)) for d in str(n))[:2])


class GuiseFactory(DjangoModelFactory[Guise]):
    class Meta:
        model = Guise

    character = factory.SubFactory(CharacterFactory)
    name = factory.Sequence(lambda n: f"at {n}")
    kind = Kind.STRING


class CostumeFactory(DjangoModelFactory[Costume]):
    class Meta:
        model = Costume

    guise = factory.SubFactory(GuiseFactory)
    name = factory.Sequence(lambda n: f"coat {n}")


def person(company: Company, role: Role, name: str = "Ines", **more: Any) -> User:
    """Somebody who signs in to the company in this role."""
    user: User = UserFactory(name=name, **more)
    MembershipFactory(user=user, company=company, role=role)
    return user
