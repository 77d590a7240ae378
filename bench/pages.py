"""Measure the weld log and the joint card of a large job, each beside a bare ORM query and template of the same rows.

A page is asked for as a browser does, through every middleware, by somebody who is signed in; only the network and the
web server are left out. Its queries are counted at a small job too: their number must not grow with the job.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, partial

from django.core.management import call_command
from django.db import connection, transaction
from django.template import Context, Template
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from bench import stored
from bench.measuring import Measure, Time, median_of
from bench.stored import Stored
from records.models import Joint, ProcedurePass
from records.refresh import refresh

JOINTS, LINES = 100_000, 1_000
FEW, FEW_LINES = 100, 1
MOST_TIMES = 3
RUNS = 15
PAGE = 50

_LOG = Template(
    "<table>{% for joint in joints %}<tr><td>{{ joint.number }}<td>{{ joint.state }} {{ joint.attempt }}"
    "<td>{{ joint.sheet.drawing }}/{{ joint.sheet.number }}<td>{{ joint.line.number }}<td>{{ joint.spool.mark }}"
    "<td>{{ joint.kind }} {{ joint.nps }} {{ joint.schedule }} {{ joint.location }}<td>{{ joint.stamps }}"
    "<td>{{ joint.due }} {{ joint.welded_on }}<td>{{ joint.next_step }} {{ joint.assigned.code }}</tr>{% endfor %}"
    "</table>"
)
_CARD = Template(
    "<h1>{{ joint.sheet.drawing }}/{{ joint.sheet.number }}/{{ joint.number }}</h1>{{ joint.line.number }}"
    "{{ joint.kind }} {{ joint.nps }} {{ joint.schedule }} {{ joint.state }} {{ joint.procedure.number }}"
    "{{ joint.heat_a.number }}{{ joint.heat_b.number }}{% for one in fit_ups %}<p>{{ one.done_on }} {{ one.by }}"
    "{{ one.gap_mm }}"
    "{{ one.tack_stamp.code }}{% endfor %}{% for one in passes %}<p>{{ one.order }} {{ one.role }} {{ one.stamp.code }}"
    "{{ one.process }} {{ one.done_on }} {{ one.amps }} {{ one.filler_lot.number }}{% endfor %}{% for one in looks %}"
    "<p>{{ one.method }} {{ one.result }} {{ one.by }} {{ one.done_on }}{% endfor %}"
    "{% for some in others %}{% for one in some %}<p>"
    "{{ one.done_on }} {{ one.by }}{% endfor %}{% endfor %}{% for one in allowed %}<p>{{ one.role }} {{ one.process }}"
    "{{ one.filler }} {{ one.amps_min }} {{ one.amps_max }}{% endfor %}{% for one in findings %}<p>"
    "{{ one.severity }} {{ one.message }} {{ one.source }}{% endfor %}"
)


@dataclass(frozen=True, slots=True)
class Page:
    """A page to measure: where it is on a job, and the bare query and template beside it."""

    name: str
    address: Callable[[Stored], str]
    bare: Callable[[Stored], object]
    rows: int = PAGE


def measures() -> Iterator[Measure]:
    """Each page at 100,000 joints."""
    call_command("collectstatic", interactive=False, verbosity=0)
    small, large = _job("FEW", FEW, FEW_LINES), _job("MANY", JOINTS, LINES)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    pages = (
        Page("log-first-page", partial(_log, query=""), lambda job: _bare_log(job, {})),
        Page("log-filtered", partial(_log, query="?state=planned&kind=butt"), _bare_filtered),
        Page("log-deep", _deep, lambda job: _bare_log(job, {"sort_key__gt": _middle(job).sort_key})),
        Page("joint-card", lambda job: _route("joint", job, joint=_middle(job).id), _bare_card, rows=1),
    )
    for page in pages:
        yield from _measures(page, small, large)


@transaction.atomic
def _job(code: str, joints: int, lines: int) -> Stored:
    """A job of which seventy in a hundred joints are welded, judged as a record on each would judge it."""
    made = stored.store(code, joints=joints, lines=lines, done=70)
    refresh(made.job, Joint.objects.filter(job=made.job).values_list("id", flat=True))
    return made


def _measures(page: Page, small: Stored, large: Stored) -> Iterator[Measure]:
    client = Client(headers={"host": "localhost"})
    client.force_login(large.engineer, backend="django.contrib.auth.backends.ModelBackend")
    address = page.address(large)
    few, many = _queries(small, page.address(small)), _queries(large, address)
    ask, bare = partial(_get, client, address), partial(page.bare, large)
    ask()
    bare()
    taken, floor = median_of(ask, runs=RUNS), median_of(bare, runs=RUNS)
    yield _time(page, taken, floor)
    yield Measure(
        name=f"{page.name}-queries",
        value=many,
        unit="queries",
        rows=page.rows,
        floor=few,
        target=f"as many at {FEW} joints",
        met=many == few,
    )


def _time(page: Page, taken: Time, floor: Time) -> Measure:
    times = taken.wall / floor.wall
    return Measure(
        name=page.name,
        value=round(taken.wall * 1000, 2),
        unit="ms",
        rows=page.rows,
        floor=round(floor.wall * 1000, 2),
        ratio=round(times, 2),
        target=f"at most {MOST_TIMES} x the bare query and template",
        met=times <= MOST_TIMES,
        cpu=round(taken.cpu, 4),
    )


def _queries(job: Stored, address: str) -> int:
    client = Client(headers={"host": "localhost"})
    client.force_login(job.engineer, backend="django.contrib.auth.backends.ModelBackend")
    _get(client, address)
    with CaptureQueriesContext(connection) as asked:
        _get(client, address)
    return len(asked)


def _get(client: Client, address: str) -> None:
    answer = client.get(address)
    if answer.status_code != 200:
        raise AssertionError(f"{address} answers {answer.status_code}")


def _route(name: str, job: Stored, **places: object) -> str:
    return reverse(name, kwargs={"code": job.job.code, **places})


def _log(job: Stored, query: str) -> str:
    return _route("weld-log", job) + query


def _deep(job: Stored) -> str:
    return _log(job, f"?after={_middle(job).id}")


@cache
def _middle_of(code: str) -> Joint:
    """A welded joint in the middle of the job, so deep in a large one that an offset would show."""
    welded = Joint.objects.filter(job__code=code, state="welded").order_by("sort_key")
    return welded[welded.count() // 2]


def _middle(job: Stored) -> Joint:
    return _middle_of(job.job.code)


def _bare_log(job: Stored, wanted: dict[str, object]) -> str:
    related = ("sheet", "line", "spool", "assigned")
    joints = Joint.objects.filter(job=job.job, **wanted).select_related(*related).order_by("sort_key", "id")
    return _LOG.render(Context({"joints": joints[:PAGE]}))


def _bare_filtered(job: Stored) -> str:
    return _bare_log(job, {"state": "planned", "kind": "butt"})


def _bare_card(job: Stored) -> str:
    related = ("sheet", "line", "procedure", "heat_a", "heat_b")
    joint = Joint.objects.select_related(*related).get(id=_middle(job).id)
    context = {
        "joint": joint,
        "fit_ups": joint.fitups.select_related("tack_stamp"),
        "passes": joint.passs.select_related("stamp", "filler_lot").order_by("order"),
        "looks": joint.examinations.all(),
        "findings": joint.findings.all(),
        "others": [joint.assignments.all(), joint.repairdecisions.all(), joint.releases.all(), joint.overrides.all()],
        "allowed": ProcedurePass.objects.filter(procedure=joint.procedure),
    }
    return _CARD.render(Context(context))
