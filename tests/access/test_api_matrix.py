"""Every address of the API × method × role × own or foreign job: what the table says, and nothing else."""

import uuid
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from records.models import (
    Assignment,
    Attendance,
    Certificate,
    ContinuityEntry,
    Examination,
    Finding,
    FitUp,
    Job,
    Joint,
    Material,
    Override,
    Package,
    Pass,
    Pick,
    Release,
    RepairDecision,
    Stamp,
    User,
    Withdrawal,
)
from records.models import (
    Route as RouteOfSheet,
)
from records.models.job import ROLES
from tests.access.table import API, MAY
from tests.access.test_client_writes_nothing import changed
from tests.access.test_matrix import ALL_ROUTES, BACKEND, METHODS, Route, World, make_world
from tests.builders import (
    ConfirmationBuilder,
    ExaminerBuilder,
    FillerLotBuilder,
    HoldPointBuilder,
    JointBuilder,
    OwnerLimitBuilder,
    PieceBuilder,
    QualificationBuilder,
    StampBuilder,
    UserBuilder,
    WelderBuilder,
)
from tests.databases import made_once
from tests.hooked import webhook_rows
from tests.shop import records
from tests.stored import stored

API_ROUTES = [route for route in ALL_ROUTES if route.name in API]
LISTS = [route for route in API_ROUTES if not route.arguments]
SINGLE = [route for route in API_ROUTES if route.arguments]


def things(job: Job) -> dict[str, Any]:
    """The id of one row of each resource, by the name of its list."""
    person, now = UserBuilder(), timezone.now()
    joint: Joint = JointBuilder(sheet__line__job=job)
    stamp: Stamp = StampBuilder(welder=WelderBuilder(job=job))
    signed = {"job": job, "recorded_by": person, "recorded_at": now}
    on_joint = signed | {"joint": joint, "done_on": now.date()}
    fit_up = FitUp.objects.create(**on_joint)
    finding = Finding.objects.create(
        job=job, joint=joint, attempt="0", code="heat-missing", severity="correct", message="A heat.", source=""
    )
    assert joint.line.exam_plan is not None and joint.heat_a is not None and joint.spool is not None
    package = Package.objects.create(
        **signed, scope="job", sha256="0" * 64, pages=1, missing=0, head_number=0, head_hash="0" * 64
    )
    hook = webhook_rows(job, person)
    point = HoldPointBuilder(job=job)
    rows = {
        "hold-points": point,
        "attendances": Attendance.objects.create(**on_joint, point=point, result="notified"),
        "jobs": job,
        "lines": joint.line,
        "sheets": joint.sheet,
        "spools": joint.spool,
        "pieces": PieceBuilder(sheet=joint.sheet),
        "heats": joint.heat_a,
        "filler-lots": FillerLotBuilder(job=job),
        "procedures": joint.procedure,
        "joints": joint,
        "welders": stamp,
        "qualifications": QualificationBuilder(stamp=stamp),
        "examiners": ExaminerBuilder(job=job),
        "exam-plans": joint.line.exam_plan.rules.get(method="VT"),
        "findings": finding,
        "packages": package,
        "assignments": Assignment.objects.create(**on_joint, stamp=stamp),
        "fit-ups": fit_up,
        "passes": Pass.objects.create(**on_joint, order=1, role="cap", stamp=stamp, process="GTAW"),
        "withdrawals": Withdrawal.objects.create(**signed, joint=joint, kind="fitup", record=fit_up.id),
        "examinations": Examination.objects.create(**on_joint, method="VT", result="accepted"),
        "repairs": RepairDecision.objects.create(**on_joint, decision="repair"),
        "releases": Release.objects.create(**on_joint),
        "overrides": Override.objects.create(**on_joint, code="heat-missing"),
    }
    rows["picks"] = Pick.objects.create(**on_joint, method="RT", how="by hand")
    rows["materials"] = Material.objects.create(job=job, name="A999", p_number="1")
    rows["certificates"] = Certificate.objects.create(job=job, number="MC-of-the-list")
    rows["routes"] = RouteOfSheet.objects.create(job=job, sheet=joint.sheet, text="open end")
    rows["owner-limits"] = OwnerLimitBuilder(job=job)
    rows["continuity"] = ContinuityEntry.objects.create(job=job, stamp=stamp, process="GTAW", used_on=now.date())
    rows["confirmations"] = ConfirmationBuilder(job=job)
    ids = {name: row.pk for name, row in rows.items()} | shop_rows(job, person)
    return ids | {"webhooks": hook["webhook"], "webhook-deliveries": hook["delivery"]}


