"""Coming in: one-time links, of which only a hash is kept, and passwords."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Mapping
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest
from django.urls import reverse

from company import clock
from company.core.names import name_key
from company.models import Company, SignInLink, User
from company.services.changes import record_change

LINK_LASTS = timedelta(days=7)


class LinkRefused(Exception):
    """Why a link lets nobody in, as a sentence."""


def hash_of(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def make_link(*, user: User, company: Company, by: User | None) -> str:
    """The secret of a new one-time link for the person; an older unused one ends with it."""
    now = clock.now()
    user.sign_in_links.filter(used_at=None, expires__gt=now).update(expires=now)
    token = secrets.token_urlsafe(24)
    expires = now + LINK_LASTS
    SignInLink.objects.create(user=user, token_hash=hash_of(token), expires=expires)
    record_change(
        company=company,
        user=by,
        noun="sign-in link",
        row=user.pk,
        after={"for": user.name, "expires": expires.isoformat()},
    )
    return token


def link_address(token: str) -> str:
    """The whole address to hand to the person."""
    return f"{settings.SITE_URL}{reverse('company:link', args=[token])}"


def read_link(*, token: str) -> SignInLink:
    """The link, if it would still let its person in. Looking does not use it up."""
    link = SignInLink.objects.select_related("user").filter(token_hash=hash_of(token)).first()
    if link is None or not link.user.is_active:
        raise LinkRefused("This link is not known here; perhaps a part of it was lost on the way.")
    if link.used_at is not None:
        raise LinkRefused("This link has been used: each lets one person in, once.")
    if link.expires <= clock.now():
        raise LinkRefused("This link has run out, or a newer one was made after it.")
    return link


@transaction.atomic
def use_link(*, token: str) -> User:
    """Uses the link up and returns who came in. Of two at once, one is refused.

    Writes no row of the record: to come in changes nothing of the company's.
    """
    link = read_link(token=token)
    fresh = SignInLink.objects.filter(pk=link.pk, used_at=None)
    if not fresh.update(used_at=clock.now()):
        raise LinkRefused("This link has been used: each lets one person in, once.")
    user: User = link.user
    return user


@transaction.atomic
def set_password(*, user: User, password: str) -> User:
    """Gives the person a password of their own, and ends every other way in they had.

    Writes no row of the record: a password is the person's, not a company's.
    Raises ValidationError where the password is too easy to guess.
    """
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise ValidationError({"password": error.messages}) from error
    user.set_password(password)
    user.save(update_fields=["password"])
    now: datetime = clock.now()
    user.sign_in_links.filter(used_at=None, expires__gt=now).update(expires=now)
    return user


def attempted_name(request: HttpRequest | None, credentials: Mapping[str, str] | None) -> str:
    """The sign-in name that somebody tried, so that its spellings count as one."""
    typed = (credentials or {}).get("username")
    if typed is None and request is not None:
        typed = request.POST.get("username")
    return name_key(typed or "")[:255]
