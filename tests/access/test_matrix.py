"""Every route × method × role × own or foreign job: what the table says, and nothing else."""

import re
import uuid
from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from records.lot_storing import store_lots
from records.models import (
    Attendance,
    Certificate,
    ExamRule,
    Finding,
    FitUp,
    Job,
    Joint,
    Package,
    Pass,
    SampleLot,
    User,
    Work,
)
from records.models.job import ROLES
from records.papers import Library
from tests.access.table import ANYBODY, API, MAY, MEMBER, ROUTES
from tests.builders import (
    AttachmentBuilder,
    ConfirmationBuilder,
    FillerLotBuilder,
    HoldPointBuilder,
    JobBuilder,
    JointBuilder,
    MembershipBuilder,
    OwnerLimitBuilder,
    PieceBuilder,
    QualificationBuilder,
    SheetDrawingBuilder,
    StampBuilder,
    UserBuilder,
    WelderBuilder,
)
from tests.databases import made_once
from tests.hooked import webhook_rows
from tests.sent_in import applied_workbook, checked_workbook
from tests.shop import records

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE")
# Pages about one record or finding on a joint name it in a field of the form.
NAMED = {"record-withdraw": ("kind", "record"), "finding-override": ("finding",), "calculators": ("job",)}
NAMED |= {"lot": ("of",), "lot-pick": ("of",)}
NAMED |= dict.fromkeys(("calculator", "calculation-pdf", "compute-api"), ("nps", "schedule", "job"))
NAMED |= {name: ("job",) for name, verbs in API.items() if not name.endswith("-one") and "GET" in verbs}
BACKEND = "django.contrib.auth.backends.ModelBackend"


@dataclass(frozen=True)
class Route:
    """One route of the URL configuration, with the names of its arguments."""

    name: str
    arguments: tuple[str, ...]
    view: Callable[..., Any]

    def url(self, values: dict[str, Any]) -> str:
        return reverse(self.name, kwargs={argument: values[argument] for argument in self.arguments})

    def ask(self, client: Client, method: str, values: dict[str, Any]) -> Any:
        """Send a request that names what the page is about, and says nothing else."""
        named = {field: values[field] for field in NAMED.get(self.name, ())}
        if method == "POST":
            return client.post(self.url(values), named)
        return client.generic(method, self.url(values), QUERY_STRING=urlencode(named))


def routes(resolver: URLResolver | None = None, space: str = "") -> Iterator[Route]:
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLResolver):
            yield from routes(pattern, f"{pattern.namespace}:" if pattern.namespace else space)
        else:
            assert isinstance(pattern, URLPattern)
            yield Route(f"{space}{pattern.name}", tuple(pattern.pattern.converters), pattern.callback)


# Whatever else stands under /api/ answers every method with a problem: tests/access/test_api_matrix.py.
ALL_ROUTES = [route for route in routes() if route.name != "api-nothing"]
JOB_ROUTES = [route for route in ALL_ROUTES if "code" in route.arguments]


@dataclass
class World:
    """A job and its things, somebody for each role, and a like job of somebody else."""

    own: dict[str, Any]
    foreign: dict[str, Any]
    people: dict[str, User]


