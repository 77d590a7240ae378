"""What happens at the joint: assignments, fit-ups, passes and withdrawals."""

from joints.actions.assign_welders import assign_welders
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.actions.withdraw_records import withdraw_records
from joints.forms.pass_form import POSITIONS
from records.api.fields import flag, key, named, number, one_of, text, translated, whole
from records.api.record_fields import BY, JOB, JOINT, WRITTEN, on_joint, withdrawn
from records.api.resource import Resource
from records.models import Assignment, FillerLot, FitUp, Pass, Procedure, Stamp, Withdrawal
from records.models.procedure import PASS_ROLES, PROCESSES

ON_ONE = ("joint_id",)
# As the API calls what can be withdrawn, by the name that the record keeps.
KINDS = {
    "joint": "joint",
    "fitup": "fit-up",
    "pass": "pass",
    "examination": "examination",
    "repairdecision": "repair",
    "release": "release",
    "override": "override",
    "assignment": "assignment",
    "pick": "pick",
    "attendance": "attendance",
}

ASSIGNMENTS = Resource(
    "assignments",
    "Assignment",
    "The foreman's word on who welds a joint; the latest counts.",
    Assignment,
    on_joint(
        {
            "stamp": named(Stamp, "stamp", "code").required(),
            "override_reason": text(
                "override_reason", most=4000, about="Why, where the rules speak against the welder"
            ).optional(),
        }
    ),
    filters=ON_ONE,
    extra=withdrawn("assignment"),
    verb="assign",
    act=assign_welders,
    defaults=BY,
)
FIT_UPS = Resource(
    "fit-ups",
    "FitUp",
    "A joint as it stood before welding; with four readings and no `gap_mm` the gap is the least of them.",
    FitUp,
    on_joint(
        {
            **{
                name: number(name).optional()
                for name in (
                    "gap_mm", "gap_12_mm", "gap_3_mm", "gap_6_mm", "gap_9_mm", "squareness_mm", "high_low_mm",
                )
            },
            "tack_stamp": named(Stamp, "tack_stamp", "code").optional(),
            "heat_a_read": text("heat_a_read", most=80).optional(),
            "heat_b_read": text("heat_b_read", most=80).optional(),
            "accepted_by": text("accepted_by", most=120).optional(),
            "revision": text("revision", most=16).optional(),
        }
    ),
    filters=ON_ONE,
    extra=withdrawn("fitup"),
    verb="record fit-up",
    act=record_fit_ups,
    defaults=BY,
)  # fmt: skip
PASSES = Resource(
    "passes",
    "Pass",
    "One segment of a pass: one welder, from one start to one stop. Left out, the procedure is the joint's.",
    Pass,
    on_joint(
        {
            "order": whole("order", least=1, most=99).required(),
            "pass": one_of("role", PASS_ROLES).required(),
            "stamp": named(Stamp, "stamp", "code").required(),
            "process": one_of("process", PROCESSES).required(),
            "procedure": named(Procedure, "procedure").optional(),
            "filler_lot": named(FillerLot, "filler_lot").optional(),
            "amps": number("amps", places=4).optional(),
            "volts": number("volts", places=4).optional(),
            "travel_mm_min": number("travel_mm_min", places=4).optional(),
            "length_mm": number("length_mm").optional(),
            "arc_time_s": number("arc_time_s", places=4).optional(),
            "preheat_c": number("preheat_c", places=4).optional(),
            "interpass_c": number("interpass_c", places=4).optional(),
            "position": one_of("position", POSITIONS).optional(),
            "start_degrees": number("start_degrees", places=4).optional(),
            "stop_degrees": number("stop_degrees", places=4).optional(),
            "shift": text("shift", most=20).optional(),
            "from_weld_log": flag("from_weld_log"),
        },
        by=text("by", most=120, about="Left out, the stamp").optional(),
    ),
    filters=ON_ONE,
    extra=withdrawn("pass"),
    verb="record pass",
    act=record_passes,
    defaults={"by": lambda one, user: one.stamp.code, "procedure_id": lambda one, user: one.joint.procedure_id},
)
WITHDRAWALS = Resource(
    "withdrawals",
    "Withdrawal",
    "The statement that a record on a joint was made in error, or that a joint is no more.",
    Withdrawal,
    {
        **JOB,
        **JOINT,
        "id": key("id").required(),
        "joint_id": key("joint_id").required(),
        "kind": translated("kind", KINDS).required(),
        "record": key("record", about="The id of what is withdrawn").required(),
        **{name: WRITTEN[name] for name in ("recorded_by", "recorded_at", "device_at")},
        "reason": text("reason", most=4000).required(),
    },
    filters=ON_ONE,
    verb="withdraw",
    act=withdraw_records,
    rows=lambda: Withdrawal.objects.filter(joint__isnull=False),
)
RECORDS = (ASSIGNMENTS, FIT_UPS, PASSES, WITHDRAWALS)
