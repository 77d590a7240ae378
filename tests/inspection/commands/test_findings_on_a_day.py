"""The findings as of a day are those of a job of which nothing later was recorded: common practice, no source."""

from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from records.models import ExamRule, FitUp, Job, Joint, Line, Pass, Stamp, User
from tests.builders import ExamPlanBuilder, days_ago
from tests.office.importing.books import import_sheets
from tests.office.workbooks import Sheets, change, row_of, sheets_with_shop

pytestmark = pytest.mark.django_db
RECORDS = (
    "Fit-ups", "Passes", "Examinations", "Repairs", "Releases", "Attendances", "Piece events", "Lot moves", "Picks",
    "Overrides", "Assignments", "Confirmations",
)  # fmt: skip
DAYS = [date(2026, 8, 31), *(date(2026, 9, day) for day in (4, 8, 12, 21, 22, 23, 24))]


def _job() -> Sheets:
    """A job with a lot, whose welder of the repairs welded nothing before, and what the shop recorded late."""
    sheets = sheets_with_shop([
        change("Job", 2, "confirmation demanded", "yes"), change("Exam plans", 3, "share", 50),
        change("Lot moves", 2, "date", date(2026, 9, 8)), change("Lot moves", 3, "date", date(2026, 9, 9)),
        change("Passes", row_of("Passes", joint="4", order=2, attempt="0"), "stamp", "A1"),
        change("Passes", row_of("Passes", joint="4", order=3, attempt="0"), "stamp", "A1"),
    ])  # fmt: skip
    sheets["Exam plans"][0].append("lot basis")
    sheets["Exam plans"][2].append("line")
    of_joint = ["drawing", "sheet", "joint", "attempt"]
    sheets["Piece events"].append(["ISO-1", "1", "11", "on hold", date(2026, 9, 22), "Store One", None, None])
    sheets["Picks"] = [
        [*of_joint, "method", "date", "by", "how", "purpose"],
        ["ISO-1", "1", "3", "0", "RT", date(2026, 9, 23), "Examiner One", "by hand", "extra"],
    ]
    sheets["Overrides"] = [
        [*of_joint, "code", "date", "by", "reason"],
        ["ISO-1", "1", "1", "0", "piece-on-hold", date(2026, 9, 24), "Engineer One", "Sound"],
    ]
    sheets["Confirmations"] = [["table", "date", "by", "edition"], ["pipe", date(2026, 9, 24), "Engineer One", "2018"]]
    return sheets


def _until(sheets: Sheets, day: date, code: str) -> Sheets:
    found: Sheets = {}
    for name, (header, *rows) in sheets.items():
        place = header.index("date") if name in RECORDS else None
        found[name] = [header, *(row for row in rows if place is None or _day(row[place]) <= day)]
    return found | {"Job": [sheets["Job"][0], [code, *sheets["Job"][1][1:]]]}


def _day(cell: object) -> date:
    assert isinstance(cell, date)
    return cell.date() if isinstance(cell, datetime) else cell


def _told(capsys: pytest.CaptureFixture[str], code: str, day: date) -> list[str]:
    capsys.readouterr()
    call_command("findings", "--job", code, "--as-of", str(day))
    return sorted(capsys.readouterr().out.splitlines())


def test_nothing_later_shows_on_any_day(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheets = _job()
    assert import_sheets(sheets, tmp_path).faults == []
    codes = set()
    for day in DAYS:
        code = f"U-{day}"
        assert import_sheets(_until(sheets, day, code), tmp_path, code=code).faults == []
        told = _told(capsys, "J-1", day)
        assert told == _told(capsys, code, day), day
        codes |= {word for line in told for word in line.split() if "-" in word}
    named = {"sample-short", "piece-on-hold", "lot-not-issued", "table-unconfirmed"}
    assert named <= codes
    assert Job.objects.count() == 1 + len(DAYS)


def test_before_a_correction_the_record_that_it_replaces_stands(
    job: Job, joint: Joint, stamp: Stamp, engineer: User, capsys: pytest.CaptureFixture[str]
) -> None:
    by: Any = {"job": job, "by": engineer}
    plan = ExamPlanBuilder(job=job)
    ExamRule.objects.create(job=job, plan=plan, joint_kind="all", method="RT", share_percent=50, lot_basis="line")
    Line.objects.filter(id=joint.line_id).update(exam_plan=plan)
    fit: Any = {"joint": joint, "by": "A1", "done_on": days_ago(9)}
    [wide] = record_fit_ups([FitUp(**fit, gap_mm=Decimal(9))], **by)
    right: Any = {**fit, "done_on": days_ago(3), "replaces": wide, "reason": "Set again"}
    record_fit_ups([FitUp(**right, gap_mm=Decimal("1.5875"))], **by)
    drafts = [
        Pass(joint=joint, order=order, role=role, stamp=stamp, process="GTAW", done_on=days_ago(8), by="A1")
        for order, role in enumerate(("root", "cap"), start=1)
    ]
    *_, cap = record_passes(drafts, **by)
    later = Pass(
        joint=joint, order=2, role="cap", stamp=stamp, process="GTAW", by="A1", done_on=days_ago(2), replaces=cap,
        reason="Welded on another day",
    )  # fmt: skip
    record_passes([later], **by)
    told = {ago: " ".join(_told(capsys, job.code, days_ago(ago))) for ago in (9, 8, 7, 3, 2, 0)}
    assert [ago for ago in told if " gap-" in told[ago]] == [9, 8, 7]
    assert [ago for ago in told if "sample-short" in told[ago]] == [8, 7, 3, 2, 0]
