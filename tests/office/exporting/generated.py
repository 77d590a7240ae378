"""Jobs made at random of a number: the small workbook with cells changed, then days of work through the actions.

Nothing is taken care of: records come twice, late and corrected in several columns, are withdrawn, overridden before the
next one, and bear every text that a person can paste.
"""

import copy
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from functools import partial
from pathlib import Path
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from inspection.actions.confirm_tables import confirm_tables
from inspection.actions.decide_repairs import decide_repairs
from inspection.actions.override_findings import override_findings
from inspection.actions.pick_joints import pick_joints
from inspection.actions.record_attendances import record_attendances
from inspection.actions.record_examinations import record_examinations
from inspection.actions.release_joints import release_joints
from joints.actions.assign_welders import assign_welders
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.actions.save_plan import save_plan
from joints.actions.withdraw_records import withdraw_records
from joints.actions.withdraw_shop_records import withdraw_shop_records
from office.importing.workbook import import_workbook
from records.models import (
    Assignment,
    Attendance,
    Confirmation,
    Examination,
    Finding,
    FitUp,
    Heat,
    HoldPoint,
    Job,
    Joint,
    Line,
    Membership,
    Override,
    Pass,
    Pick,
    Release,
    RepairDecision,
    Stamp,
    User,
    Withdrawal,
)
from records.models.base import JointRecord, ShopRecord, new_id
from rules.points import CODE as POINT_OPEN
from tests.office.exporting.generated_shop import SHOP, about_what, said_in_shop
from tests.office.workbooks import FINDING_SWITCHES, Sheets, as_xlsx, change, sheets_with_shop

FIRST = date(2026, 9, 1)
# A spreadsheet holds 32,767 characters in a cell; what a name holds is far less.
TEXTS = (
    'He said "slag", twice; it\'s at 4', "=1+1", "+1", "-1", "@SUM(A1)", "{=A1}", "'quoted", "שלום עולם", "\u202eabc\u202c",
    "one\ntwo\n\nfour", "a\tb", "#N/A", "#REF!", "_x0041_", "<b>&amp;</b>", "😀 Ω ñ", "1/8", "1e5", "0012", "TRUE", "all",
    "none", "2026-09-01", "a,b;c", "x" * 32_000, "ends in (Somebody, 2026-09-02)", "; corrected:", "N/A", "-",
)  # fmt: skip
SHORT = tuple(text for text in TEXTS if len(text) <= 80 and "\n" not in text and "\t" not in text)
# What a cell of a workbook can say: neither an error of the spreadsheet, nor a formula.
NAMES = tuple(text for text in SHORT if text[0] not in "#={")
LENGTHS = tuple(map(Decimal, ("0", "1.5875", "3.175", "3.2", "0.000001", "1.123457", "25.4", "12.7", "2.38125")))
ZONES = ("UTC", "America/Chicago", "Asia/Kolkata", "Europe/Lisbon", "Pacific/Auckland")
KINDS: dict[type[JointRecord], Any] = {
    FitUp: record_fit_ups, Pass: record_passes, Examination: record_examinations, RepairDecision: decide_repairs,
    Pick: pick_joints, Attendance: partial(record_attendances, as_recorded=True),
}  # fmt: skip


