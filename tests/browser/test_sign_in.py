"""Coming in by link and by password, at both widths, with and without JavaScript."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from company.services.companies import start_company
from company.services.sign_in import make_link, set_password


@pytest.fixture
def lead(live_server):
    _, user = start_company(name="Driftmoor Figure Theatre", lead_name="Ines")
    return user


@pytest.mark.parametrize("javascript", [True, False], ids=["script", "no script"])
def test_link_lets_in_once_and_offers_a_password(lead, open_page, width, javascript, live_server):
    token = make_link(user=lead, company=lead.memberships.get().company, by=None)
    page = open_page(width=width, javascript=javascript)

    page.goto(f"/in/{token}/")
    expect(page.get_by_role("heading", level=1)).to_have_text("Come in, Ines")
    page.get_by_role("button", name="Come in").click()
    page.wait_for_url(f"{live_server.url}/")
    page.goto("/password/")
    page.get_by_label("New password", exact=True).fill("seven herring barrels")
    page.get_by_label("New password, again").fill("seven herring barrels")
    page.get_by_role("button", name="Keep this password").click()
    page.wait_for_url(f"{live_server.url}/")

    again = open_page(width=width, javascript=javascript)
    again.goto(f"/in/{token}/")
    expect(again.get_by_role("heading", level=1)).to_have_text("This link lets nobody in")
    again.get_by_role("link", name="Sign in").click()
    again.get_by_label("Sign-in name").fill("INES")
    again.get_by_label("Password").fill("seven herring barrels")
    again.get_by_role("button", name="Come in").click()
    again.wait_for_url(f"{live_server.url}/")


def test_wrong_password_is_told_and_the_form_kept(lead, open_page, width):
    set_password(user=lead, password="seven herring barrels")
    page = open_page(width=width)

    page.goto("/sign-in/")
    page.get_by_label("Sign-in name").fill("Ines")
    page.get_by_label("Password").fill("eight herring barrels")
    page.get_by_role("button", name="Come in").click()

    expect(page.get_by_role("alert")).to_contain_text("do not belong together")
    expect(page.get_by_label("Sign-in name")).to_have_value("Ines")


def test_pages_before_the_door_hold_no_faults(lead, open_page, width, find_faults):
    token = make_link(user=lead, company=lead.memberships.get().company, by=None)
    page = open_page(width=width)
    for address in ("/sign-in/", f"/in/{token}/", "/in/lost/", "/sign-out/", "/nowhere/"):
        page.goto(address)
        assert find_faults(page) == [], address
        # Nothing sticks out sideways.
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), address
    signed_in = open_page(lead, width=width)
    for address in ("/password/", "/sign-out/"):
        signed_in.goto(address)
        expect(signed_in).to_have_url(re.compile(address))
        assert find_faults(signed_in) == [], address
