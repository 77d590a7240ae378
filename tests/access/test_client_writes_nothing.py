"""Whoever is only a client changes nothing, whatever route is asked, by whatever method, and whatever the form says."""

import uuid
from typing import Any

from tests.access.table import API, MEMBER, ROUTES
from tests.access.test_matrix import ALL_ROUTES, METHODS, NAMED, World, browser, made_world, world  # noqa: F401
from tests.stored import stored

# What a client may change: the own name, password, second factor and tokens, which open no more than the role does.
OWN = {name for name, verbs in ROUTES.items() if "POST" in verbs and verbs["POST"] == MEMBER}
# Words for the fields of any form, so that none is refused for being empty.
SAID = {
    "reason": "As asked.",
    "do": "confirm",
    "deed": "roles",
    "by": "Clara Dunn",
    "result": "accepted",
    "role": "engineer",
}


def changed(before: dict[str, Any]) -> list[str]:
    """The models whose rows are others than before."""
    after = stored()
    return [name for name, rows in before.items() if after[name] != rows]


def test_no_page_lets_the_client_write(world: World) -> None:  # noqa: F811
    client, before = browser(world.people["client"]), stored()
    about = {"session": 1, "token": uuid.uuid4(), "uidb36": "1", "key": "x-y", "name": "pipe", "form": "csv"}
    values = world.own | about
    wrong = []
    for route in ALL_ROUTES:
        if route.name in API or route.name in OWN or route.name == "sign-out":
            continue
        form = SAID | {name: values.get(name, "") for name in (*NAMED.get(route.name, ()), *route.arguments)}
        for method in METHODS:
            if method == "POST":
                client.post(route.url(values), form | {"id": str(uuid.uuid4())})
            else:
                client.generic(method, route.url(values), QUERY_STRING="job=")
            if what := changed(before):
                wrong.append(f"{route.name} {method}: {what}")
                before = stored()
    assert wrong == []


def test_an_engineer_would_be_seen_to_write(world: World) -> None:  # noqa: F811
    before = stored()
    form = SAID | {"id": str(uuid.uuid4()), "address": "https://example.com/a", "kinds": "joints.released"}
    answer = browser(world.people["engineer"]).post(f"/jobs/{world.own['code']}/webhooks/", form)
    assert answer.status_code == 200 and changed(before) == ["Webhook"]
