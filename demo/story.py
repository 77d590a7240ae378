"""The records of the demonstration: what was welded, examined, repaired, released and corrected."""

from datetime import date

from demo.drawings import SHEETS, Joint
from demo.problems import (
    CORRECTED_GAP,
    CORRECTED_LOT,
    CUT_OUT,
    EARLY_LOOK,
    EXAMINATION_CHANGES,
    OVERRIDDEN,
    REPAIRED,
    SHORT_LOT,
    SLAG,
    UNATTENDED,
)
from demo.shop import tell_filler, tell_pieces, tell_spools
from demo.welding import Log, assign, day_of, fit_up, key_of, passes, stamps_of, weld
from demo.workdays import workday
from demo.works import (
    AT_FIT_UP,
    AT_RELEASE,
    ENGINEER,
    EXPIRED,
    FOREMAN,
    OWNERS_INSPECTOR,
    PLAN_OF_LINE,
    RADIOGRAPHER,
    STAINLESS,
    VISUAL,
    WITNESSED_LINE,
    Row,
)

_VT_UNTIL_EXPIRY = date(2026, 10, 9)
_LEGS = {  # smallest leg asked by B31.3 Fig. 328.5.2B and C, rounded up to the next gauge
    ("socket", "1/2"): "3/16", ("socket", "3/4"): "3/16", ("socket", "1"): "7/32", ("socket", "1-1/2"): "1/4",
    ("socket", "2"): "1/4", ("slip-on", "2"): "1/4", ("slip-on", "3"): "7/16", ("slip-on", "4"): "3/8",
    ("slip-on", "6"): "7/16",
}  # fmt: skip


class Examiners:
    """Writes examinations with a report a day and method, and a line for each weld on it."""

    def __init__(self, log: Log) -> None:
        self.log, self.lines = log, dict[str, int]()

    def look(self, joint: Joint, method: str, day: date, attempt: str = "0", **more: object) -> None:
        report = f"{method}-{day:%m%d}"
        self.lines[report] = self.lines.get(report, 0) + 1
        by = RADIOGRAPHER if method == "RT" else VISUAL
        if method == "VT" and day <= _VT_UNTIL_EXPIRY and int(joint.number) % 2:
            by = EXPIRED  # still certified then
        row = key_of(joint, attempt)
        row |= {"method": method, "date": day, "by": by, "result": "accepted"}
        row |= {"report": report, "report line": str(self.lines[report]), "stage": "final"}
        leg = _LEGS.get((joint.kind, joint.nps))
        if method == "VT" and leg:
            in_mm = int(joint.number) % 6 == 0 and joint.nps == "1-1/2"
            row |= {"leg A": "6.4 mm" if in_mm else leg, "leg B": leg}
        if method == "VT" and int(joint.number) % 5 == 0:
            row["undercut"] = "0"
        changes = EXAMINATION_CHANGES.get((joint.key, method), {}) if attempt == "0" else {}
        self.log.add("Examinations", row | changes | more)


def methods_of(joint: Joint) -> list[str]:
    """The methods that the exam plan asks of each weld like this one."""
    plan, methods = PLAN_OF_LINE[joint.plan.line], ["VT"]
    if plan == "N100" and joint.kind == "butt":
        methods.append("RT")
    if joint.steel == STAINLESS and joint.kind == "socket":
        methods.append("PT")
    return methods


def examined(joint: Joint) -> list[str]:
    """The methods done on the first attempt: all that are asked and the odd sample, or part of them while due."""
    methods = methods_of(joint)
    if joint.state == "w":
        return ["VT"] if "RT" in methods or ("PT" in methods and int(joint.number) % 2) else []
    if joint.key in _SAMPLE or joint.key == SLAG:
        methods.append("RT")
    return methods


def _lot_of(line: str) -> list[Joint]:
    """The butt welds of a line that are made."""
    joints = (joint for sheet in SHEETS if sheet.plan.line == line for joint in sheet.joints)
    return [joint for joint in joints if joint.kind == "butt" and joint.state in "wxAR1"]


def _sample() -> set[str]:
    """Of each lot the first weld of every welder, but of the one lot that is still short."""
    found = set()
    for line in (line for line, plan in PLAN_OF_LINE.items() if plan in ("N10", "S10")):
        seen: set[str] = set()
        for joint in _lot_of(line):
            if joint.state != "w" and not seen.issuperset(stamps_of(joint)) and (line != SHORT_LOT or not seen):
                seen.update(stamps_of(joint))
                found.add(joint.key)
    return found


_SAMPLE = _sample()


def _after(welded: date, method: str) -> date:
    return workday(welded, 2 if method == "RT" else 1)


def _repair(joint: Joint, examiners: Examiners, day: date, log: Log) -> None:
    examiners.look(joint, "VT", workday(day, 1))
    found = "Lack of fusion at 4:30, 5/8 in long"
    examiners.look(joint, "RT", workday(day, 2), result="rejected", indications=found)
    decided = workday(day, 3)
    log.add("Repairs", _decision(joint, "repair", decided, "Lack of fusion, to be ground out to sound metal"))
    again = workday(day, 4)
    log.add("Passes", *passes(joint, "R1", ["fill", "cap"], again, 60))
    examiners.look(joint, "VT", workday(again, 1), "R1")
    examiners.look(joint, "RT", workday(again, 2), "R1")