def shop_rows(job: Job, person: User) -> dict[str, Any]:
    """An event, a step and a move, and the withdrawal of one of them."""
    made = records(job, person)
    signed = {"job": job, "recorded_by": person, "recorded_at": timezone.now()}
    withdrawal = Withdrawal.objects.create(**signed, kind="lotmove", record=made["move"], reason="On another lot.")
    shop = {"piece-events": made["event"], "spool-steps": made["step"], "lot-moves": made["move"]}
    return shop | {"shop-withdrawals": withdrawal.id}


@pytest.fixture(scope="module")
def made_api_world(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: Any
) -> Iterator[tuple[World, Path]]:
    files = tmp_path_factory.mktemp("files")
    with made_once(lambda: make_world(things), django_db_blocker, files) as made:
        yield made, files


@pytest.fixture
def world(made_api_world: tuple[World, Path], db: None, settings: Any) -> World:
    made, settings.MEDIA_ROOT = made_api_world
    return deepcopy(made)


def browser(user: User) -> Client:
    client = Client()
    client.force_login(user, backend=BACKEND)
    return client


def list_of(route: Route) -> str:
    """The list that a single row is of; a question about a joint is of joints."""
    name = route.name.removeprefix("api-")
    for deed in ("-one", "-rotate", "-end", "-try", "-again"):
        name = name.removesuffix(deed)
    return "joints" if name in ("who-may-weld", "requirements") else name


def address(route: Route, rows: dict[str, Any]) -> str:
    return route.url({"id": rows[list_of(route)]} if route.arguments else {})


def ask(client: Client, method: str, url: str) -> Any:
    if method == "POST":
        return client.post(url, [], content_type="application/json")
    return client.generic(method, url)


def expected(route: Route, method: str, role: str) -> set[int]:
    """The statuses that are right for a role on its own job; nothing sent is a fault, not a record.

    A deed on a webhook needs nothing sent; one that another ended before is no more there.
    """
    verb = API[route.name].get("GET" if method == "HEAD" else method)
    if verb is None:
        return {405}
    if role not in MAY[verb]:
        return {403}
    if method == "POST" and route.arguments:
        return {200, 404}
    return {200} if method in ("GET", "HEAD") else {422}


@pytest.mark.parametrize("route", API_ROUTES, ids=lambda route: route.name)
def test_each_role_may_what_the_table_says(route: Route, world: World) -> None:
    wrong = []
    for role in ROLES:
        client = browser(world.people[role])
        for method in METHODS:
            for query in ("", "?job=OWN-1") if not route.arguments else ("",):
                status = ask(client, method, address(route, world.own) + query).status_code
                if status not in expected(route, method, role):
                    wrong.append(f"{role} {method} {query}: {status}, not {expected(route, method, role)}")
    assert wrong == []


@pytest.mark.parametrize("route", API_ROUTES, ids=lambda route: route.name)
def test_whoever_is_not_signed_in_is_told_so(route: Route, world: World) -> None:
    for method in METHODS:
        answer = ask(Client(), method, address(route, world.own))
        assert answer.status_code == 401, method
        assert answer["Content-Type"] == "application/problem+json", method


@pytest.mark.parametrize("route", LISTS, ids=lambda route: route.name)
def test_a_list_of_a_foreign_job_answers_like_one_that_does_not_exist(route: Route, world: World) -> None:
    for role in ROLES:
        client = browser(world.people[role])
        for method in API[route.name]:
            there = ask(client, method, f"{route.url({})}?job=FOR-1")
            nowhere = ask(client, method, f"{route.url({})}?job=NONE-1")
            assert there.status_code == nowhere.status_code == 404, (role, method)
            assert there.content == nowhere.content, (role, method)


