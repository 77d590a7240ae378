"""Every page of the URL configuration is held against WCAG 2.2 AA, in light and dark and at three widths.

The pages are made from the routes themselves, so that a new route can't be forgotten, and shown without a server.
"""

import re
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.contrib.staticfiles import finders
from playwright.sync_api import Browser
from playwright.sync_api import Route as Asked

from records.models.job import ROLES
from tests.access.table import ANYBODY, API, MAY, MEMBER, ROUTES
from tests.access.test_matrix import ALL_ROUTES, World, made_world, world  # noqa: F401 - fixtures
from tests.access.test_matrix import browser as signed_in
from tests.journeys.conftest import chromium
from tests.journeys.visitor import AXE, RUN_AXE, STANDARD, WIDER_THAN_THE_PAGE

pytestmark = pytest.mark.journey
SITE = "http://every.route"
THEMES = ("light", "dark")
WIDTHS = ((390, 844), (820, 1180), (1280, 800))
COMBINATIONS = tuple((theme, width) for width in WIDTHS for theme in THEMES)
ABOUT = {
    "session": 1,
    "token": uuid.UUID(int=1),
    "uidb36": "1",
    "key": "x-y",
    "name": "pipe",
    "nps": "1",
    "schedule": "80",
    "job": "OWN-1",
}
# Who is asked first; the engineer sees most of what can be seen.
IN_ORDER = ("engineer", "administrator", "inspector", "foreman", "welder")
# What answers no page here, each with its reason.
NO_PAGE = {
    "start": "leads on to the one job",
    "mfa_authenticate": "leads on where nobody is halfway through the door",
    "mfa_deactivate_totp": "leads on where no second factor is set up",
    "mfa_view_recovery_codes": "leads on where no second factor is set up",
    "mfa_generate_recovery_codes": "leads on where no second factor is set up",
    "account-names": "asks for the password again first",
    "tokens": "asks for the password again first",
    "mfa_activate_totp": "asks for the password again first",
    "mfa_reauthenticate": "leads on where no second factor is set up",
}
# What two pages of one make may say otherwise: words, values, addresses.
SAID = re.compile(rb'(?<=>)[^<]+|(?:href|content|value|title|nonce)="[^"]*"|[0-9a-f]{8}-[0-9a-f-]{27}')
FILES = ("-pdf", "-xlsx", "-csv", "-file", "-manifest", "-remarks", "-svg", "-png")


@dataclass(frozen=True)
class Shown:
    """A page as it was answered."""

    route: str
    path: str
    content: bytes
    policy: str


def pages_of(world: World, roles: Sequence[str] = IN_ORDER) -> tuple[list[Shown], dict[str, str]]:  # noqa: F811
    """Every page that the routes answer to the first of the roles that may see it, and of each route without one what it
    answered instead."""
    found, without = [], {}
    for route in ALL_ROUTES:
        verb = ROUTES[route.name].get("GET")
        if verb is None or route.name in API or route.name.endswith(FILES):
            continue
        people = (
            [None] if verb == ANYBODY else [world.people[one] for one in roles if verb == MEMBER or one in MAY[verb]]
        )
        if not people:
            continue
        answer = route.ask(signed_in(people[0]), "GET", world.own | ABOUT)
        if answer.status_code == 200 and answer["Content-Type"].startswith("text/html"):
            policy = answer.headers.get("Content-Security-Policy", "")
            content = b"".join(answer.streaming_content) if answer.streaming else answer.content
            found.append(Shown(route.name, route.url(world.own | ABOUT), content, policy))
        elif answer.status_code != 200:
            without[route.name] = f"{answer.status_code} {answer.headers.get('Location', '')}"
    return found, without


def faults_of(opened: Browser, shown: list[Shown], *, all_of_them: bool) -> list[str]:
    """What axe says of the pages; of each in three of the six ways of looking, or in all."""
    by_path = {one.path: one for one in shown}

    def answer(asked: Asked) -> None:
        path = urlsplit(asked.request.url).path
        if path in by_path:
            one = by_path[path]
            headers = {"Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": one.policy}
            asked.fulfill(status=200, headers=headers, body=one.content)
        elif path.startswith("/static/") and (file := finders.find(path.removeprefix("/static/"))):
            asked.fulfill(status=200, path=Path(str(file)))
        else:
            asked.fulfill(status=204)

    faults = []
    context = opened.new_context()
    context.route("**/*", answer)
    page = context.new_page()
    for number, one in enumerate(shown):
        page.goto(SITE + one.path)
        page.evaluate(AXE)
        for place, (theme, (width, height)) in enumerate(COMBINATIONS):
            # Of each width one theme, changing from page to page: every pair of page and width, and of theme and width.
            if not all_of_them and place % 2 != (number + place // 2) % 2:
                continue
            page.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
            page.set_viewport_size({"width": width, "height": height})
            # At the end of the page nothing lies under the main action, which sticks to the edge of the screen.
            page.evaluate("scrollTo(0, document.body.scrollHeight)")
            said: list[Any] = page.evaluate(RUN_AXE, {"tags": STANDARD, "rules": None})
            said += page.evaluate(WIDER_THAN_THE_PAGE)
            faults += [f"{one.route}, {theme}, {width} px: {fault}" for fault in said]
    context.close()
    return faults


@pytest.fixture
def browser() -> Iterator[Browser]:
    """A browser for one test: while one is open, its event loop makes the ORM believe itself asynchronous."""
    with chromium() as opened:
        yield opened


@pytest.mark.django_db
def test_every_route_has_a_page_or_a_reason(world: World) -> None:  # noqa: F811
    shown, without = pages_of(world)
    assert set(without) <= set(NO_PAGE), without
    assert not {one.route for one in shown} & set(NO_PAGE)


@pytest.mark.django_db
def test_every_page_keeps_the_standard(world: World, request: pytest.FixtureRequest) -> None:  # noqa: F811
    shown, _ = pages_of(world)
    # The browser comes after the pages, which are made by the ORM.
    faults = faults_of(request.getfixturevalue("browser"), shown, all_of_them=False)
    assert not faults, "\n".join(faults)


@pytest.mark.soak
@pytest.mark.django_db
def test_every_page_keeps_the_standard_for_every_role(world: World, request: pytest.FixtureRequest) -> None:  # noqa: F811
    shown: dict[tuple[str, bytes], tuple[str, Shown]] = {}
    for role in sorted(ROLES, key=lambda one: one != IN_ORDER[0]):
        for one in pages_of(world, (role,))[0]:
            shown.setdefault((one.route, SAID.sub(b"", one.content)), (role, one))
    browser, faults = request.getfixturevalue("browser"), []
    for role in ROLES:
        pages = [one for who, one in shown.values() if who == role]
        faults += [f"{role}: {fault}" for fault in faults_of(browser, pages, all_of_them=True)]
        print(f"{role}: {len(pages)} pages, each in {len(COMBINATIONS)} ways")
    assert not faults, "\n".join(faults)


def test_a_fault_would_be_seen(browser: Browser) -> None:
    page = b'<!doctype html><title>A</title><p style="color:#999;background:#fff;width:2000px">Faint</p><img src=a.png>'
    faults = " ".join(faults_of(browser, [Shown("made", "/made/", page, "")], all_of_them=True))
    for fault in ("html-has-lang", "color-contrast", "image-alt", "px too wide"):
        assert fault in faults
