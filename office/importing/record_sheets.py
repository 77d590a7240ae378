"""The sheets of facts: what was fitted, welded, examined, decided and signed."""

from collections.abc import Callable, Iterable
from typing import Any

from inspection.actions import override_findings, record_examinations
from joints.actions import record_fit_ups, record_passes
from office.importing import words
from office.importing.columns import Column, SheetForm, needed, optional, present
from office.importing.parsers import (
    Setting,
    all_or_list,
    attempt,
    clock,
    current,
    duration,
    length,
    long_text,
    moment,
    one_of,
    past_day,
    position,
    temperature,
    text,
    travel,
    voltage,
    whole_number,
    yes_no,
)  # fmt: skip
from records.models import (
    Assignment,
    Attendance,
    Confirmation,
    Examination,
    FitUp,
    Job,
    Joint,
    Override,
    Pass,
    Pick,
    Release,
    RepairDecision,
)  # fmt: skip
from records.models.base import JointRecord
from records.refusals import Fault

RECORD_SHEETS = (
    "Fit-ups",
    "Passes",
    "Examinations",
    "Repairs",
    "Releases",
    "Overrides",
    "Assignments",
    "Picks",
    "Attendances",
)
_process = one_of(words.PROCESS_NAMES, "welding process")
_method = one_of(words.METHOD_NAMES, "examination method")
_KEY = ("drawing", "sheet", "joint", "attempt")


def refused_by(faults: Callable[[Any], Iterable[Fault]], sound: Any, field: str) -> Callable[[Any, Setting], str]:
    """Return what the action itself would refuse of one value, asked once for each value that occurs.

    sound  a draft in which nothing else is at fault
    """

    def check(value: Any, setting: Setting) -> str:
        if isinstance(sound, JointRecord):
            sound.joint.job.units = setting.units  # in which the sentence says a figure
        before = getattr(sound, field)
        setattr(sound, field, value)
        try:
            for fault in faults(sound):
                return f"{fault.message[:1].lower()}{fault.message[1:].rstrip('.')}; accepted is {fault.accepted}"
        finally:
            setattr(sound, field, before)
        return ""

    return check


_JOINT = Joint(job=Job())
_FIT_UP = FitUp(joint=_JOINT)
_EXAMINATION = Examination(joint=_JOINT, method="VT", result="accepted", by="somebody")
_OVERRIDE = Override(joint=_JOINT, code="release-missing", by="somebody", reason="somewhy")
_PASS = Pass(joint=_JOINT, order=1, role="root", process="GTAW")


def _fit_up(name: str, field: str) -> Column:
    check = refused_by(record_fit_ups.faults, _FIT_UP, field)
    return optional(name, length, field, check=check, is_typed=True)


def _pass(name: str, parse: Any, field: str) -> Column:
    return optional(name, parse, field, check=refused_by(record_passes.faults, _PASS, field), is_typed=True)


def _examined(name: str, field: str) -> Column:
    check = refused_by(record_examinations.faults, _EXAMINATION, field)
    return optional(name, length, field, check=check, is_typed=True)


def _past(value: Any, setting: Setting) -> str:
    if value.day > setting.today:
        return f"the date {value.day} is in the future; accepted is a day up to {setting.today}"
    if value.day.year < 1990:
        return f"the date {value.day} is too long ago; accepted is a day from 1990-01-01"
    return ""


def _joint_key() -> tuple[Column, ...]:
    return needed("drawing"), needed("sheet"), needed("joint"), optional("attempt", attempt, "attempt")


def _in_workbook() -> tuple[Column, ...]:
    """What names a row within its workbook, and its turn among what was written on the joint."""
    return optional("entry"), optional("turn", whole_number(0, 999))


def dated() -> Column:
    """The day on which it was done, with its time where one was given."""
    return needed("date", moment, check=_past)


