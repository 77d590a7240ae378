"""Whatever is sent to the API, it answers as its schema says, whoever asks: no fault of the server, no surprise."""

import os
import random
import re
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import Any
from uuid import uuid4

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from django.urls import get_resolver
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from records.models import FillerLot, FitUp, Job, Joint, JournalEntry, Membership, Stamp, User
from records.models.job import ROLES
from tests.access.test_api_matrix import things
from tests.access.test_matrix import ALL_ROUTES
from tests.builders import PieceBuilder, UserBuilder, days_ago
from weldtrack.account import tokens

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
TODAY = days_ago(0)


@pytest.fixture(autouse=True)
def one_connection() -> Iterator[None]:
    """As the test client has it: no request closes the connection that the test's transaction is open on."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.fixture
def known(job: Job, joint: Joint, stamp: Stamp, filler_lot: FillerLot) -> dict[str, Any]:
    """What a program that knows the job would name."""
    fit_up = FitUp.objects.create(
        job=job, joint=joint, recorded_by=UserBuilder(), recorded_at=f"{TODAY}T06:00:00Z", done_on=TODAY
    )
    return {
        "joint_id": str(joint.id),
        "stamp": stamp.code,
        "filler_lot": filler_lot.number,
        "date": TODAY.isoformat(),
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


def signed_in(role: str, job: Job) -> dict[str, str]:
    user: User = UserBuilder(username=f"program of the {role}")
    Membership.objects.create(job=job, user=user, role=role)
    _, secret = tokens.make(uuid4(), user=user, name=role, may_write=True, job=None, has_second_factor=False)
    return {"Authorization": f"Bearer {secret}"}


def as_known(value: Any, known: dict[str, Any], chance: random.Random) -> Any:
    """What was made up, with some of it as the job has it: else no record would ever get past its joint."""
    if isinstance(value, list):
        return [as_known(one, known, chance) for one in value]
    if not isinstance(value, dict):
        return value
    return {name: known[name] if name in known and chance.random() < 0.9 else one for name, one in value.items()}


def addresses() -> set[str]:
    """Every address of the API but the two that tell of it, by the URL configuration, as a schema writes them."""
    ways = (get_resolver().reverse_dict.getlist(route.name)[0][0][0][0] for route in ALL_ROUTES)
    written = {"/" + re.sub(r"%\((\w+)\)s", r"{\1}", way) for way in ways}
    return {one for one in written if one.startswith("/api/")} - {"/api/schema/", "/api/docs/"}


def hold(role: str, job: Job, known: dict[str, Any], examples: int) -> dict[str, Counter[int]]:
    """Ask every operation so many times and more; returns how often each status came, by operation."""
    statuses: dict[str, Counter[int]] = defaultdict(Counter)
    there = things(job)
    headers = signed_in(role, job)
    schema = schemathesis.openapi.from_wsgi("/api/schema/", get_wsgi_application(), headers=headers)
    chance = random.Random(role)
    operations = [result.ok() for result in schema.get_all_operations()]
    assert {operation.path for operation in operations} == addresses()
    for operation in operations:

        @given(case=operation.as_strategy())
        @settings(
            max_examples=examples,
            deadline=None,
            database=None,
            derandomize=examples < 10,
            suppress_health_check=list(HealthCheck),
        )
        def holds(case: Any) -> None:
            case.body = as_known(case.body, known, chance)
            if "id" in (case.path_parameters or {}) and chance.random() < 0.5:
                case.path_parameters["id"] = str(there[case.path.split("/")[2]])
            if chance.random() < 0.5:
                # Most made-up parameters are refused at once; without them the answer has something in it.
                case.query = {}
            answer = case.call_and_validate(checks=CHECKS, headers=headers)
            statuses[case.operation.label][answer.status_code] += 1

        holds()
    return statuses


@pytest.mark.parametrize("role", ROLES)
def test_answers_as_the_schema_says(role: str, job: Job, known: dict[str, Any]) -> None:
    hold(role, job, known, examples=3 if role in ("engineer", "client") else 2)


@pytest.mark.soak
@pytest.mark.parametrize("role", ROLES)
def test_answers_as_the_schema_says_for_long(role: str, job: Job, known: dict[str, Any]) -> None:
    started = time.monotonic()
    by_operation = hold(role, job, known, examples=int(os.environ.get("SCHEMA_EXAMPLES", "150")))
    statuses = sum(by_operation.values(), Counter())
    if role == "engineer":
        never = [name for name, came in by_operation.items() if not any(200 <= status < 300 for status in came)]
        assert never == [], "nobody would see a wrong answer of what is only ever refused"
    came = ", ".join(f"{status}: {count:,}" for status, count in sorted(statuses.items()))
    kept = JournalEntry.objects.filter(job=job).count()
    print(
        f"\n{role}: {statuses.total():,} requests in {time.monotonic() - started:,.0f} s; {came}; {kept:,} entries in the journal"
    )