def things(job: Job) -> dict[str, Any]:
    """The arguments of every route, for one job."""
    joint: Joint = JointBuilder(sheet__line__job=job)
    stamp = StampBuilder(welder=WelderBuilder(job=job))
    certificate = Certificate(job=job, number=f"MC-{job.code}", sha256="0" * 64, size=9, file_name="a.pdf")
    certificate.file.save("a.pdf", ContentFile(b"%PDF-1.4\n"), save=False)
    certificate.save()
    person = UserBuilder()
    MembershipBuilder(job=job, user=person, role="welder")
    now = timezone.now()
    work = Work.objects.create(job=job, kind="build package", asked_by=person, asked_at=now, arguments={"scope": "job"})
    export = Work.objects.create(
        job=job, kind="export workbook", state="done", asked_by=person, asked_at=now,
        result={"file": default_storage.save("exports/a.xlsx", ContentFile(b"PK")), "rows": 1},
    )  # fmt: skip
    package = Package(
        job=job, recorded_by=person, recorded_at=now, scope="job", sha256="0" * 64, pages=1, missing=0, head_number=0,
        head_hash="0" * 64,
    )  # fmt: skip
    package.file.save("p.pdf", ContentFile(b"%PDF-1.4\n"), save=False)
    package.manifest.save("p.txt", ContentFile(b"sum"), save=False)
    package.save()
    fit_up = FitUp.objects.create(job=job, joint=joint, recorded_by=person, recorded_at=now, done_on=now.date())
    finding = Finding.objects.create(
        job=job,
        joint=joint,
        attempt="0",
        code="heat-missing",
        severity="correct",
        message="A heat is missing.",
        source="",
    )
    point = HoldPointBuilder(job=job)
    told = Attendance.objects.create(
        job=job, joint=joint, recorded_by=person, recorded_at=now, done_on=now.date(), point=point, result="notified"
    )
    FillerLotBuilder(job=job)
    PieceBuilder(sheet=joint.sheet, heat=joint.heat_a)
    rule = ExamRule.objects.create(
        job=job, plan=joint.line.exam_plan, joint_kind="all", method="RT", share_percent=10, lot_basis="line"
    )
    Pass.objects.create(
        job=job, joint=joint, recorded_by=person, recorded_at=now, done_on=now.date(), order=2, role="cap", stamp=stamp,
        process="GTAW",
    )  # fmt: skip
    store_lots(job, [joint.id], Library(job))
    attachment = AttachmentBuilder(job=job)
    drawing = SheetDrawingBuilder(sheet=joint.sheet)
    return (
        records(job, person)
        | webhook_rows(job, person)
        | {
            "rule": rule.id,
            "attachment": attachment.id,
            "drawing": drawing.id,
            "page": 1,
            "procedure": attachment.procedure_id,
            "qualification": QualificationBuilder(stamp=stamp).id,
            "of": SampleLot.objects.get(rule=rule).id,
            "kind": "fitup",
            "record": fit_up.id,
            "finding": finding.name,
            "code": job.code,
            "joint": joint.id,
            "line": joint.line_id,
            "sheet": joint.sheet_id,
            "stamp": stamp.id,
            "certificate": certificate.id,
            "limit": OwnerLimitBuilder(job=job).id,
            "point": point.id,
            "attendance": told.id,
            "table": "pipe",
            "confirmation": ConfirmationBuilder(job=job).id,
            "work": work.id,
            "export": export.id,
            "imported": checked_workbook(job, person).id,
            "applied": applied_workbook(job, person).id,
            "package": package.id,
            "method": "VT",
            "paper": "fit-up-and-pass-log",
            "person": person.username,
        }
    )


def make_world(things: Callable[[Job], dict[str, Any]]) -> World:
    job, other = JobBuilder(code="OWN-1"), JobBuilder(code="FOR-1")
    people = {}
    for role in ROLES:
        people[role] = UserBuilder(username=role)
        MembershipBuilder(job=job, user=people[role], role=role)
    people["visitor"] = UserBuilder(username="visitor")
    MembershipBuilder(job=other, user=people["visitor"], role="engineer")
    return World(things(job), things(other), people)


@pytest.fixture(scope="module")
def made_world(django_db_setup: None, django_db_blocker: Any, tmp_path_factory: Any) -> Iterator[tuple[World, Path]]:
    files = tmp_path_factory.mktemp("files")
    with made_once(lambda: make_world(things), django_db_blocker, files) as made:
        yield made, files


@pytest.fixture
def world(made_world: tuple[World, Path], db: None, settings: Any) -> World:
    made, settings.MEDIA_ROOT = made_world
    return deepcopy(made)


def browser(user: User | None) -> Client:
    client = Client(raise_request_exception=True)
    if user:
        client.force_login(user, backend=BACKEND)
    return client


def expected(route: str, method: str, role: str) -> set[int]:
    """The statuses that are right for a role on its own job."""
    verbs = ROUTES[route]
    verb = verbs.get("GET" if method == "HEAD" else method)
    if verb is None:
        return {405}
    if role not in MAY[verb]:
        return {403}
    return {200, 302, 303} if method in ("GET", "HEAD") else {200, 302, 303, 422}


def test_every_route_of_the_site_stands_in_the_table_and_no_other() -> None:
    assert {route.name for route in ALL_ROUTES} == set(ROUTES)


@pytest.mark.parametrize("route", JOB_ROUTES, ids=lambda route: route.name)
def test_each_role_may_what_the_table_says(route: Route, world: World) -> None:
    wrong = []
    for role in ROLES:
        client = browser(world.people[role])
        for method in METHODS:
            status = route.ask(client, method, world.own).status_code
            if status not in expected(route.name, method, role):
                wrong.append(
                    f"{role} {method} {route.url(world.own)}: {status}, not {expected(route.name, method, role)}"
                )
    assert wrong == []


