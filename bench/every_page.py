"""Measure every page and list of a job of 100,000 joints, each beside a floor that is measured in the same run.

The pages are those of `tests/access`: every route that answers GET, asked for through every middleware by somebody who
is signed in. The floor of a page is what its own answer costs without any of our work:

- a request through the same middleware to a page that only lets its reader in (session, person, role on the job);
- the other statements of the page, read to their last row by a bare cursor of psycopg: no ORM, no objects;
- and the answer written again by a template that does nothing: as many rows and cells as the page has (list items,
  options and described words count as cells), with as much text in all. An answer in JSON is dumped again as it is.

A page that asks the database for too much has a high floor too: for that its time has a bound of its own, and its
queries are counted at a small job, where there must be as many.
"""

import json
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from statistics import median
from typing import Any

from django.core.management import call_command
from django.db import connection, transaction
from django.template import Context, Template
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext

from bench import bare
from bench.measuring import Measure, timed
from records.models.job import ROLES
from tests.access.sized import PAGES, people_on, sized_job
from tests.access.table import MAY, ROUTES
from tests.access.test_matrix import BACKEND, Route

JOINTS, LINES = 100_000, 1_000
FEW = 10
DONE = 70
MOST_TIMES = 3
MOST_MS = 500
RUNS = 7

_BARE = Template("{% for row in rows %}<tr>{% for cell in row %}<td>{{ cell }}</td>{% endfor %}</tr>{% endfor %}")
_ROW, _CELL = re.compile(rb"<tr\b"), re.compile(rb"<(?:td|th|li|option|dd)\b")
_READS = ("SELECT", "WITH")
# So much of a statement tells which of the door's it is: what follows names a person or a moment.
_HEAD = 60

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Asked:
    """One page as somebody sees it, with the statements and the answer of one visit."""

    name: str
    ask: Callable[[], Any]
    queries: int
    statements: tuple[str, ...]
    answer: bytes
    is_json: bool
    door: Callable[[], Any]

    @property
    def cells(self) -> int:
        """How many cells it shows."""
        return len(_CELL.findall(self.answer))


def measures() -> Iterator[Measure]:
    """Each page at 100,000 joints, and how many ask more there than at 10."""
    call_command("collectstatic", interactive=False, verbosity=0)
    with transaction.atomic():
        few, many = sized_job(FEW), sized_job(JOINTS, lines=LINES, done=DONE)
        people = people_on(few[0], many[0])
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    with override_settings(ROOT_URLCONF="bench.bare"):
        yield from of_pages(people, few[1], many[1])


def of_pages(people: dict[str, Any], few: Values, many: Values) -> Iterator[Measure]:
    """Each page of a large job beside its floor; people by role, and the arguments of every route for either job."""
    grown = []
    for route in PAGES:
        for role in _roles(route):
            client = Client(headers={"host": "localhost"})
            client.force_login(people[role], backend=BACKEND)
            small, large = _asked(route, role, client, few), _asked(route, role, client, many)
            if small.queries != large.queries:
                grown.append(large.name)
            yield _beside_its_floor(large)
    yield Measure(
        name=f"pages-that-ask-more{''.join(f' {name}' for name in grown)}",
        value=len(grown),
        unit="pages",
        rows=len(PAGES),
        target=f"none asks more than at {FEW} joints",
        met=not grown,
    )


def _roles(route: Route) -> Sequence[str]:
    """The start page is another for each role; the others are looked at by one who may."""
    if route.name == "job":
        return ROLES
    return ("administrator",) if MAY.get(ROUTES[route.name]["GET"]) == {"administrator"} else ("engineer",)


def _asked(route: Route, role: str, client: Client, values: Values) -> Asked:
    name = f"{route.name}-{role}" if route.name == "job" else route.name
    ask, door = partial(route.ask, client, "GET", values), partial(client.get, f"/jobs/{values['code']}/bare/")
    answer, sent = _visit(name, ask)
    statements = [one for one in sent if one.lstrip("( ").startswith(_READS)]
    for passed in _visit("door", door)[1]:
        if same := next((one for one in statements if one[:_HEAD] == passed[:_HEAD]), ""):
            statements.remove(same)
    is_json = "json" in answer.headers["Content-Type"]
    return Asked(name, ask, len(sent), tuple(statements), answer.getvalue(), is_json, door)


def _visit(name: str, ask: Callable[[], Any]) -> tuple[Any, list[str]]:
    """The answer of the second of two visits, and the statements that it sent."""
    ask()
    with CaptureQueriesContext(connection) as sent:
        answer = ask()
    if answer.status_code != 200:
        raise AssertionError(f"{name} answers {answer.status_code}")
    return answer, [one["sql"] for one in sent.captured_queries]


def _beside_its_floor(page: Asked) -> Measure:
    """Page and floor in turn, so that what else the machine does falls on both; the medians."""
    bare.asked[:] = partial(_read, page), _writer(page)
    page.door()
    taken = [(timed(page.ask), timed(page.door)) for _ in range(RUNS)]
    bare.asked.clear()
    ms = median(one.wall for one, _ in taken) * 1000
    floor_ms = median(one.wall for _, one in taken) * 1000
    return Measure(
        name=page.name,
        value=round(ms, 2),
        unit="ms",
        rows=page.cells,
        floor=round(floor_ms, 2),
        ratio=round(ms / floor_ms, 2),
        target=f"at most {MOST_TIMES} x its floor and {MOST_MS} ms",
        met=ms <= MOST_TIMES * floor_ms and ms <= MOST_MS,
        cpu=round(median(one.cpu for one, _ in taken), 4),
    )


def _read(page: Asked) -> None:
    with connection.connection.cursor() as cursor:
        for statement in page.statements:
            cursor.execute(statement)
            cursor.fetchall()


def _writer(page: Asked) -> Callable[[], object]:
    """What writes an answer of the same size."""
    if page.is_json:
        return partial(json.dumps, json.loads(page.answer))
    rows = max(len(_ROW.findall(page.answer)), 1)
    across = max(page.cells // rows, 1)
    text = "x" * (len(page.answer) // (rows * across))
    return partial(_BARE.render, Context({"rows": [[text] * across] * rows}))
