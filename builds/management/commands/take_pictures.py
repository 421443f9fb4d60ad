"""`take_pictures`: the pictures of the README, taken of the demo in a headless browser."""

from __future__ import annotations

import os
import shutil
import tempfile
import threading
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.urls import reverse

from builds.demo.lay import lay_demo
from builds.management.commands.demo import SWITCH, enter_demo
from builds.models import Figure
from company import serving
from company.models import User
from scenes.models import Show

DAY = "2027-05-06T10:30:00+01:00"  # one day for all pictures, so that they change only with pages
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
DESK, PHONE = (1440, 900), (390, 844)


class Command(BaseCommand):
    help = "Take the README's pictures of the demo anew. Needs Chromium and the test packages."

    def add_arguments(self, parser: CommandParser) -> None:
        folder = Path(settings.BASE_DIR) / ".pictures"
        parser.add_argument("--out", type=Path, default=folder, help="folder for the pictures")

    def handle(self, *args: Any, out: Path, **options: Any) -> None:
        browser = next(filter(None, map(shutil.which, BROWSERS)), None)
        if browser is None:
            raise CommandError("Chromium is missing; type: sudo apt install chromium")
        if os.environ.get(SWITCH) != "1":
            os.environ["TODAY"] = DAY
            enter_demo(Path(tempfile.mkdtemp()) / "demo", fresh=False)
        folder = Path(settings.DATA_DIR)
        try:
            with serving.bind_port("127.0.0.1", 8300) as bound:
                address = serving.adopt_address("127.0.0.1", bound.getsockname()[1])
                serving.make_ready(self.stdout.write)
                show, lead = lay_demo()
                server = self._serve(bound)
                try:
                    self._take(browser, address, show, lead, out)
                finally:
                    server.close()
        finally:
            shutil.rmtree(folder.parent, ignore_errors=True)

    def _serve(self, bound: Any) -> Any:
        from waitress import create_server

        from company.wsgi import application

        server = create_server(application, sockets=[bound], threads=4)
        threading.Thread(target=server.run, daemon=True).start()
        return server

    def _take(self, browser: str, address: str, show: Show, lead: User, out: Path) -> None:
        from playwright.sync_api import sync_playwright

        cookie, wanted = self._session(lead), self._wanted(show)
        out.mkdir(parents=True, exist_ok=True)
        with sync_playwright() as play:
            chromium = play.chromium.launch(
                executable_path=browser,
                args=["--no-sandbox", "--disable-background-networking"],
            )
            for name, path, (width, height) in wanted:
                context = chromium.new_context(viewport={"width": width, "height": height})
                context.add_cookies(
                    [{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": address}]
                )
                page = context.new_page()
                page.goto(address + path)
                page.wait_for_load_state("networkidle")
                page.screenshot(path=out / f"{name}.png")
                context.close()
                self.stdout.write(str(out / f"{name}.png"))
            chromium.close()

    def _wanted(self, show: Show) -> list[tuple[str, str, tuple[int, int]]]:
        figure = Figure.objects.filter(show=show, castings__isnull=False).order_by("pk")[3]
        step = figure.steps.filter(struck_at=None, begun_at__isnull=False, finished_at=None).first()
        plain = ("plot", "plot_grid", "scene_list")
        pages = [(name, reverse(f"scenes:{name}", args=[show.pk]), DESK) for name in plain]
        plain = ("bench", "figure_list", "wall_plan", "today", "sheet_list")
        pages += [(name, reverse(f"builds:{name}", args=[show.pk]), DESK) for name in plain]
        pages.append(("figure_detail", figure.get_absolute_url(), DESK))
        pages.append(("today_phone", reverse("builds:today", args=[show.pk]), PHONE))
        if step is not None:
            pages.append(("step_phone", reverse("builds:step_detail", args=[step.pk]), PHONE))
        return pages

    def _session(self, lead: User) -> str:
        session = SessionStore()
        session[SESSION_KEY] = str(lead.pk)
        session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
        session[HASH_SESSION_KEY] = lead.get_session_auth_hash()
        session.save()
        return str(session.session_key)