class Made:
    """One job under way."""

    def __init__(self, number: int, folder: Path) -> None:
        self.random = Random(number)
        self.engineer = User.objects.get_or_create(username="engineer", defaults={"first_name": "Edda"})[0]
        self.units = self.random.choice(("US", "SI"))
        path = folder / "begun.xlsx"
        path.write_bytes(as_xlsx(self.sheets()))
        outcome = import_workbook(path, "J-1", by=None, may_create=True)
        assert outcome.faults == [], outcome.faults
        self.job = Job.objects.get(code="J-1")
        for role in ("engineer", "foreman", "owner"):
            Membership.objects.get_or_create(job=self.job, user=self.engineer, role=role)
        self.joints = list(Joint.objects.filter(job=self.job).order_by("number"))
        self.stamps = list(Stamp.objects.filter(job=self.job))

    def sheets(self) -> Sheets:
        """The small workbook with a few findings switched on, in one of the unit systems and time zones."""
        random = self.random
        switched = random.sample(sorted(FINDING_SWITCHES), random.randint(0, 4))
        changes = {(sheet, row, column): value for sheet, row, column, value in map(FINDING_SWITCHES.get, switched)}  # type: ignore[misc]
        changes |= {("Job", 2, "time zone"): random.choice(ZONES), ("Job", 2, "units"): self.units}
        changes |= {("Lines", 2, "service"): random.choice(NAMES), ("Welders", 2, "name"): random.choice(NAMES)}
        changes |= {("Sheets", 2, "spools"): random.choice(("SP-1, SP-2", '"a,b", "all"', '2"-SP/1, 3"-SP'))}
        sheets = sheets_with_shop(change(*place, value) for place, value in changes.items())
        return in_inches(sheets) if self.units == "SI" else sheets

    def work(self, deeds: int) -> Job:
        """Do so many things on the job, one after the other."""
        deed = (
            self.record,
            self.record,
            self.correct,
            self.correct,
            self.withdraw,
            self.override,
            self.sign,
            self.replan,
            self.record_in_shop,
            self.correct_in_shop,
            self.withdraw_in_shop,
        )
        for _ in range(deeds):
            self.random.choice(deed)()
        return self.job

    @property
    def by(self) -> dict[str, Any]:
        return {"job": self.job, "by": self.engineer}

    def common(self, joint: Joint) -> dict[str, Any]:
        """On which joint and attempt, when and by whom."""
        return self.dated() | {"joint": joint, "attempt": self.random.choice(("0", "0", "0", "R1", "W1"))}

    def dated(self) -> dict[str, Any]:
        """When and by whom; often without a time, so that several fall together."""
        random = self.random
        day = FIRST + timedelta(days=random.randint(0, 20))
        seconds = random.choice((None, None, 25_200, 43_200, 45_296, 0))
        at = (
            datetime(day.year, day.month, day.day, tzinfo=UTC) + timedelta(seconds=seconds)
            if seconds is not None
            else None
        )
        if at and random.random() < 0.2:
            at += timedelta(microseconds=random.randint(0, 999_999))
        zone = ZoneInfo(self.job.time_zone)
        return {
            "id": new_id(), "job": self.job, "done_on": at.astimezone(zone).date() if at else day, "done_at": at,
            "by": random.choice((*SHORT, "A1")),
        }  # fmt: skip

    def record(self) -> None:
        """Record something on a joint, or what stands there already once more."""
        random, joint = self.random, self.random.choice(self.joints)
        kind = random.choice(list(KINDS))
        draft = kind(**self.common(joint), **self.values(kind))
        twins = [draft]
        if random.random() < 0.3:
            twin = copy.copy(draft)
            twin.id = new_id()
            twins.append(twin)
        KINDS[kind](twins, **self.by)

    def values(self, kind: type[JointRecord]) -> dict[str, Any]:
        """What a record of a kind says beyond the common."""
        random = self.random
        if kind is FitUp:
            gap = random.choice(LENGTHS)
            return {"gap_mm": gap, "high_low_mm": random.choice((None, *LENGTHS)), "typed": random.choice(
                ({}, {"gap": f"{gap} mm"}, {"gap": "0.125"}, {"gap": "no length"})
            ), "tack_stamp": random.choice((None, *self.stamps)), "heat_a_read": random.choice(SHORT)}  # fmt: skip
        if kind is Pass:
            return {
                "order": random.randint(1, 4), "role": random.choice(("root", "fill", "cap")), "process": "GTAW",
                "stamp": random.choice(self.stamps), "amps": random.choice((None, Decimal("99.5"), Decimal("0.1") + 100)),
                "travel_mm_min": random.choice((None, Decimal("101.6"), Decimal("100"))),
                "preheat_c": random.choice((None, Decimal("10"), Decimal("93.3333"), Decimal("-29"))),
                "start_degrees": random.choice((None, Decimal(0), Decimal("135"), Decimal("10.0001"))),
                "procedure": random.choice((None, *(joint.procedure for joint in self.joints))),
            }  # fmt: skip
        if kind is Examination:
            return {
                "method": random.choice(("VT", "RT")), "result": random.choice(("accepted", "rejected", "re-shoot")),
                "leg_a_mm": random.choice((None, *LENGTHS)), "indications": random.choice(TEXTS),
                "stage": random.choice(("final", "root")), "report": random.choice(("", *SHORT)),
            }  # fmt: skip
        if kind is Pick:
            return {
                "method": random.choice(("VT", "RT")), "how": random.choice(("random", "by hand")),
                "purpose": random.choice(("sample", "extra")), "stage": random.choice(("final", "root")),
                "lot": random.choice(("", *SHORT)), "draw": random.choice(SHORT), "remark": random.choice(TEXTS),
            }  # fmt: skip
        if kind is Attendance:
            [point] = HoldPoint.objects.filter(job=self.job)
            result = random.choice(("notified", "attended", "waived"))
            return {"point": point, "result": result, "remark": random.choice(("", *TEXTS))}
        return {"decision": random.choice(("repair", "cut-out")), "reason": random.choice(("", *TEXTS))}

    def standing(self, model: type[Any]) -> list[Any]:
        """Records that were neither corrected nor withdrawn."""
        gone = Withdrawal.objects.filter(job=self.job).values("record")
        rows = model.objects.filter(job=self.job, replaced_by__isnull=True).exclude(id__in=gone)
        return list(rows.order_by("recorded_at", "id"))

    def correct(self) -> None:
        """Correct one to all columns of a record at once."""
        random = self.random
        kind = random.choice(list(KINDS))
        rows = self.standing(kind)
        if not rows:
            return
        old = random.choice(rows)
        new = copy.copy(old)
        said = self.common(old.joint) | self.values(kind)
        fixed = ("job", "joint", "reason", "typed", "id", "done_on", "done_at")
        names = random.sample(sorted(set(said) - set(fixed)), random.randint(1, 3))
        for name in names:
            setattr(new, name, said[name])
        if random.random() < 0.3:
            new.done_on, new.done_at = said["done_on"], said["done_at"]
        new._state.adding = True
        new.id, new.replaces, new.device_at = new_id(), old, None
        new.reason = random.choice(TEXTS)
        KINDS[kind]([new], **self.by)

    def withdraw(self) -> None:
        """Withdraw a record, or now and then a joint."""
        random = self.random
        kind = random.choice((*KINDS, Release, Override, Assignment, Joint))
        gone = Withdrawal.objects.filter(job=self.job).values("record")
        if kind is Joint:
            rows: Sequence[Any] = list(Joint.objects.filter(job=self.job).exclude(id__in=gone).order_by("number"))
        else:
            rows = self.standing(kind)
        if rows:
            row = random.choice(rows)
            joint = row if kind is Joint else row.joint
            draft = Withdrawal(
                id=new_id(), joint=joint, kind=kind._meta.model_name, record=row.pk, reason=random.choice(TEXTS)
            )
            withdraw_records([draft], **self.by)

    def record_in_shop(self) -> None:
        """Record something of a piece, a spool or a filler lot."""
        kind = self.random.choice(list(SHOP))
        self.say_in_shop(kind(**about_what(kind, self.job, self.random)))

    def correct_in_shop(self) -> None:
        """Say anew all that a record of the shop said."""
        kind = self.random.choice(list(SHOP))
        if rows := self.standing(kind):
            new = copy.copy(old := self.random.choice(rows))
            new._state.adding = True
            new.replaces, new.device_at, new.reason = old, None, self.random.choice(TEXTS)
            self.say_in_shop(new)

    def say_in_shop(self, one: ShopRecord) -> None:
        """Fill a draft in and record it."""
        for name, value in (self.dated() | said_in_shop(one, self.job, self.random, SHORT, TEXTS)).items():
            setattr(one, name, value)
        SHOP[type(one)]([one], **self.by)

    def withdraw_in_shop(self) -> None:
        """Withdraw a record of the shop."""
        kind = self.random.choice(list(SHOP))
        if rows := self.standing(kind):
            gone = {"kind": kind._meta.model_name, "record": self.random.choice(rows).pk}
            withdraw_shop_records([Withdrawal(id=new_id(), **gone, reason=self.random.choice(TEXTS))], **self.by)

    def override(self) -> None:
        """Override a finding that stands; what comes later is not covered."""
        found = Finding.objects.filter(job=self.job).exclude(code=POINT_OPEN)
        rows = list(found.order_by("joint__number", "attempt", "code", "message"))
        if rows:
            row = self.random.choice(rows)
            said = self.common(row.joint) | {"attempt": row.attempt, "reason": self.random.choice(TEXTS)}
            override_findings([Override(**said, code=row.code)], **self.by)

    def sign(self) -> None:
        """Release, assign or confirm, as somebody had it on paper."""
        random, joint = self.random, self.random.choice(self.joints)
        said = self.common(joint)
        release_joints([Release(**said, remark=random.choice(TEXTS))], **self.by, as_recorded=True)
        said |= {"id": new_id(), "stamp": random.choice(self.stamps), "override_reason": random.choice(("", *TEXTS))}
        assign_welders([Assignment(**said)], **self.by, as_recorded=True)
        table, edition = f"pipe {random.randint(1, 9)}", "2018"
        if not Confirmation.objects.filter(job=self.job, table=table).exists():
            said = {"id": new_id(), "done_on": FIRST, "by": random.choice(SHORT), "remark": random.choice(TEXTS)}
            confirm_tables([Confirmation(**said, table=table, edition=edition)], **self.by)

    def replan(self) -> None:
        """Change rows of the plan in ways that no workbook would."""
        random, joint = self.random, self.random.choice(self.joints)
        joint.refresh_from_db()
        joint.heat_a = random.choice((None, *Heat.objects.filter(job=self.job).order_by("number")))
        joint.material_a, joint.alias = random.choice(("", "A105")), random.choice(SHORT)
        line = Line.objects.get(job=self.job)
        line.design_pressure_kpa = random.choice((None, Decimal("1034.2136"), Decimal("1000"), Decimal("0.0001")))
        line.design_temperature_c = random.choice((None, Decimal("93.3333"), Decimal("100"), Decimal("-28.8889")))
        save_plan([joint], **self.by, reason="replanned")
        save_plan([line], **self.by, reason="replanned")


def in_inches(sheets: Sheets) -> Sheets:
    """The lengths of the small workbook with their unit, as a job in mm needs them."""
    lengths = {
        "gap", "squareness", "high-low", "thickness min", "thickness max", "deposit max", "gap min", "gap max",
        "squareness max", "high-low max", "filler diameter", "coupon diameter", "deposit thickness", "diameter", "leg A",
        "leg B", "undercut",
    }  # fmt: skip
    for rows in sheets.values():
        for place, name in enumerate(rows[0]):
            if name in lengths:
                for row in rows[1:]:
                    row[place] = f"{row[place]} in" if row[place] is not None else None
    return sheets
