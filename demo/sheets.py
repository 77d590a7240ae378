"""The sheets of the demonstration workbook: their columns in order, and the rows of each."""

from demo.drawings import NOT_ISSUED, SHEETS, Joint, Piece, Sheet
from demo.metal import ELEMENTS, HEATS
from demo.problems import CUT_OUT
from demo.procedures import FILLER_LOTS, PROCEDURE_PASSES, PROCEDURES
from demo.routes import cut_lengths, route_rows
from demo.shop import length_of
from demo.story import tell
from demo.welding import OLD_COUPLING_HEAT
from demo.works import (
    CONTINUITY,
    EXAM_PLANS,
    EXAMINERS,
    HOLD_POINTS,
    JOB,
    LINES,
    MATERIALS,
    QUALIFICATIONS,
    SPECIFICATION,
    WELDERS,
    Row,
)
from rules.route.grammar import COLUMNS as ROUTE_COLUMNS

_KEY = ["drawing", "sheet", "joint", "attempt"]
COLUMNS: dict[str, list[str]] = {
    "Job": list(JOB),
    "Lines": list(LINES[0]),
    "Sheets": ["line", "drawing", "sheet", "revision", "spools"],
    "Routes": ["drawing", "sheet", "step", "item", *ROUTE_COLUMNS, "note", "joints"],
    "Materials": ["material", "P-Number", "group"],
    "Components": [
        "drawing", "sheet", "piece", "kind", "NPS", "second NPS", "schedule", "class", "material", "heat", "length",
    ],
    "Joints": [
        "drawing", "sheet", "joint", "kind", "location", "NPS", "schedule", "spool", "spool B", "piece A", "piece B",
        "heat A", "heat B", "material A", "material B", "class", "procedure", "position", "alias",
    ],
    "Specification": list(SPECIFICATION[0]),
    "Procedures": list(PROCEDURES[0]),
    "Procedure passes": list(PROCEDURE_PASSES[0]),
    "Welders": list(WELDERS[0]),
    "Qualifications": list(QUALIFICATIONS[0]),
    "Continuity": ["stamp", "process", "date", "evidence"],
    "Heats": [
        "heat", "material", "manufacturer", "item", "size", "certificate", "analysis", *ELEMENTS, "tensile", "yield",
        "elongation", "hardness",
    ],
    "Filler lots": list(FILLER_LOTS[0]),
    "Examiners": list(EXAMINERS[0]),
    "Exam plans": list(EXAM_PLANS[0]),
    "Hold points": list(HOLD_POINTS[0]),
    "Fit-ups": [
        *_KEY, "date", "by", "gap", "gap 12", "gap 3", "gap 6", "gap 9", "squareness", "high-low", "tack stamp",
        "heat A read", "heat B read", "accepted by", "revision",
    ],
    "Passes": [
        *_KEY, "order", "pass", "stamp", "process", "date", "filler lot", "amps", "volts", "travel", "preheat",
        "interpass", "start", "stop", "shift",
    ],
    "Weld log": [*_KEY, "date", "procedure", "root stamp", "hot stamp", "fill stamp", "cap stamp", "filler lot"],
    "Examinations": [
        *_KEY, "method", "date", "by", "result", "report", "report line", "stage", "leg A", "leg B", "undercut",
        "indications",
    ],
    "Repairs": [*_KEY, "decision", "date", "by", "reason", "piece scrapped"],
    "Attendances": [*_KEY, "point", "result", "date", "by"],
    "Releases": [*_KEY, "date", "by", "remark"],
    "Overrides": [*_KEY, "code", "date", "by", "reason"],
    "Assignments": [*_KEY, "stamp", "date", "by", "override reason"],
    "Piece events": [
        "drawing", "sheet", "piece", "event", "date", "by", "part", "mark transferred", "mark by", "length", "place",
        "remark",
    ],
    "Spool steps": ["line", "spool", "step", "date", "by", "result", "place", "remark"],
    "Lot moves": ["lot", "move", "stamp", "date", "quantity", "oven", "by", "place"],
    "Corrections": ["record", *_KEY, "order", "method", "column", "value", "date", "by", "reason"],
    "Confirmations": ["table", "date", "by", "edition", "row", "remark"],
}  # fmt: skip