@pytest.mark.parametrize("route", JOB_ROUTES, ids=lambda route: route.name)
def test_whoever_is_not_signed_in_is_sent_to_sign_in(route: Route, world: World) -> None:
    for method in METHODS:
        response = route.ask(browser(None), method, world.own)
        assert response.status_code == 302, method
        assert response["Location"].startswith("/sign-in/"), method


@pytest.mark.parametrize("route", JOB_ROUTES, ids=lambda route: route.name)
def test_a_foreign_job_answers_like_one_that_does_not_exist(route: Route, world: World) -> None:
    absent = world.own | {"code": "NONE-1"}
    for role in (*ROLES, "visitor"):
        client = browser(world.people[role])
        foreign = world.own if role == "visitor" else world.foreign
        for method in METHODS:
            there = route.ask(client, method, foreign)
            nowhere = route.ask(client, method, absent)
            assert there.status_code == nowhere.status_code == 404, (role, method)
            assert alike(there.content) == alike(nowhere.content), (role, method)


# What is the same on every job: it belongs to none.
EVERYWHERE = {"code", "method", "page", "paper", "table"}


@pytest.mark.parametrize(
    "route", [route for route in JOB_ROUTES if set(route.arguments) - EVERYWHERE], ids=lambda route: route.name
)
def test_a_thing_of_a_foreign_job_answers_like_one_that_does_not_exist(route: Route, world: World) -> None:
    arguments = [argument for argument in route.arguments if argument not in EVERYWHERE]
    foreign = world.own | {argument: world.foreign[argument] for argument in arguments}
    absent = world.own | {argument: uuid.uuid4() for argument in arguments}
    for role in ROLES:
        client = browser(world.people[role])
        for method in ROUTES[route.name]:
            there = route.ask(client, method, foreign)
            nowhere = route.ask(client, method, absent)
            assert there.status_code == nowhere.status_code, (role, method)
            assert there.status_code in (403, 404), (role, method, there.status_code)
            assert alike(there.content) == alike(nowhere.content), (role, method)


@pytest.mark.parametrize("role", ROLES)
def test_somebody_switched_off_may_nothing(role: str, world: World) -> None:
    person = world.people[role]
    client = browser(person)
    person.is_active = False
    person.save()
    for route in JOB_ROUTES:
        assert client.get(route.url(world.own)).status_code == 302, route.name


def test_pages_without_a_job_answer_as_the_table_says(world: World) -> None:
    about = {
        "session": 1,
        "token": uuid.uuid4(),
        "uidb36": "1",
        "key": "x-y",
        "name": "pipe",
        "nps": "1",
        "schedule": "80",
        "job": "",
    }
    values = world.own | about
    for route in (route for route in ALL_ROUTES if "code" not in route.arguments):
        if route.name in API:
            continue
        verbs = ROUTES[route.name]
        assert set(verbs.values()) in ({ANYBODY}, {MEMBER}), route.name
        for method in verbs:
            answer = route.ask(browser(None), method, values)
            if verbs[method] == ANYBODY:
                assert answer.status_code in (200, 302), (route.name, method)
            elif route.url(values).startswith("/api/") and route.name != "api-docs":
                # A program is told that it must sign in; a person is led to the door.
                assert answer.status_code == 401, (route.name, method)
            else:
                assert answer.status_code == 302 and answer["Location"].startswith("/sign-in/"), (route.name, method)
        for method in {"GET", "POST"} - set(verbs):
            assert route.ask(browser(world.people["welder"]), method, values).status_code == 405, (route.name, method)


@pytest.mark.parametrize("role", [*ROLES, "visitor"])
def test_everybody_reads_the_pages_that_belong_to_no_job(role: str, world: World) -> None:
    for address in ("/", "/account/", reverse("calculators"), reverse("calculator", args=["pipe"])):
        assert browser(world.people[role]).get(address, {"nps": "1", "schedule": "80"}).status_code in (200, 302), (
            address
        )


def alike(content: bytes) -> bytes:
    """A page without what differs on each request: tokens, and the address that was asked for."""
    content = re.sub(rb'name="csrfmiddlewaretoken" value="[^"]+"', b"", content)
    return re.sub(rb"[0-9a-f]{8}-[0-9a-f-]{27}|OWN-1|FOR-1|NONE-1", b"", content)
