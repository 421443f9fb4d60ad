"""The pages for what went wrong: plain words, a way on, whoever asks."""

from __future__ import annotations

import pytest
from django.core.exceptions import PermissionDenied
from django.test import RequestFactory
from django.views import defaults

from company.models import User


@pytest.fixture(params=["stranger", "member"])
def request_of(request, db):
    from django.contrib.auth.models import AnonymousUser

    asked = RequestFactory().get("/somewhere/")
    asked.user = AnonymousUser()
    if request.param == "member":
        asked.user = User.objects.create_user("ines", "Ines")
    return asked


def test_not_found(request_of):
    answer = defaults.page_not_found(request_of, Exception())
    page = answer.content.decode()
    assert answer.status_code == 404
    assert "There is nothing at this address" in page
    assert '<a class="btn" href="/">' in page


def test_address_that_is_none(client, db):
    answer = client.get("/no/such/page/")
    assert answer.status_code == 404
    assert "Nothing here" in answer.content.decode()


def test_not_allowed_says_who_may(request_of):
    refused = PermissionDenied("Only a lead of Driftmoor may do this.")
    page = defaults.permission_denied(request_of, refused).content.decode()
    assert "Only a lead of Driftmoor may do this." in page
    bare = defaults.permission_denied(request_of, PermissionDenied()).content.decode()
    assert "Your place in the company does not allow this." in bare


def test_bad_request(request_of):
    answer = defaults.bad_request(request_of, Exception())
    assert answer.status_code == 400
    assert "makes no sense here" in answer.content.decode()


def test_broken_needs_nothing_of_the_request():
    answer = defaults.server_error(RequestFactory().get("/"))
    page = answer.content.decode()
    assert answer.status_code == 500
    assert "Something broke here, not with you" in page
    assert '<a class="btn" href="/">' in page
