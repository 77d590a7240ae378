"""Exam plans, examiners, results, decisions, signatures and findings."""

from rest_framework import serializers

from inspection.actions.decide_repairs import decide_repairs
from inspection.actions.override_findings import override_findings
from inspection.actions.pick_joints import pick_joints
from inspection.actions.record_attendances import record_attendances
from inspection.actions.record_examinations import METHODS, record_examinations
from inspection.actions.release_joints import release_joints
from records.api.fields import computed, day, flag, key, moment, named, number, one_of, person, text, whole
from records.api.record_fields import BY, JOB, on_joint, withdrawn
from records.api.resource import Resource
from records.models import (
    Attendance,
    Confirmation,
    Examination,
    Examiner,
    ExamRule,
    Finding,
    HoldPoint,
    Override,
    Pick,
    Release,
    RepairDecision,
)
from records.models.examination import PICKED_FOR, PICKED_HOW, RESULTS
from records.models.point import ATTENDANCES as DONE
from records.models.point import POINT_KINDS
from records.models.welding import DECISIONS
from rules.codes import CODES

ON_ONE = ("joint_id",)

EXAMINERS = Resource(
    "examiners",
    "Examiner",
    "A person certified for one examination method.",
    Examiner,
    {
        **JOB,
        "name": text("name"),
        "method": text("method"),
        "level": text("level"),
        "valid_until": day("valid_until"),
        "employer": text("employer"),
        "certificate": text("certificate"),
    },
)
EXAM_PLANS = Resource(
    "exam-plans",
    "ExamRule",
    "One rule of an exam plan: a joint kind, a method and the share to examine.",
    ExamRule,
    {
        **JOB,
        "plan": text("plan__name"),
        "joint_kind": text("joint_kind"),
        "method": text("method"),
        "share_percent": number("share_percent"),
        "nps_min": text("nps_min"),
        "nps_max": text("nps_max"),
        "lot_basis": text("lot_basis"),
        "lot_size": whole("lot_size", nullable=True),
        "acceptance": text("acceptance"),
        "stage": text("stage"),
    },
)
EXAMINATIONS = Resource(
    "examinations",
    "Examination",
    "One examination of one attempt, with the examiner's verdict, which is the one that counts.",
    Examination,
    on_joint(
        {
            "method": one_of("method", METHODS).required(),
            "result": one_of("result", RESULTS).required(),
            "stage": text("stage", most=40, about="Left out, final").optional(),
            "report": text("report", most=80).optional(),
            "report_line": text("report_line", most=20).optional(),
            **{
                name: number(name).optional()
                for name in ("leg_a_mm", "leg_b_mm", "undercut_mm", "gap_on_film_mm")
            },
            "indications": text("indications", most=4000).optional(),
        }
    ),
    filters=ON_ONE,
    extra=withdrawn("examination"),
    verb="examine",
    act=record_examinations,
    defaults=BY,
)  # fmt: skip
REPAIRS = Resource(
    "repairs",
    "Repair",
    "What is done about a rejected attempt; it opens the next one.",
    RepairDecision,
    on_joint(
        {
            "decision": one_of("decision", DECISIONS).required(),
            "piece_scrapped": text("piece_scrapped", most=80).optional(),
        }
    ),
    filters=ON_ONE,
    extra=withdrawn("repairdecision"),
    verb="decide repair",
    act=decide_repairs,
    defaults=BY,
)
RELEASES = Resource(
    "releases",
    "Release",
    "A signature that a joint may go on; refused while findings stop it.",
    Release,
    on_joint({"remark": text("remark", most=2000).optional()}),
    filters=ON_ONE,
    extra=withdrawn("release"),
    verb="release",
    act=release_joints,
    defaults=BY,
)
OVERRIDES = Resource(
    "overrides",
    "Override",
    "A written decision to go on despite a finding; its `reason` is asked for.",
    Override,
    on_joint({"code": one_of("code", list(CODES)).required()}),
    filters=ON_ONE,
    extra=withdrawn("override"),
    verb="override",
    act=override_findings,
    defaults=BY,
)
PICKS = Resource(
    "picks",
    "Pick",
    "A joint chosen to be examined by a method of which its plan asks only a share, with how it was chosen.",
    Pick,
    on_joint(
        {
            "method": one_of("method", METHODS).required(),
            "how": one_of("how", PICKED_HOW).required(),
            "purpose": one_of("purpose", PICKED_FOR).optional(),
            "stage": text("stage", most=40, about="Left out, final").optional(),
            "lot": text("lot", most=200, about="The lot as it is named at the pick").optional(),
            "draw": text("draw", most=200, about="What a random draw can be repeated from").optional(),
            "remark": text("remark", most=4000).optional(),
        }
    ),
    filters=ON_ONE,
    extra=withdrawn("pick"),
    verb="choose samples",
    act=pick_joints,
    defaults=BY,
)
CONFIRMATIONS = Resource(
    "confirmations",
    "Confirmation",
    "An engineer's statement that a table was checked against the contract's own copy of the standard.",
    Confirmation,
    {
        **JOB,
        "table": text("table"),
        "row": text("row", about="Empty: the whole table"),
        "edition": text("edition"),
        "date": day("done_on", nullable=False),
        "by": text("by"),
        "remark": text("remark"),
        "is_withdrawn": flag("is_withdrawn", about="This one takes back the confirmation that it replaces"),
        "replaces": key("replaces_id", nullable=True),
        "reason": text("reason"),
        "recorded_by": person("recorded_by"),
        "recorded_at": moment("recorded_at"),
    },
)
HOLD_POINTS = Resource(
    "hold-points",
    "HoldPoint",
    "A step of the inspection and test plan that waits for the owner's inspector; what is left empty is every one.",
    HoldPoint,
    {
        **JOB,
        "point": text("name"),
        "step": text("step"),
        "kind": one_of("kind", POINT_KINDS),
        "line": text("line__number", nullable=True),
        "piping_class": text("piping_class"),
        "joint_kind": text("joint_kind"),
        "document": text("document"),
        "in_force": flag("in_force"),
    },
)
ATTENDANCES = Resource(
    "attendances",
    "Attendance",
    "That the owner's inspector was told of a point, attended it or waived it; only the owner attends or waives.",
    Attendance,
    on_joint(
        {
            "point": named(HoldPoint, "point", "name").required(),
            "result": one_of("result", DONE).required(),
            "remark": text("remark", most=2000).optional(),
        }
    ),
    filters=ON_ONE,
    extra=withdrawn("attendance"),
    verb="notify owner",
    act=record_attendances,
    defaults=BY,
)
FINDINGS = Resource(
    "findings",
    "Finding",
    "What the rules say of the records; made anew whenever a joint is judged, so an id lasts no longer than that.",
    Finding,
    {
        "id": whole("id"),
        "job": text("job__code"),
        "joint_id": key("joint_id"),
        "joint": computed(
            ("joint__sheet__drawing", "joint__sheet__number", "joint__number"),
            serializers.CharField,
            lambda *parts: "/".join(parts),
            help_text="drawing/sheet/number",
        ),
        "attempt": text("attempt"),
        "code": one_of("code", list(CODES)),
        "record": text("record"),
        "severity": one_of("severity", ("stop", "correct", "note")),
        "measured": text("measured"),
        "limit": text("limit"),
        "unit": text("unit"),
        "source": text("source"),
        "message": text("message"),
        "override": key("override_id", nullable=True, about="The decision to go on; null while it is open"),
    },
    filters=ON_ONE,
)
EXAMINING = (
    EXAMINERS, EXAM_PLANS, EXAMINATIONS, REPAIRS, RELEASES, OVERRIDES, PICKS, CONFIRMATIONS, HOLD_POINTS, ATTENDANCES,
    FINDINGS,
)  # fmt: skip
