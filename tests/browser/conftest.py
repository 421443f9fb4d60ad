"""A real Chromium against a live server; any word on its console fails the test.

Fixtures: `open_page(user=None, width=1440, javascript=True)` opens a page, signed in through a
session cookie; `width` is a desk (1440) and a phone (390) in turn; `find_faults(page)` runs axe.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright
from playwright.sync_api import Error as PlaywrightError

HERE = Path(__file__).parent
NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
DESK, PHONE = 1440, 390
HEIGHTS = {DESK: 900, PHONE: 844}
PICTURES = Path(tempfile.gettempdir()) / "strung-browser"
REPORT = pytest.StashKey[dict[str, pytest.TestReport]]()

OpenPage = Callable[..., Page]


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder drives the browser, marked so or not."""
    for item in items:
        if item.path.is_relative_to(HERE):
            item.add_marker(pytest.mark.browser)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Any:
    report = yield
    item.stash.setdefault(REPORT, {})[report.when] = report
    return report


@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    """One Chromium for the folder, ended with it.

    Playwright keeps an event loop in this thread, in which Django would refuse its database;
    so the leave is given here and nowhere else.
    """
    path = next(filter(None, map(shutil.which, NAMES)), None)
    if path is None:
        words = "No Chromium on this machine; on Debian and Ubuntu: sudo apt install chromium"
        pytest.fail(words) if os.environ.get("CI") else pytest.skip(words)
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        chromium = playwright.chromium.launch(
            executable_path=path, args=["--no-sandbox", "--disable-background-networking"]
        )
        yield chromium
        chromium.close()


@pytest.fixture(params=[DESK, PHONE], ids=["desk", "phone"])
def width(request: pytest.FixtureRequest) -> int:
    """The widths that every page is tried at."""
    chosen: int = request.param
    return chosen


class Watch:
    """Keeps whatever a page should not do: speak on the console, break, miss a file, go abroad."""

    def __init__(self, context: BrowserContext, site: str) -> None:
        self.site = site
        self.trouble: list[str] = []
        context.on("console", self.note_console)
        context.on("weberror", lambda error: self.trouble.append(f"script: {error.error}"))
        context.on("response", self.note_response)
        context.on("request", self.note_request)

    def note_console(self, message: Any) -> None:
        # Chromium itself remarks on every refused form (422) and stale edit (409); the answers
        # that should not be are caught below.
        if message.text.startswith("Failed to load resource"):
            return
        self.trouble.append(f"console: {message.text}")

    def note_response(self, response: Any) -> None:
        is_static = response.url.startswith(f"{self.site}{settings.STATIC_URL}")
        if response.status >= 500 or (is_static and response.status >= 400):
            self.trouble.append(f"answer {response.status}: {response.url}")

    def note_request(self, request: Any) -> None:
        if not request.url.startswith((f"{self.site}/", "about:", "blob:")):
            self.trouble.append(f"request elsewhere: {request.url[:200]}")


@pytest.fixture
def open_page(
    browser: Browser, live_server: Any, request: pytest.FixtureRequest
) -> Iterator[OpenPage]:
    contexts: list[BrowserContext] = []
    watches: list[Watch] = []

    def open_one(
        user: AbstractBaseUser | None = None, width: int = DESK, javascript: bool = True
    ) -> Page:
        context = browser.new_context(
            base_url=live_server.url,
            viewport={"width": width, "height": HEIGHTS[width]},
            java_script_enabled=javascript,
            has_touch=width == PHONE,
            locale="en-GB",
            timezone_id="Europe/London",
        )
        context.set_default_timeout(10_000)
        contexts.append(context)
        watches.append(Watch(context, live_server.url))
        if user is not None:
            context.add_cookies([session_cookie(user, live_server.url)])
        return context.new_page()

    yield open_one
    pages = [page for context in contexts for page in context.pages]
    if any(report.failed for report in request.node.stash.get(REPORT, {}).values()):
        keep_pictures(pages, request.node.name)
    for page in pages:
        let_settle(page)
    for context in contexts:
        context.close()
    trouble = [line for watch in watches for line in watch.trouble]
    assert trouble == []


def let_settle(page: Page) -> None:
    """Parts that a page still loads are let in before the rows go from under them."""
    with suppress(AssertionError, PlaywrightError):
        expect(page.locator(".htmx-request")).to_have_count(0, timeout=8_000)


def session_cookie(user: AbstractBaseUser, site: str) -> Any:
    client = Client()
    client.force_login(user)
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": site}


def keep_pictures(pages: list[Page], name: str) -> None:
    PICTURES.mkdir(exist_ok=True)
    for number, page in enumerate(pages, 1):
        file = PICTURES / f"{name.replace('/', '_')}-{number}.png"
        page.screenshot(path=file, full_page=True)
        print(f"\nWhat the page looked like: {file}")


@pytest.fixture(scope="session")
def find_faults() -> Callable[[Page], list[str]]:
    """What axe finds serious or critical on a page, one line each."""
    axe = Axe()

    def find(page: Page) -> list[str]:
        found = axe.run(page).response["violations"]
        return [
            f"{fault['id']} ({fault['impact']}): {fault['help']}: {node['html'][:200]}"
            for fault in found
            if fault["impact"] in ("serious", "critical")
            for node in fault["nodes"]
        ]

    return find
