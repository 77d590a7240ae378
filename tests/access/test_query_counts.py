"""How many queries each page costs: as the baseline file has it, and the same at 10 and at 10,000 joints.

Where a page changed on purpose, write the baseline again: WRITE_QUERY_COUNTS=1 pytest tests/access/test_query_counts.py
"""

import csv
import os
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from bench.stored import store
from records.journal import open_journal
from records.models import (
    Attendance,
    Certificate,
    ExamPlan,
    ExamRule,
    Finding,
    FitUp,
    Job,
    Joint,
    Line,
    Membership,
    Procedure,
    Qualification,
    Route,
    Sheet,
    Stamp,
    User,
    Work,
)
from records.models.job import ROLES
from records.refresh import refresh
from tests.access.table import API, MAY, ROUTES
from tests.access.test_matrix import ALL_ROUTES, BACKEND
from tests.access.test_matrix import Route as RouteOfSite
from tests.builders import (
    AttachmentBuilder,
    ConfirmationBuilder,
    HoldPointBuilder,
    OwnerLimitBuilder,
    SheetDrawingBuilder,
    UserBuilder,
)
from tests.hooked import webhook_rows
from tests.sent_in import applied_workbook, checked_workbook
from tests.shop import stock

BASELINE = Path(__file__).with_name("query_counts.csv")
# A paper or a list as a file reads every joint of its line or job, in batches of 2,000; a file of a package is no page.
PAPERS = {
    "weld-map-pdf",
    "weld-log-pdf",
    "findings-pdf",
    "paper-pdf",
    "spool-release",
    "spool-release-pdf",
    "spool-sheet-pdf",
    "spool-sheets-pdf",
    "package-file",
    "export-file",
    "package-manifest",
    "certificate-file",
    "attachment-file",
    "drawing-page",
    "drawing-original",
    "drawing-pdf",
    "import-remarks",
}
WITHOUT_JOB = ("calculators", "calculator", "compute-api")
# One view serves the single row of every resource: that of a joint stands for all.
ALIKE = {name for name in API if name.endswith("-one")} - {"api-joints-one"}
PAGES = [
    route
    for route in ALL_ROUTES
    if "GET" in ROUTES[route.name]
    and route.name not in PAPERS | ALIKE
    and not route.name.endswith(("-xlsx", "-csv"))
    and ("code" in route.arguments or route.name in WITHOUT_JOB or route.name in API)
]


def sheet_with_route(job: Job) -> UUID:
    """The first sheet of the first line, with a route that none of its joints is part of yet."""
    sheet = Sheet.objects.filter(job=job).order_by("line__number", "number")[0]
    Route.objects.create(job=job, sheet=sheet, text="size 2 sch 80\nrun north 1 m\nelbow\nrun up 1 m\nopen end\n")
    return sheet.pk