FIT_UPS = SheetForm(
    "Fit-ups",
    FitUp,
    (
        *_joint_key(),
        dated(),
        needed("by", field="by"),
        present("gap", length, "gap_mm", check=_fit_up("gap", "gap_mm").check, is_typed=True),
        _fit_up("gap 12", "gap_12_mm"),
        _fit_up("gap 3", "gap_3_mm"),
        _fit_up("gap 6", "gap_6_mm"),
        _fit_up("gap 9", "gap_9_mm"),
        _fit_up("squareness", "squareness_mm"),
        _fit_up("high-low", "high_low_mm"),
        optional("tack stamp", names="stamp"),
        optional("heat A read", field="heat_a_read"),
        optional("heat B read", field="heat_b_read"),
        optional("accepted by", field="accepted_by"),
        optional("revision", field="revision"),
        *_in_workbook(),
    ),
    _KEY,
    ("entry",),
)
PASSES = SheetForm(
    "Passes",
    Pass,
    (
        *_joint_key(),
        needed("order", whole_number(1, 99), "order"),
        needed("pass", one_of(words.ROLES, "kind of pass"), "role"),
        needed("stamp", names="stamp"),
        needed("process", _process, "process"),
        dated(),
        optional("filler lot", names="filler lot"),
        _pass("amps", current, "amps"),
        _pass("volts", voltage, "volts"),
        _pass("travel", travel, "travel_mm_min"),
        _pass("length", length, "length_mm"),
        _pass("arc time", duration, "arc_time_s"),
        _pass("preheat", temperature, "preheat_c"),
        _pass("interpass", temperature, "interpass_c"),
        optional("position", position, "position"),
        _pass("start", clock, "start_degrees"),
        _pass("stop", clock, "stop_degrees"),
        optional("shift", field="shift"),
        optional("procedure", names="procedure"),
        optional("by", field="by"),
        optional("from weld log", yes_no, "from_weld_log"),
        *_in_workbook(),
    ),
    (*_KEY, "order"),
    may_repeat=True,
)
_several = all_or_list(text)
WELD_LOG = SheetForm(
    "Weld log",
    Pass,
    (
        *_joint_key(),
        dated(),
        needed("procedure", names="procedure"),
        needed("root stamp", _several, names="stamp"),
        optional("hot stamp", _several, names="stamp"),
        optional("fill stamp", _several, names="stamp"),
        optional("cap stamp", _several, names="stamp"),
        optional("filler lot", _several, names="filler lot"),
    ),
    _KEY,
)
EXAMINATIONS = SheetForm(
    "Examinations",
    Examination,
    (
        *_joint_key(),
        needed("method", _method, "method"),
        dated(),
        needed("by", field="by"),
        needed("result", one_of(words.EXAM_RESULTS, "result"), "result"),
        optional("report", field="report"),
        optional("report line", field="report_line"),
        optional("stage", field="stage"),
        _examined("leg A", "leg_a_mm"),
        _examined("leg B", "leg_b_mm"),
        _examined("undercut", "undercut_mm"),
        _examined("gap on film", "gap_on_film_mm"),
        optional("indications", long_text, "indications"),
        *_in_workbook(),
    ),
    (*_KEY, "method"),
    ("date", "by", "stage", "report", "report line", "entry"),
)
REPAIRS = SheetForm(
    "Repairs",
    RepairDecision,
    (
        *_joint_key(),
        needed("decision", one_of(words.REPAIR_DECISIONS, "decision"), "decision"),
        dated(),
        needed("by", field="by"),
        optional("reason", long_text, "reason"),
        optional("piece scrapped", field="piece_scrapped"),
        *_in_workbook(),
    ),
    _KEY,
    ("entry",),
)
RELEASES = SheetForm(
    "Releases",
    Release,
    (*_joint_key(), dated(), needed("by", field="by"), optional("remark", long_text, "remark"), *_in_workbook()),
    _KEY,
    ("entry",),
)
OVERRIDES = SheetForm(
    "Overrides",
    Override,
    (
        *_joint_key(),
        needed(
            "code",
            one_of(words.FINDING_CODES, "finding code"),
            "code",
            check=refused_by(override_findings.faults, _OVERRIDE, "code"),
        ),
        dated(),
        needed("by", field="by"),
        needed("reason", long_text, "reason"),
        *_in_workbook(),
    ),
    (*_KEY, "code"),
    ("entry",),
)
ASSIGNMENTS = SheetForm(
    "Assignments",
    Assignment,
    (
        *_joint_key(),
        needed("stamp", names="stamp"),
        dated(),
        needed("by", field="by"),
        optional("override reason", long_text, "override_reason"),
        *_in_workbook(),
    ),
    (*_KEY, "stamp", "date"),
    ("entry",),
)
PICKS = SheetForm(
    "Picks",
    Pick,
    (
        *_joint_key(),
        needed("method", _method, "method"),
        dated(),
        needed("by", field="by"),
        needed("how", one_of(words.PICKED_HOW, "way to pick"), "how"),
        optional("purpose", one_of(words.PICKED_FOR, "purpose of a pick"), "purpose"),
        optional("stage", field="stage"),
        optional("lot", field="lot"),
        optional("draw", field="draw"),
        optional("remark", long_text, "remark"),
        *_in_workbook(),
    ),
    (*_KEY, "method"),
    ("date", "by", "stage", "entry"),
)
ATTENDANCES = SheetForm(
    "Attendances",
    Attendance,
    (
        *_joint_key(),
        needed("point", names="hold point"),
        needed("result", one_of(words.ATTENDED, "result of a point"), "result"),
        dated(),
        needed("by", field="by"),
        optional("remark", long_text, "remark"),
        *_in_workbook(),
    ),
    (*_KEY, "point", "result"),
    ("date", "by", "entry"),
)
_records = one_of({words.plain(name): name for name in RECORD_SHEETS}, "record sheet")
_withdrawn = one_of({words.plain(name): name for name in (*RECORD_SHEETS, "Joints")}, "record sheet, nor Joints")


def _naming() -> tuple[Column, ...]:
    """What names one record: its joint and attempt, and its entry, or what tells it from others of its sheet."""
    return (
        *_joint_key(),
        optional("entry"),
        optional("order", whole_number(1, 99)),
        optional("segment", whole_number(1, 99)),
        optional("method", _method),
        optional("code", one_of(words.FINDING_CODES, "finding code")),
        optional("stamp"),
    )


CORRECTIONS = SheetForm(
    "Corrections",
    None,
    (
        needed("record", _records),
        *_naming(),
        optional("correction", whole_number(1, 999)),
        present("column"),
        present("value", lambda cell, setting: cell),
        needed("date", past_day),
        needed("by"),
        needed("reason", long_text),
        optional("turn", whole_number(0, 999)),
    ),
    ("record", *_KEY, "entry", "order", "segment", "method", "code", "stamp", "correction", "column"),
    may_repeat=True,
)
WITHDRAWALS = SheetForm(
    "Withdrawals",
    None,
    (
        needed("record", _withdrawn),
        *_naming(),
        needed("date", past_day),
        needed("by"),
        needed("reason", long_text),
    ),
    ("record", *_KEY, "entry", "order", "segment", "method", "code", "stamp"),
)
CONFIRMATIONS = SheetForm(
    "Confirmations",
    Confirmation,
    (
        needed("table", field="table"),
        needed("date", past_day, "done_on"),
        needed("by", field="by"),
        needed("edition", field="edition"),
        optional("row", field="row"),
        optional("remark", long_text, "remark"),
    ),
    ("table", "row", "edition"),
)