def _cut_out(joint: Joint, examiners: Examiners, day: date, log: Log) -> None:
    examiners.look(joint, "VT", workday(day, 1))
    found = "Linear indication 3/8 in at the toe, crack"
    examiners.look(joint, "PT", workday(day, 1), result="rejected", indications=found)
    row = _decision(joint, "cut-out", workday(day, 2), "Crack at the toe; coupling scrapped")
    log.add("Repairs", row | {"piece scrapped": "6X"})
    again = workday(day, 12)
    log.add("Fit-ups", fit_up(joint, "W1", again, 20))
    log.add("Passes", *passes(joint, "W1", ["root"], again, 20))


def _decision(joint: Joint, decision: str, day: date, reason: str) -> Row:
    return key_of(joint) | {"decision": decision, "date": day, "by": VISUAL, "reason": reason}


def _attend(joint: Joint, released: date | None, log: Log) -> None:
    """What the owner's inspector did about the points of a joint: told of its fit-up, there at its release."""
    if joint.plan.line != WITNESSED_LINE:
        return
    row = key_of(joint)
    if joint.state in "wxAR1":
        log.add("Attendances", row | {"point": AT_FIT_UP, "result": "notified", "date": day_of(joint), "by": FOREMAN})
    if released and joint.key != UNATTENDED:
        there: Row = {"point": AT_RELEASE, "result": "attended", "date": released, "by": OWNERS_INSPECTOR}
        log.add("Attendances", row | there)


def _release(joint: Joint, day: date, log: Log) -> None:
    if joint.key == OVERRIDDEN:
        reason = "Wall 0.237 in was filled in three passes; looked at inside and out, sound"
        row: Row = {"code": "too-few-passes", "date": day, "by": ENGINEER, "reason": reason}
        log.add("Overrides", key_of(joint) | row)
    log.add("Releases", key_of(joint) | {"date": day, "by": VISUAL, "remark": None})


def _corrections(joints: dict[str, Joint], log: Log) -> None:
    gap, lot = joints[CORRECTED_GAP], joints[CORRECTED_LOT]
    log.add(
        "Corrections",
        {"record": "Fit-ups"}
        | key_of(gap)
        | {"column": "gap", "value": "1/8", "date": date(2026, 9, 1), "by": VISUAL, "reason": "Misread from the slip"},
        {"record": "Passes"}
        | key_of(lot)
        | {"order": 3, "column": "filler lot", "value": "L-1801", "date": date(2026, 8, 14)}
        | {"by": FOREMAN, "reason": "Lot of the wrong oven written down"},
    )


_CONFIRMATIONS: tuple[Row, ...] = tuple(
    {"table": table, "date": date(2026, 8, 3), "by": ENGINEER, "edition": edition, "row": None, "remark": remark}
    for table, edition, remark in (
        ("pipe", "ASME B36.10M-2018", "Sizes of this job held against the owner's copy"),
        ("socket_fittings", "ASME B16.11-2016", "Class 3000 rows held against the owner's copy"),
    )
)


def tell() -> dict[str, list[Row]]:
    """All record sheets of the workbook, in the order of the joints."""
    log, joints = Log(), {}
    examiners = Examiners(log)
    for joint in (joint for sheet in SHEETS for joint in sheet.joints):
        joints[joint.key] = joint
        assign(joint, log)
        welded = weld(joint, log)
        if welded is None or joint.state in "fi":
            continue
        _attend(joint, workday(welded, 4) if joint.state == "R" else None, log)
        if joint.key == REPAIRED:
            _repair(joint, examiners, welded, log)
            continue
        if joint.key == CUT_OUT:
            _cut_out(joint, examiners, welded, log)
            continue
        for method in examined(joint):
            day = workday(welded, -1) if (joint.key, method) == (EARLY_LOOK, "VT") else _after(welded, method)
            examiners.look(joint, method, day)
        if joint.state == "R":
            _release(joint, workday(welded, 4), log)
    _corrections(joints, log)
    tell_pieces(log)
    tell_spools(log)
    tell_filler(log)
    log.add("Confirmations", *_CONFIRMATIONS)
    return log.rows


def expected_findings() -> list[tuple[str, str, str]]:
    """The findings that follow from the states alone, as (joint, attempt, code): due, missing, awaited."""
    found = []
    for joint in (joint for sheet in SHEETS for joint in sheet.joints):
        if joint.state == "w":
            found.append((joint.key, "0", "examination-due"))
        elif joint.state in "A1":
            found.append((joint.key, "R1" if joint.state == "1" else "0", "release-missing"))
        if joint.plan.line == WITNESSED_LINE and joint.state in "wA1":
            found.append((joint.key, "R1" if joint.state == "1" else "0", "hold-point-open"))
    found += [(joint.key, "0", "sample-short") for joint in _lot_of(SHORT_LOT)]
    return found