def _is_issued(piece: Piece, sheet: Sheet) -> bool:
    """Whether the store has given the piece out: some joint of it is at least assigned."""
    return any(joint.state != NOT_ISSUED for joint in sheet.joints if piece in (joint.a, joint.b))


def _component(sheet: Sheet, piece: Piece) -> Row:
    return {
        "drawing": sheet.plan.drawing,
        "sheet": sheet.plan.number,
        "piece": piece.mark,
        "kind": piece.kind,
        "NPS": piece.nps,
        "second NPS": piece.second_nps or None,
        "schedule": piece.schedule,
        "class": piece.pressure_class or None,
        "material": piece.material,
        "heat": piece.heat if _is_issued(piece, sheet) else None,
        "length": piece.length or None,
    }


def _joint(joint: Joint) -> Row:
    issued = joint.state != NOT_ISSUED
    return {
        "drawing": joint.plan.drawing,
        "sheet": joint.plan.number,
        "joint": joint.number,
        "kind": joint.kind,
        "location": joint.location,
        "NPS": joint.nps,
        "schedule": joint.schedule,
        "spool": joint.spool,
        "spool B": joint.spool_b or None,
        "piece A": joint.a.mark,
        "piece B": joint.b.mark,
        "heat A": joint.a.heat if issued else None,
        "heat B": joint.b.heat if issued else None,
        "material A": joint.a.material,
        "material B": joint.b.material,
        "class": joint.socket_class or None,
        "procedure": joint.procedure,
        "position": joint.position,
        "alias": f"FW-{joint.plan.line}-{joint.number}" if joint.location == "field-fit" else None,
    }


def _components() -> list[Row]:
    rows = []
    for sheet in SHEETS:
        joined = {joint.number: (joint.a.mark, joint.b.mark) for joint in sheet.joints}
        cut = cut_lengths(sheet.plan.drawing, sheet.plan.number, joined)
        for piece in sheet.pieces:
            length = {"length": f"{cut[piece.mark]:.6f} mm"} if piece.mark in cut else {}
            rows.append(_component(sheet, piece) | length)
        mark, parts = length_of(sheet)
        if mark:  # the length of pipe as it came, before it was cut
            whole = next(piece for piece in sheet.pieces if piece.mark == parts[0])
            rows.append(_component(sheet, whole) | {"piece": mark, "length": "20' 0\""})
        for joint in sheet.joints:
            if joint.key == CUT_OUT:  # the coupling that was cut out stays on the list, with its own heat
                rows.append(_component(sheet, joint.b) | {"piece": "6X", "heat": OLD_COUPLING_HEAT})
    return rows


def all_sheets() -> dict[str, list[Row]]:
    """The rows of every sheet, in the order of COLUMNS."""
    rows: dict[str, list[Row]] = {
        "Job": [JOB],
        "Lines": LINES,
        "Sheets": [
            {
                "line": sheet.plan.line,
                "drawing": sheet.plan.drawing,
                "sheet": sheet.plan.number,
                "revision": sheet.plan.revision,
                "spools": ", ".join(sheet.spools),
            }
            for sheet in SHEETS
        ],
        "Routes": route_rows(),
        "Materials": MATERIALS,
        "Specification": SPECIFICATION,
        "Components": _components(),
        "Joints": [_joint(joint) for sheet in SHEETS for joint in sheet.joints],
        "Procedures": PROCEDURES,
        "Procedure passes": PROCEDURE_PASSES,
        "Welders": WELDERS,
        "Qualifications": QUALIFICATIONS,
        "Continuity": CONTINUITY,
        "Heats": HEATS,
        "Filler lots": FILLER_LOTS,
        "Examiners": EXAMINERS,
        "Exam plans": EXAM_PLANS,
        "Hold points": HOLD_POINTS,
    }
    rows |= tell()
    return {name: rows[name] for name in COLUMNS}
