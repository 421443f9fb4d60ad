"""What every request passes: the zone of the company, caches, the way to sign in, stale edits."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth.models import AnonymousUser
from django.http import HttpResponse
from django.test import RequestFactory
from django.utils import timezone

from company.middleware import CompanyTimeMiddleware, StaleEditMiddleware
from company.models import Company, User
from company.services.changes import StaleEdit, claim_version
from company.services.companies import start_company

pytestmark = pytest.mark.django_db


@pytest.fixture
def lead() -> User:
    return start_company(
        name="Driftmoor Figure Theatre", lead_name="Ines", time_zone="Pacific/Auckland"
    )[1]


def ask(user, path="/"):
    request = RequestFactory().get(path)
    request.user = user
    return request


def zone_inside(user) -> str:
    seen = []

    def view(request):
        seen.append(timezone.get_current_timezone_name())
        return HttpResponse()

    CompanyTimeMiddleware(view)(ask(user))
    return seen[0]


def test_times_are_told_in_the_company_s_zone(lead):
    assert zone_inside(lead) == "Pacific/Auckland"
    assert timezone.get_current_timezone_name() == "UTC"


def test_strangers_and_people_without_a_company_get_utc():
    assert zone_inside(AnonymousUser()) == "UTC"
    assert zone_inside(User.objects.create_user("odile", "Odile")) == "UTC"


def test_a_zone_that_is_gone_does_not_break_the_page(lead):
    Company.objects.update(time_zone="Atlantis/Harbour")
    assert zone_inside(lead) == "UTC"


def test_the_view_s_own_zone_error_is_not_swallowed(lead):
    def view(request):
        ZoneInfo("No/Where")

    with pytest.raises(KeyError):
        CompanyTimeMiddleware(view)(ask(lead))


def test_places_are_read_once_a_request(lead, django_assert_num_queries):
    from company.access import places_of

    def view(request):
        places_of(request.user)
        return HttpResponse()

    fresh = User.objects.get(pk=lead.pk)
    with django_assert_num_queries(1):
        CompanyTimeMiddleware(view)(ask(fresh))


def test_pages_stay_out_of_caches_unless_they_say(lead):
    plain = CompanyTimeMiddleware(lambda request: HttpResponse())(ask(lead))
    assert plain["Cache-Control"] == "private, no-cache"
    said = HttpResponse(headers={"Cache-Control": "max-age=60"})
    assert CompanyTimeMiddleware(lambda request: said)(ask(lead))["Cache-Control"] == "max-age=60"


def test_htmx_request_of_a_stranger_takes_the_whole_page_to_sign_in(client):
    answer = client.get(
        "/password/",
        headers={"HX-Request": "true", "HX-Current-URL": "http://testserver/password/?tab=2"},
    )
    assert answer["HX-Redirect"] == "/sign-in/?next=/password/"


def stale(row, sent, **headers):
    request = RequestFactory().post("/", sent, headers=headers)
    request.user = AnonymousUser()
    middleware = StaleEditMiddleware(lambda request: HttpResponse())
    return middleware.process_exception(request, StaleEdit(row))


@pytest.mark.parametrize("htmx", [True, False])
def test_stale_edit_answers_with_both_texts(lead, htmx):
    company = lead.memberships.get().company
    sent = {"name": "Driftmoor <Puppets>", "paper": "Letter", "version": "1"}
    headers = {"HX-Request": "true"} if htmx else {}
    answer = stale(company, sent, Referer="http://testserver/company/7/?x=1", **headers)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Driftmoor &lt;Puppets&gt;" in page
    assert "<td>Driftmoor Figure Theatre</td>" in page
    assert 'href="/company/7/"' in page
    assert ("<html" in page) == (not htmx)
    assert ">version<" not in page


def test_a_real_stale_edit_reaches_it(lead):
    company = lead.memberships.get().company
    claim_version(company, 1)
    with pytest.raises(StaleEdit) as told:
        claim_version(company, 1)
    assert stale(told.value.row, {"name": "x"}).status_code == 409


def test_other_errors_pass():
    middleware = StaleEditMiddleware(lambda request: HttpResponse())
    assert middleware.process_exception(ask(AnonymousUser()), ValueError()) is None