@pytest.mark.parametrize("route", LISTS, ids=lambda route: route.name)
def test_a_list_holds_the_rows_of_own_jobs_alone(route: Route, world: World) -> None:
    reader = next(role for role in ("client", "engineer") if role in MAY[API[route.name]["GET"]])
    jobs = {row.get("job", row.get("code")) for row in rows_of(browser(world.people[reader]), route)}
    assert jobs <= {"OWN-1"}
    jobs = {row.get("job", row.get("code")) for row in rows_of(browser(world.people["visitor"]), route)}
    assert jobs <= {"FOR-1"}
    if route.name not in ("api-journal", "api-lots"):
        assert jobs == {"FOR-1"}


def rows_of(client: Client, route: Route) -> list[dict[str, Any]]:
    return client.get(route.url({})).json()["results"]  # type: ignore[no-any-return]


@pytest.mark.parametrize("route", SINGLE, ids=lambda route: route.name)
def test_a_row_of_a_foreign_job_answers_like_one_that_does_not_exist(route: Route, world: World) -> None:
    nowhere = world.own | {list_of(route): 0 if list_of(route) == "findings" else uuid.uuid4()}
    for role in ROLES:
        client = browser(world.people[role])
        for method in API[route.name]:
            there, absent = (ask(client, method, address(route, rows)) for rows in (world.foreign, nowhere))
            assert there.status_code == absent.status_code == 404, (role, method)
            assert there.content == absent.content, (role, method)


@pytest.mark.parametrize("role", ROLES)
def test_somebody_switched_off_may_nothing(role: str, world: World) -> None:
    person = world.people[role]
    client = browser(person)
    person.is_active = False
    person.save()
    for route in API_ROUTES:
        for method in API[route.name]:
            assert ask(client, method, address(route, world.own)).status_code == 401, route.name


def test_a_role_that_ended_opens_nothing(world: World) -> None:
    client = browser(world.people["engineer"])
    world.people["engineer"].memberships.update(is_held=False)
    for route in API_ROUTES:
        if route.arguments:
            for method in API[route.name]:
                assert ask(client, method, address(route, world.own)).status_code == 404, route.name
        else:
            every = client.get(route.url({}))
            told = every.json()["results"] == [] if API[route.name]["GET"] == "read" else every.status_code == 403
            assert told, route.name
            assert client.get(f"{route.url({})}?job=OWN-1").status_code == 404, route.name
        if "POST" in API[route.name] and not route.arguments:
            assert ask(client, "POST", route.url({})).status_code == 403, route.name


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("address", ["/api/nothing-here/", "/api/joints/line%0Abreak/"])
def test_any_other_address_is_a_problem_and_no_page(method: str, address: str, world: World) -> None:
    answer = ask(browser(world.people["welder"]), method, address)
    assert answer.status_code == 404
    assert answer["Content-Type"] == "application/problem+json"


def test_a_job_that_asks_a_second_factor_is_left_out_until_it_is_given(world: World) -> None:
    Job.objects.filter(code="OWN-1").update(second_factor_demanded=True)
    welder = browser(world.people["welder"])
    assert welder.get("/api/joints/").json()["results"] == []
    assert welder.get("/api/joints/?job=OWN-1").status_code == 403
    assert welder.get(f"/api/joints/{world.own['joints']}/").status_code == 403
    # Whoever may only read is not asked for one, as on the pages.
    assert len(browser(world.people["client"]).get("/api/joints/?job=OWN-1").json()["results"]) == 1


def test_no_address_of_the_api_lets_the_client_write(world: World) -> None:
    client, before = browser(world.people["client"]), stored()
    wrong = []
    for route in API_ROUTES:
        for method in METHODS:
            ask(client, method, address(route, world.own))
            if what := changed(before):
                wrong.append(f"{route.name} {method}: {what}")
                before = stored()
    assert wrong == []
