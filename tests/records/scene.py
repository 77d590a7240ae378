"""A small job with at least one row of every kind, made through the actions that the pages use."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from hashlib import sha256

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils import timezone

from inspection.actions.confirm_tables import confirm_tables
from inspection.actions.decide_repairs import decide_repairs
from inspection.actions.override_findings import override_findings
from inspection.actions.pick_joints import pick_joints
from inspection.actions.record_attendances import record_attendances
from inspection.actions.record_examinations import record_examinations
from inspection.actions.release_joints import release_joints
from joints.actions.assign_welders import assign_welders
from joints.actions.cut_piece import cut_piece
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_lot_moves import record_lot_moves
from joints.actions.record_passes import record_passes
from joints.actions.record_piece_events import record_piece_events
from joints.actions.record_spool_steps import record_spool_steps
from joints.actions.save_plan import save_plan
from joints.actions.withdraw_records import withdraw_records
from records import journal
from records.batch import together
from records.models import (
    Assignment,
    Attendance,
    Certificate,
    Confirmation,
    ContinuityEntry,
    Examination,
    Examiner,
    ExamPlan,
    ExamRule,
    FillerLot,
    FitUp,
    Heat,
    HoldPoint,
    Job,
    Joint,
    Line,
    LotMove,
    Material,
    Membership,
    Override,
    OwnerLimit,
    Package,
    Pass,
    Pick,
    Piece,
    PieceEvent,
    Procedure,
    ProcedurePass,
    Qualification,
    Release,
    RepairDecision,
    Sheet,
    Spool,
    SpoolStep,
    Stamp,
    User,
    Welder,
    Withdrawal,
)
from records.models.base import Master

DAY = date(2026, 9, 14)
LEG = Decimal("6.35")


@dataclass
class Scene:
    """The job, its engineer, its joints by number, and the welder's stamp."""

    job: Job
    engineer: User
    joints: dict[str, Joint]
    stamp: Stamp
    heat: Heat


def open_job(code: str = "J-1") -> tuple[Job, User]:
    """Make a job with its journal and an engineer, both in the journal."""
    engineer = User.objects.create_user(f"engineer-{code}")
    with transaction.atomic():
        job = Job.objects.create(code=code, name="Glycol skid")
        journal.open_journal(job)
        member = Membership.objects.create(job=job, user=engineer, role="engineer")
        journal.append([job, member], job=job, by=engineer, at=timezone.now())
    return job, engineer


def plan(job: Job, engineer: User, *, joints: int = 6) -> Scene:
    """Plan a line of socket joints with everything that is needed to weld them."""

    def save(row: Master) -> None:
        save_plan([row], job=job, by=engineer)

    exam_plan = ExamPlan(name="P1")
    line = Line(number="1-GL-2001", exam_plan=exam_plan, nps="1", schedule="80", material="A106 B")
    sheet = Sheet(line=line, drawing="ISO-2001", number="1", revision="A")
    spool = Spool(line=line, mark="SP-1")
    certificate = Certificate(number="MC-77")
    analysis = {"C": "0.20", "Mn": "0.80", "P": "0.010", "S": "0.010", "Si": "0.20"}
    strengths = {"tensile_mpa": Decimal(480), "yield_mpa": Decimal(300), "elongation_percent": Decimal(32)}
    heat = Heat(number="H-100", material="A106 B", certificate=certificate, elements=analysis, **strengths)
    piece = Piece(sheet=sheet, mark="1", kind="pipe", nps="1", schedule="80", material="A106 B", heat=heat)
    lot = FillerLot(number="F-1", classification="ER70S-6", diameter_mm=Decimal("2.381250"), certificate=certificate)
    wps = Procedure(number="W-1", revision="0", p_numbers=["1"], processes=["GTAW"], gap_max_mm=Decimal("3.175"))
    welder = Welder(name="Ode Fenwright")
    stamp = Stamp(welder=welder, code="K7")
    test = Qualification(
        stamp=stamp, wpq="K7-1", process="GTAW", tested_on=date(2026, 7, 1), p_number="1", f_number="6",
        positions=["6G"], coupon="pipe", coupon_diameter_mm=Decimal("60.3"), deposit_mm=Decimal("5.54"), backing="no",
    )  # fmt: skip
    numbers = [str(number) for number in range(1, joints + 1)]
    made = {
        number: Joint(
            sheet=sheet,
            line=line,
            number=number,
            sort_key=f"ISO-2001 1 {number:0>6}",
            kind="socket",
            location="shop",
            nps="1",
            schedule="80",
            od_mm=Decimal("33.4"),
            wall_mm=Decimal("4.55"),
            spool=spool,
            piece_a=piece,
            heat_a=heat,
            heat_b=heat,
            material_a="A106 B",
            material_b="A106 B",
            socket_class="3000",
            procedure=wps,
        )  # fmt: skip
        for number in numbers
    }
    with together(job):
        for row in (
            exam_plan,
            ExamRule(plan=exam_plan, joint_kind="all", method="VT", share_percent=Decimal(100)),
            line, sheet, spool, certificate, heat, piece, lot, wps,
            Material(name="A999 X", p_number="1"),
            ProcedurePass(procedure=wps, role="root", process="GTAW", filler="ER70S-6", f_number="6"),
            ProcedurePass(procedure=wps, role="cap", process="GTAW", filler="ER70S-6", f_number="6"),
            welder, stamp, test,
            ContinuityEntry(stamp=stamp, process="GTAW", used_on=date(2026, 8, 1)),
            OwnerLimit(limit="repairs max", value=Decimal(3), typed="3", specification="PS-110", clause="7.2"),
            Examiner(name="Ansel Vroom", method="VT", level="II", valid_until=date(2030, 1, 1)),
        ):  # fmt: skip
            save(row)
        save_plan(list(made.values()), job=job, by=engineer)
    return Scene(job, engineer, made, stamp, heat)


