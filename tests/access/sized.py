"""A job of any size with one of everything that a page shows, and the pages of which each is asked for."""

from typing import Any
from uuid import UUID

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
    SampleLot,
    Sheet,
    Stamp,
    User,
    Work,
)
from records.models.job import ROLES
from records.refresh import refresh
from tests.access.table import API, ROUTES
from tests.access.test_matrix import ALL_ROUTES
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
    """The first sheet of the first line, with a route that none of its joints is part of yet; the next has none."""
    sheet = Sheet.objects.filter(job=job).order_by("line__number", "number")[0]
    Route.objects.create(job=job, sheet=sheet, text="size 2 sch 80\nrun north 1 m\nelbow\nrun up 1 m\nopen end\n")
    return sheet.pk


def sized_job(joints: int, *, lines: int = 0, done: int = 5) -> tuple[Job, dict[str, Any]]:
    """A job of so many joints, with one of everything that a page shows.

    lines  one for every ten joints where none are given; done: percent of the joints that are welded
    """
    stored = store(f"SIZE-{joints}", joints=joints, lines=lines or joints // 10, done=done)
    job = stored.job
    open_journal(job)
    plan = ExamPlan.objects.create(job=job, name="N10")
    rule = ExamRule.objects.create(
        job=job, plan=plan, joint_kind="all", method="RT", share_percent=10, lot_basis="line"
    )
    Line.objects.filter(job=job).update(exam_plan=plan)
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
    return job, stock(job, stored.engineer) | webhook_rows(job, stored.engineer) | {
        "rule": rule.id,
        "of": SampleLot.objects.get(rule=rule, places__joint=joint).id,
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
