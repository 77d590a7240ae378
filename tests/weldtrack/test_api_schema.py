"""Whatever is sent to the API, it answers as its schema says, whoever asks: no fault of the server, no surprise."""

import os
import random
import re
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from typing import Any
from uuid import uuid4

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from django.urls import get_resolver
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.strategies import SearchStrategy
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from inspection.actions.record_attendances import record_attendances
from inspection.actions.record_examinations import record_examinations
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from records.models import (
    Attendance,
    Examination,
    FillerLot,
    FitUp,
    HoldPoint,
    Job,
    Joint,
    JournalEntry,
    Membership,
    Pass,
    Stamp,
    User,
)
from records.models.job import ROLES
from rules.calculators.described import DESCRIBED
from tests.access.test_api_matrix import things
from tests.access.test_matrix import ALL_ROUTES
from tests.builders import JointBuilder, PieceBuilder, UserBuilder, days_ago
from weldtrack.account import tokens

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
TODAY = days_ago(0)
Known = Callable[[str], dict[str, Any]]


@pytest.fixture(autouse=True)
def one_connection() -> Iterator[None]:
    """As the test client has it: no request closes the connection that the test's transaction is open on."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.fixture
def accepted(joint: Joint, stamp: Stamp, there: dict[str, Any], engineer: User) -> Joint:
    """A joint beside the known one that was held, welded and accepted: nothing stands against its release."""
    made: Joint = JointBuilder(sheet=joint.sheet, procedure=joint.procedure)
    on: dict[str, Any] = {"joint": made, "done_on": TODAY}
    record_fit_ups([FitUp(**on, by="A1")], job=made.job, by=engineer)
    roles = ((1, "root"), (2, "cap"))
    passes = [Pass(**on, order=order, role=role, stamp=stamp, process="GTAW") for order, role in roles]
    record_passes(passes, job=made.job, by=engineer)
    waived = Attendance(**on, by="Oskar Vale", point_id=there["hold-points"], result="waived")
    record_attendances([waived], job=made.job, by=engineer, as_recorded=True)
    seen = Examination(**on, by="Ines Carrow", method="VT", result="accepted")
    record_examinations([seen], job=made.job, by=engineer)
    return made


@pytest.fixture
def there(job: Job) -> dict[str, Any]:
    return things(job)


@pytest.fixture
def known(job: Job, joint: Joint, stamp: Stamp, filler_lot: FillerLot, accepted: Joint, there: dict[str, Any]) -> Known:
    """What a program that knows the job would name, at each address."""
    fit_up = FitUp.objects.create(
        job=job, joint=joint, recorded_by=UserBuilder(), recorded_at=f"{TODAY}T06:00:00Z", done_on=TODAY
    )
    everywhere = {
        "joint_id": str(joint.id),
        "stamp": stamp.code,
        "filler_lot": filler_lot.number,
        "date": TODAY.isoformat(),
        "time": "00:00",
        "device_at": f"{TODAY}T00:00:00Z",
        "attempt": "0",
        "record": str(fit_up.id),
        "by": "Ines Carrow",
        "job": job.code,
        "piece_id": str(PieceBuilder(sheet=joint.sheet).id),
        "spool_id": str(joint.spool_id),
        "lot_id": str(filler_lot.id),
        "address": "https://example.com/told",
        "kinds": ["records.written"],
    }
    at: dict[str, dict[str, Any]] = {
        "/api/attendances/": {"point": HoldPoint.objects.get(pk=there["hold-points"]).name, "result": "notified"},
        "/api/overrides/": {"joint_id": str(accepted.id), "code": "release-missing"},
        "/api/releases/": {"joint_id": str(accepted.id)},
        "/api/shop-withdrawals/": {"kind": "piece-event", "record": str(there["piece-events"])},
        "/api/spool-steps/": {"step": "cleaned", "result": ""},
        "/api/withdrawals/": {"kind": "fit-up"},
    }
    return lambda path: everywhere | at.get(path, {})


def signed_in(role: str, job: Job) -> dict[str, str]:
    user: User = UserBuilder(username=f"program of the {role}")
    Membership.objects.create(job=job, user=user, role=role)
    _, secret = tokens.make(uuid4(), user=user, name=role, may_write=True, job=None, has_second_factor=False)
    return {"Authorization": f"Bearer {secret}"}


class Likely:
    """Makes what was made up likely enough to get past the first refusal, and sometimes leaves it as it was.

    fields  the names that any draft has: one with another is refused as a whole
    """

    def __init__(self, role: str, known: Known, there: dict[str, Any], fields: set[str]) -> None:
        self.chance = random.Random(role)
        self.known, self.there, self.fields = known, there, fields

    def take(self, case: Any) -> None:
        """Let a case name what there is; one of five stays as it was made."""
        if self.chance.random() < 0.2:
            return
        known = self.known(case.path)
        case.body = self.body(case.body, known)
        case.query = self.named(case.query or {}, known)
        parts = case.path_parameters or {}
        if "id" in parts and self.chance.random() < 0.5:
            parts["id"] = str(self.there[case.path.split("/")[2]])
        if self.chance.random() < 0.5:
            # Most made-up parameters are refused at once; without them the answer has something in it.
            case.query = {}
        if calculator := DESCRIBED.get(str(parts.get("name"))):
            asked = calculator.example.items()
            case.query |= {key: value for key, value in asked if self.chance.random() < 0.95}

    def body(self, value: Any, known: dict[str, Any]) -> Any:
        """One draft, or a list of them."""
        if isinstance(value, list):
            return [self.body(one, known) for one in value]
        if not isinstance(value, dict):
            return value
        kept = {name: one for name, one in value.items() if name in self.fields or self.chance.random() < 0.02}
        return self.named(kept, known)

    def named(self, value: dict[str, Any], known: dict[str, Any]) -> dict[str, Any]:
        """The same, with most of what the job knows as the job has it."""
        return {
            name: known[name] if name in known and self.chance.random() < 0.9 else one for name, one in value.items()
        }


def addresses() -> set[str]:
    """Every address of the API but the two that tell of it, by the URL configuration, as a schema writes them."""
    ways = (get_resolver().reverse_dict.getlist(route.name)[0][0][0][0] for route in ALL_ROUTES)
    written = {"/" + re.sub(r"%\((\w+)\)s", r"{\1}", way) for way in ways}
    return {one for one in written if one.startswith("/api/")} - {"/api/schema/", "/api/docs/"}


def made_up(operation: Any) -> SearchStrategy[Any]:
    """What the schema of an operation allows, and what it forbids."""
    modes = (schemathesis.GenerationMode.POSITIVE, schemathesis.GenerationMode.NEGATIVE)
    return st.one_of([operation.as_strategy(generation_mode=mode) for mode in modes])


def hold(role: str, job: Job, known: Known, there: dict[str, Any], examples: int) -> dict[str, Counter[int]]:
    """Ask every operation so many times and more; returns how often each status came, by operation."""
    statuses: dict[str, Counter[int]] = defaultdict(Counter)
    headers = signed_in(role, job)
    schema = schemathesis.openapi.from_wsgi("/api/schema/", get_wsgi_application(), headers=headers)
    drafts = schema.raw_schema["components"]["schemas"].values()
    likely = Likely(role, known, there, {name for one in drafts for name in one.get("properties", ())})
    operations = [result.ok() for result in schema.get_all_operations()]
    assert {operation.path for operation in operations} == addresses()
    # What ends something comes last: nothing else can be done with it after.
    for operation in sorted(operations, key=lambda one: one.path.endswith("/end/")):

        @given(case=made_up(operation))
        @settings(
            # What is read varies little: a page of a list, or a row.
            max_examples=examples if operation.method == "post" else max(2, examples // 3),
            deadline=None,
            database=None,
            derandomize=examples < 10,
            suppress_health_check=list(HealthCheck),
        )
        def holds(case: Any) -> None:
            likely.take(case)
            answer = case.call_and_validate(checks=CHECKS, headers=headers)
            statuses[case.operation.label][answer.status_code] += 1

        holds()
    return statuses


@pytest.mark.parametrize("role", ROLES)
def test_answers_as_the_schema_says(role: str, job: Job, known: Known, there: dict[str, Any]) -> None:
    hold(role, job, known, there, examples=3 if role in ("engineer", "client") else 2)


@pytest.mark.soak
@pytest.mark.parametrize("role", ROLES)
def test_answers_as_the_schema_says_for_long(role: str, job: Job, known: Known, there: dict[str, Any]) -> None:
    started = time.monotonic()
    by_operation = hold(role, job, known, there, examples=int(os.environ.get("SCHEMA_EXAMPLES", "100")))
    statuses = sum(by_operation.values(), Counter())
    if role == "engineer":
        never = [name for name, came in by_operation.items() if not any(200 <= status < 300 for status in came)]
        assert never == [], "nobody would see a wrong answer of what is only ever refused"
    came = ", ".join(f"{status}: {count:,}" for status, count in sorted(statuses.items()))
    kept = JournalEntry.objects.filter(job=job).count()
    print(
        f"\n{role}: {statuses.total():,} requests in {time.monotonic() - started:,.0f} s; {came}; {kept:,} entries in the journal"
    )