def weld(scene: Scene, joint: Joint, *, on: date = DAY) -> list[Pass]:
    """Fit a joint up and weld its root and cap."""
    by = {"job": scene.job, "by": scene.engineer}
    record_fit_ups([FitUp(joint=joint, done_on=on, by="K7", gap_mm=Decimal("1.5875"))], **by)
    roles = ((1, "root"), (2, "cap"))
    return record_passes(
        [
            Pass(joint=joint, order=order, role=role, stamp=scene.stamp, process="GTAW", done_on=on, by="K7")
            for order, role in roles
        ],
        **by,
    )


def look(scene: Scene, joint: Joint, result: str, *, attempt: str = "0") -> None:
    """Examine a joint by eye."""
    record_examinations(
        [
            Examination(
                joint=joint, attempt=attempt, method="VT", done_on=DAY + timedelta(days=1), by="Ansel Vroom",
                result=result, leg_a_mm=LEG, leg_b_mm=LEG,
            )
        ],
        job=scene.job,
        by=scene.engineer,
    )  # fmt: skip


def every_kind(code: str = "J-1") -> Scene:
    """Make a job in which every record table has a row."""
    scene = plan(*open_job(code))
    by = {"job": scene.job, "by": scene.engineer}
    first, second, third = (scene.joints[number] for number in ("1", "2", "3"))
    assign_welders([Assignment(joint=first, stamp=scene.stamp, done_on=DAY, by="Foreman")], **by)
    for joint in (first, second, third):
        weld(scene, joint)
    look(scene, first, "accepted")
    look(scene, second, "rejected")
    decide_repairs([RepairDecision(joint=second, decision="repair", done_on=DAY, by="Ansel Vroom")], **by)
    release_joints([Release(joint=first, done_on=DAY + timedelta(days=2), by="Ansel Vroom")], **by)
    override_findings(
        [Override(joint=third, code="examination-due", done_on=DAY, by="QC", reason="Seen on site")], **by
    )
    confirm_tables([Confirmation(table="pipe", edition="2018", done_on=DAY, by="QC")], **by)
    wrong = record_fit_ups([FitUp(joint=scene.joints["4"], done_on=DAY, by="K7", gap_mm=Decimal("1.5"))], **by)
    withdrawal = Withdrawal(joint=scene.joints["4"], kind="fitup", record=wrong[0].id, reason="Wrong joint")
    withdraw_records([withdrawal], **by)
    pick = Pick(joint=third, method="RT", how="by hand", lot="N10 RT, line 1-GL-2001", done_on=DAY, by="QC")
    pick_joints([pick], **by)
    point = HoldPoint(name="4.2", step="root", kind="witness", line=first.line, document="ITP-07")
    save_plan([point], **by)
    record_attendances([Attendance(joint=first, point=point, result="notified", done_on=DAY, by="QC")], **by)
    _in_the_shop(scene)
    _package(scene)
    return scene


def _in_the_shop(scene: Scene) -> None:
    by = {"job": scene.job, "by": scene.engineer}
    piece, spool = Piece.objects.get(job=scene.job, mark="1"), Spool.objects.get(job=scene.job)
    record_piece_events([PieceEvent(piece=piece, event="received", done_on=DAY, by="K7", place="Bay 2")], **by)
    cut_piece(PieceEvent(piece=piece, event="cut", done_on=DAY, by="K7", mark_transferred=True), ["1A", "1B"], **by)
    record_spool_steps(
        [SpoolStep(spool=spool, step="dimensional check", result="accepted", done_on=DAY, by="QC")], **by
    )
    lot = FillerLot.objects.get(job=scene.job)
    record_lot_moves(
        [LotMove(lot=lot, move="issued", stamp=scene.stamp, quantity=Decimal("2.5"), unit="kg", done_on=DAY)], **by
    )


def _package(scene: Scene) -> None:
    files = {name: f"{name} of {scene.job.code}".encode() for name in ("package", "manifest")}
    sums = {name: sha256(content).hexdigest() for name, content in files.items()}
    names = {
        name: default_storage.save(f"packages/{sums[name]}.txt", ContentFile(content))
        for name, content in files.items()
    }
    with transaction.atomic():
        at = timezone.now()
        package = Package.objects.create(
            job=scene.job, recorded_by=scene.engineer, recorded_at=at, scope="job", file=names["package"],
            manifest=names["manifest"], sha256=sums["package"], manifest_sha256=sums["manifest"], pages=3, missing=0,
            head_number=1, head_hash="0" * 64,
        )  # fmt: skip
        journal.append([package], job=scene.job, by=scene.engineer, at=at)
