"""No page holds anything that the content policy would have to allow: no style or script of its own, nothing from elsewhere."""

from html.parser import HTMLParser
from typing import Any

import pytest
from django.test import Client

from tests.access.table import MAY, ROUTES
from tests.access.test_matrix import ALL_ROUTES, BACKEND, Route, World, made_world, world  # noqa: F401
from tests.weldtrack.codes import PASSWORD, come_in, set_up

POLICY = {
    "default-src 'self'",
    "base-uri 'self'",
    "form-action 'self'",
    "frame-ancestors 'none'",
    "object-src 'none'",
}
# A row of the API is JSON and its matrix a test of its own; its lists and its description are held here too.
PAGES = [route for route in ALL_ROUTES if "GET" in ROUTES[route.name] and "id" not in route.arguments]
ABOUT = {"session": 1, "uidb36": "1", "key": "x-y", "name": "pipe", "nps": "1", "schedule": "80", "job": ""}
LOADING = {"src", "href", "action", "formaction", "data", "poster", "srcset"}


class Faults(HTMLParser):
    """Collects what a strict policy forbids."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        named = dict(attributes)
        if tag == "style" or (tag == "script" and not named.get("src")):
            self.found.append(f"<{tag}> with its own content")
        for name, value in attributes:
            said = (value or "").strip().lower()
            if name == "style" or name.startswith("on"):
                self.found.append(f"<{tag} {name}=...>")
            if name in LOADING and said.split(":")[0] in ("javascript", "data", "http", "https", "vbscript"):
                self.found.append(f"<{tag} {name}={said[:40]}>")


def held(page: Any) -> list[str]:
    """What is wrong with an answer, in words."""
    policy = {part.strip() for part in page["Content-Security-Policy"].split(";")}
    wrong = [] if policy == POLICY else [f"the policy is {sorted(policy)}"]
    if page["Content-Type"].startswith("text/html") and not page.streaming:
        wrong += Faults(page.text).found
    assert page["X-Content-Type-Options"] == "nosniff" and page["X-Frame-Options"] == "DENY"
    return wrong


@pytest.mark.parametrize("route", PAGES, ids=lambda route: route.name)
def test_a_page_needs_nothing_that_the_policy_forbids(route: Route, world: World) -> None:  # noqa: F811
    client = Client()
    allowed = MAY.get(ROUTES[route.name]["GET"], {"engineer"})
    role = "engineer" if "engineer" in allowed else "administrator"
    client.force_login(world.people[role], backend=BACKEND)
    assert held(route.ask(client, "GET", world.own | ABOUT)) == []
    assert held(route.ask(Client(), "GET", world.own | ABOUT)) == []


def test_neither_do_the_pages_of_the_second_factor(world: World) -> None:  # noqa: F811
    person = world.people["foreman"]
    person.set_password(PASSWORD)
    person.save()
    client, other = Client(), Client()
    come_in(client, person.username)
    asked = client.get("/account/second-factor/").headers["Location"]
    assert held(client.get(asked)) == []
    client.post(asked, {"password": PASSWORD})
    assert held(client.get("/account/second-factor/")) == []
    set_up(client)
    come_in(other, person.username)
    assert held(other.get("/sign-in/code/")) == []
    for page in (
        "",
        "second-factor/recovery/",
        "second-factor/recovery/new/",
        "second-factor/off/",
        "password/",
        "names/",
    ):
        answer = client.get(f"/account/{page}")
        assert answer.status_code == 200 and held(answer) == [], page


@pytest.mark.parametrize("path", ["/nowhere/", "/jobs/NONE/", "/password/new/1/made-up/"])
def test_neither_do_the_pages_that_say_no(path: str, world: World) -> None:  # noqa: F811
    assert held(Client().get(path)) == []


@pytest.mark.parametrize(
    "html",
    [
        '<p style="color: red">', "<style>p {}</style>", "<script>alert(1)</script>", '<p onclick="a()">',
        '<a href="javascript:a()">', '<img src="data:image/png;base64,AA==">', '<script src="https://elsewhere.example/a.js"></script>',
    ],
)  # fmt: skip
def test_finds_what_the_policy_forbids(html: str) -> None:
    assert len(Faults(html).found) == 1