def sized_job(joints: int) -> tuple[Job, dict[str, Any]]:
    """A job of so many joints, ten a line, some of them welded, with one of everything that a page shows."""
    stored = store(f"SIZE-{joints}", joints=joints, lines=joints // 10, done=5)
    job = stored.job
    open_journal(job)
    # The owner's inspector holds each fit-up: what is welded waits for them.
    point = HoldPointBuilder(job=job)
    refresh(job, Joint.objects.filter(job=job).values_list("id", flat=True))
    welded = Joint.objects.filter(job=job, state="welded").select_related("line")
    joint = welded.order_by("sort_key").first()
    assert joint is not None
    now = timezone.now()
    work = Work.objects.create(job=job, kind="build package", asked_by=stored.engineer, asked_at=now)
    export = Work.objects.create(job=job, kind="export workbook", asked_by=stored.engineer, asked_at=now)
    finding = Finding.objects.create(
        job=job, joint=joint, attempt="0", code="leg-too-small", severity="stop", message="Leg 3/16 in.", source=""
    )
    plan = joint.line.exam_plan = ExamPlan.objects.create(job=job, name="N10")
    joint.line.save()
    rule = ExamRule.objects.create(
        job=job, plan=plan, joint_kind="all", method="RT", share_percent=10, lot_basis="line"
    )
    return job, stock(job, stored.engineer) | webhook_rows(job, stored.engineer) | {
        "rule": rule.id,
        "of": f"line {joint.line.number}",
        "code": job.code,
        "joint": joint.id,
        "line": Line.objects.filter(job=job).order_by("number").values_list("id", flat=True)[0],
        "sheet": sheet_with_route(job),
        "stamp": Stamp.objects.filter(job=job).order_by("code").values_list("id", flat=True)[0],
        "point": point.id,
        "attendance": Attendance.objects.create(
            job=job,
            joint=joint,
            recorded_by=stored.engineer,
            recorded_at=now,
            done_on=now.date(),
            point=point,
            result="notified",
        ).id,
        "limit": OwnerLimitBuilder(job=job).id,
        "table": "pipe",
        "confirmation": ConfirmationBuilder(job=job).id,
        "procedure": Procedure.objects.filter(job=job).order_by("number").values_list("id", flat=True)[0],
        "qualification": Qualification.objects.filter(job=job).order_by("wpq").values_list("id", flat=True)[0],
        "attachment": AttachmentBuilder(job=job).id,
        "drawing": SheetDrawingBuilder(sheet=joint.sheet).id,
        "page": 1,
        "certificate": Certificate.objects.filter(job=job).order_by("number").values_list("id", flat=True)[0],
        "work": work.id,
        "export": export.id,
        "imported": checked_workbook(job, stored.engineer).id,
        "applied": applied_workbook(job, stored.engineer).id,
        "method": "VT",
        "paper": "welder-register",
        "person": stored.engineer.username,
        "kind": "fitup",
        "record": FitUp.objects.get(joint=joint).id,
        "finding": finding.name,
        "job": job.code,
        "id": joint.id,
        "name": "pipe",
        "nps": "1",
        "schedule": "80",
    }


def people_on(*jobs: Job) -> dict[str, User]:
    people = {}
    for role in ROLES:
        people[role] = UserBuilder(username=role)
        for job in jobs:
            Membership.objects.create(job=job, user=people[role], role=role)
    return people


def cost(route: RouteOfSite, client: Client, values: dict[str, Any]) -> int:
    route.ask(client, "GET", values)
    with CaptureQueriesContext(
        connection,
    ) as queries:
        response = route.ask(client, "GET", values)
    assert response.status_code == 200, (route.name, response.status_code)
    return len(queries)


def baseline() -> dict[str, int]:
    with BASELINE.open(newline="") as file:
        return {row["page"]: int(row["queries"]) for row in csv.DictReader(file)}


def write_baseline(counts: dict[str, int]) -> None:
    with BASELINE.open("w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["page", "queries"])
        writer.writerows(sorted(counts.items()))


@pytest.mark.django_db
def test_each_page_costs_what_the_baseline_says_at_10_and_at_10_000_joints(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path
    (small_job, small), (large_job, large) = sized_job(10), sized_job(10_000)
    people = people_on(small_job, large_job)
    counts, grown = {}, []
    for route in PAGES:
        verb = ROUTES[route.name]["GET"]
        roles = (
            ROLES if route.name == "job" else ("administrator" if MAY.get(verb) == {"administrator"} else "engineer",)
        )
        for role in roles:
            client = Client()
            client.force_login(people[role], backend=BACKEND)
            page = f"{route.name} as {role}"
            counts[page], at_10_000 = cost(route, client, small), cost(route, client, large)
            if counts[page] != at_10_000:
                grown.append(f"{page}: {counts[page]} queries at 10 joints, {at_10_000} at 10,000")
    assert grown == []
    if os.environ.get("WRITE_QUERY_COUNTS"):
        write_baseline(counts)
    assert counts == baseline()
