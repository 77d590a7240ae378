"""Fit-ups, passes and assignments of the demonstration, joint by joint."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from demo.drawings import Joint
from demo.problems import (
    CUT_OUT,
    FIT_UP_CHANGES,
    LOGGED,
    NO_FIT_UP,
    PASS_CHANGES,
    ROLES_CHANGED,
    STAMPS_CHANGED,
    TOO_SMALL_PIPE,
)
from demo.procedures import lot_for, pass_of, roles_of
from demo.workdays import moment, workday
from demo.works import CARBON, FITTERS, FOREMAN, VISUAL, Row

OLD_COUPLING_HEAT = "V33060"  # of the coupling that was cut out
_GAPS = {"W-11": ("1/16", "1.6 mm"), "W-12": ("1/8", "3.2 mm"), "W-13": ("1/32", "1/32"), "W-81": ("1/16", "1.6 mm")}
_GAPS["W-82"] = ("3/32", "2.4 mm")
_TRAVEL = {"GTAW": 3.5, "SMAW": 5, "FCAW": 9}
_VOLTS = {"GTAW": 11, "SMAW": 23, "FCAW": 25}
_STARTS = ("12", "3", "1:30", "4:30")
_STOPS = ("6", "9", "7.5", "10.5")
_TWO_WELDERS_FROM = ("6",)  # sizes whose passes are made in two halves


def key_of(joint: Joint, attempt: str = "0") -> Row:
    """The joint key columns of a record."""
    row: Row = {"drawing": joint.plan.drawing, "sheet": joint.plan.number, "joint": joint.number}
    return row | {"attempt": attempt}


def day_of(joint: Joint) -> date:
    """The day the joint was fitted, two joints a day from the start of its sheet."""
    return workday(joint.plan.start, (int(joint.number) - 1) // 2)


def stamps_of(joint: Joint) -> tuple[str, str]:
    """Who welds the root (and the hot pass) and who fills and caps, each qualified for it."""
    if joint.key in STAMPS_CHANGED:
        return STAMPS_CHANGED[joint.key]
    turn = int(joint.number) + int(joint.plan.number) + ord(joint.plan.line[0])
    large = joint.nps in ("3", "4", "6")
    if joint.steel == CARBON and joint.kind == "butt" and large:
        return (("D07", "D07"), ("D11", "D11"), ("D11", "D15"))[turn % 3]
    if joint.procedure == "W-12":
        return ("D11", "D11")
    if joint.procedure == "W-13":
        stamp = "D18" if joint.kind == "slip-on" and large and turn % 2 else "D15"
        return (stamp, stamp)
    waiting = joint.state in "afiW"
    stamp = "D12" if waiting and turn % 3 else ("D04", "D12", "D21")[turn % 3]
    return (stamp, stamp)


@dataclass
class Log:
    """The rows of the record sheets as they grow."""

    rows: dict[str, list[Row]] = field(default_factory=dict)

    def add(self, sheet: str, *rows: Row) -> None:
        self.rows.setdefault(sheet, []).extend(rows)


def fit_up(joint: Joint, attempt: str, day: date, minutes: int) -> Row:
    """The fit-up of a joint, inside the limits of its procedure unless problems.py says otherwise."""
    turn = int(joint.number) + int(joint.plan.number)
    in_mm = turn % 5 == 0
    gap = "0" if joint.kind == "pad" else _GAPS[joint.procedure][in_mm]
    row = key_of(joint, attempt)
    row |= {"date": moment(day, minutes), "by": FITTERS[turn % 2], "gap": gap}
    if joint.kind == "socket" and turn % 3 == 0:
        row |= {"gap": "1/16", "gap 12": "1/16", "gap 3": "5/64", "gap 6": "3/32", "gap 9": "5/64"}
    row["squareness"] = None if joint.kind in ("butt", "pad") else "0.5 mm" if in_mm else "1/32"
    row["high-low"] = ("1/32", "0", "0.8 mm")[turn % 3] if joint.kind == "butt" else None
    row |= {
        "tack stamp": stamps_of(joint)[0],
        "heat A read": joint.a.heat,
        "heat B read": OLD_COUPLING_HEAT if joint.key == CUT_OUT and attempt == "0" else joint.b.heat,
        "accepted by": VISUAL if joint.state in "AR1" else None,
        "revision": joint.plan.revision,
    }
    return row | FIT_UP_CHANGES.get(joint.key, {})


def passes(joint: Joint, attempt: str, roles: list[str], day: date, minutes: int) -> list[Row]:
    """The passes of an attempt in order; the joints of large pipe have two segments a pass."""
    turn = int(joint.number) + int(joint.plan.number)
    rows: list[Row] = []
    for order, role in enumerate(roles, start=1):
        limits = pass_of(joint.procedure, role)
        process = str(limits["process"])
        root, rest = stamps_of(joint)
        low, high = int(str(limits["amps min"])), int(str(limits["amps max"]))
        row = key_of(joint, attempt)
        row |= {
            "order": order,
            "pass": role,
            "stamp": root if role in ("root", "hot") else rest,
            "process": process,
            "date": moment(day, minutes + 35 * order),
            "filler lot": lot_for(joint.procedure, role, turn),
            "amps": (low + high) // 2 + (turn * 7 + order) % 11 - 5,
        }
        if process == "FCAW" or turn % 4 == 0:
            row |= {"volts": _VOLTS[process], "travel": _TRAVEL[process]}
        row["preheat"] = ("70", "21 C")[turn % 2] if order == 1 else None
        row["interpass"] = ("190", "95 C")[turn % 2] if order > 1 else None
        row["shift"] = "day"
        if attempt.startswith("R"):
            rows.append(row)  # a local repair has no run round the pipe
            continue
        two = joint.nps in _TWO_WELDERS_FROM and joint.kind == "butt"
        ends: Row = {"start": _STARTS[order - 1], "stop": _STOPS[order - 1] if two else _STARTS[order - 1]}
        changes = PASS_CHANGES.get((joint.key, role), {})
        rows.append(row | ends | changes)
        if two:
            later: Row = {"date": moment(day, minutes + 35 * order + 15)}
            rows.append(row | ends | later | changes)
    return rows


def weld(joint: Joint, log: Log) -> date | None:
    """Write the fit-up and the passes that a joint's state asks for; the day of the last pass."""
    if joint.state in ".a":
        return None
    day, minutes = day_of(joint), 20 if int(joint.number) % 2 else 320
    if joint.key != NO_FIT_UP:
        log.add("Fit-ups", fit_up(joint, "0", day, minutes))
    if joint.state == "f":
        return None
    if joint.key in LOGGED:
        day = workday(day, 1)
        root, rest = stamps_of(joint)
        lot = lot_for(joint.procedure, "root", int(joint.number))
        log.add(
            "Weld log",
            key_of(joint)
            | {"date": day, "procedure": joint.procedure, "root stamp": root, "cap stamp": rest, "filler lot": lot},
        )
        return day
    roles = ROLES_CHANGED.get(joint.key, roles_of(joint.procedure))
    if joint.state == "i":
        roles = roles[: 1 if len(roles) < 4 else 2]
    log.add("Passes", *passes(joint, "0", roles, day, minutes))
    return day


def assign(joint: Joint, log: Log) -> None:
    """Write the foreman's assignment of the joints under way, of those that wait, and of some that are done."""
    if joint.state not in "afiW" and int(joint.number) % 4 and joint.key != TOO_SMALL_PIPE:
        return
    if joint.state == ".":
        return
    day = date(2026, 11, 19) if joint.state == "a" else day_of(joint) - timedelta(days=1)
    row = key_of(joint) | {"stamp": stamps_of(joint)[0], "date": day, "by": FOREMAN}
    if joint.key == TOO_SMALL_PIPE:
        row["override reason"] = "D11 away ill, the water line wanted the same day; NPS 2 test booked for D07"
    log.add("Assignments", row)
