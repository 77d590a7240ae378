"""The rows of the plan's sheets: the job, its lines, drawings, pieces, joints, procedures, people and papers."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from office.exporting.route_rows import route_rows
from office.exporting.shelf import Shelf
from office.exporting.values import as_number, listed, writers
from office.importing import plan_sheets as forms
from office.importing import record_sheets
from office.importing.columns import SheetForm
from office.importing.parsers import NONE
from records.models import (
    Confirmation,
    ContinuityEntry,
    Examiner,
    ExamRule,
    FillerLot,
    Heat,
    HoldPoint,
    Job,
    Joint,
    Line,
    Material,
    OwnerLimit,
    Piece,
    Procedure,
    ProcedurePass,
    Qualification,
    Sheet,
    Stamp,
)  # fmt: skip
from reports.spreadsheet import Cell
from rules.socket_fittings import SOCKET_CLASSES
from rules.specification import LIMITS, parse_limit
from rules.units import UnitError, figure, plain

CHUNK = 2000
Row = list[Cell]
Said = Callable[[Any], dict[str, Cell]]
_OF_JOINT = (
    "sheet__drawing", "sheet__number", "number", "kind", "location", "nps", "schedule", "line_id", "line__material",
    "spool_id", "spool_b_id", "procedure_id", "position", "alias", "socket_class", "material_a", "material_b",
    "heat_a_id", "heat_b_id", "piece_a__mark", "piece_b__mark", "piece_a__heat_id", "piece_b__heat_id",
    "piece_a__material", "piece_b__material", "piece_a__pressure_class", "piece_b__pressure_class",
)  # fmt: skip


def plan_rows(shelf: Shelf) -> Iterator[tuple[SheetForm, Iterator[Row]]]:
    """Yield each sheet of the plan with its rows; one query a sheet and 2,000 rows, and the names once."""
    job = shelf.job
    yield forms.JOB, _rows(shelf, forms.JOB, Job.objects.filter(pk=job.pk), _of_job)
    yield forms.LINES, _rows(shelf, forms.LINES, _all(Line, job, "number"), lambda row: {
        "exam plan": shelf.exam_plans.get(row.exam_plan_id)
    })  # fmt: skip
    yield forms.SHEETS, _sheet_rows(shelf)
    yield forms.ROUTES, route_rows(job)
    yield forms.MATERIALS, _rows(shelf, forms.MATERIALS, _all(Material, job, "name"))
    yield forms.COMPONENTS, _rows(shelf, forms.COMPONENTS, _pieces(job), lambda row: {
        "drawing": row.sheet.drawing, "sheet": row.sheet.number, "heat": shelf.heats.get(row.heat_id)
    })  # fmt: skip
    yield forms.JOINTS, _joint_rows(shelf)
    yield forms.PROCEDURES, _rows(shelf, forms.PROCEDURES, _all(Procedure, job, "number"))
    # The order of rows of one procedure or plan is the order in which they are looked through.
    yield (
        forms.PROCEDURE_PASSES,
        _rows(shelf, forms.PROCEDURE_PASSES, _all(ProcedurePass, job, "procedure__number", "id"), _of_procedure(shelf)),
    )
    yield forms.WELDERS, _rows(shelf, forms.WELDERS, _stamps(job), lambda row: {
        "name": row.welder.name, "sign-in": row.welder.user.username if row.welder.user else None
    })  # fmt: skip
    of_stamp: Said = lambda row: {"stamp": shelf.stamps[row.stamp_id]}  # noqa: E731
    tests = _all(Qualification, job, "stamp__code", "wpq", "process", "f_number")
    yield forms.QUALIFICATIONS, _rows(shelf, forms.QUALIFICATIONS, tests, of_stamp)
    used = _all(ContinuityEntry, job, "stamp__code", "process", "used_on")
    yield forms.CONTINUITY, _rows(shelf, forms.CONTINUITY, used, of_stamp)
    heats = _all(Heat, job, "number").select_related("certificate")
    yield forms.HEATS, _rows(shelf, forms.HEATS, heats, _of_heat)
    lots = _all(FillerLot, job, "number").select_related("certificate")
    yield forms.FILLER_LOTS, _rows(shelf, forms.FILLER_LOTS, lots, _of_certificate)
    yield forms.EXAMINERS, _rows(shelf, forms.EXAMINERS, _all(Examiner, job, "name", "method"))
    yield forms.EXAM_PLANS, _rows(shelf, forms.EXAM_PLANS, _all(ExamRule, job, "plan__name", "id"), lambda row: {
        "plan": shelf.exam_plans[row.plan_id]
    })  # fmt: skip
    limits = _all(OwnerLimit, job, "limit", "joint_kind", "service")
    yield forms.SPECIFICATION, _rows(shelf, forms.SPECIFICATION, limits, _of_limit(shelf))
    yield forms.HOLD_POINTS, _rows(shelf, forms.HOLD_POINTS, _all(HoldPoint, job, "name"), lambda row: {
        "line": shelf.lines.get(row.line_id)
    })  # fmt: skip
    yield record_sheets.CONFIRMATIONS, _rows(shelf, record_sheets.CONFIRMATIONS, _confirmations(job))


def _all(model: type[Any], job: Job, *order: str) -> QuerySet[Any]:
    return model._default_manager.filter(job=job).order_by(*order)


def _pieces(job: Job) -> QuerySet[Piece]:
    return _all(Piece, job, "sheet__drawing", "sheet__number", "mark").select_related("sheet")


def _stamps(job: Job) -> QuerySet[Stamp]:
    return _all(Stamp, job, "code").select_related("welder__user")


def _confirmations(job: Job) -> QuerySet[Confirmation]:
    return _all(Confirmation, job, "table", "row", "edition").filter(replaced_by__isnull=True, is_withdrawn=False)


def _rows(shelf: Shelf, form: SheetForm, rows: QuerySet[Any], said: Said | None = None) -> Iterator[Row]:
    """Write the rows of a queryset: what fills a field from it, what refers to other rows as `said` has it."""
    written = writers(form, shelf.setting)
    for row in rows.iterator(chunk_size=CHUNK):
        cells = said(row) if said else {}
        yield [
            cells.get(column.name)
            if column.name in cells or not column.field
            else written[column.name](getattr(row, column.field))
            for column in form.columns
        ]


def _of_limit(shelf: Shelf) -> Said:
    """A figure as it was typed, else in the job's units, else in the unit of its limit."""
    units = shelf.job.units

    def figures(row: OwnerLimit) -> Iterator[str]:
        unit = LIMITS[row.limit].unit
        yield row.typed
        yield figure(row.value, unit, units)
        yield f"{plain(row.value)} {unit.removeprefix('°') or unit}"

    def is_it(row: OwnerLimit, text: str) -> bool:
        try:
            return parse_limit(row.limit, text, units) == row.value
        except UnitError:
            return False

    return lambda row: {"figure": as_number(next((one for one in figures(row) if is_it(row, one)), plain(row.value)))}


def _of_job(job: Job) -> dict[str, Cell]:
    return {"repairs max": NONE if job.repairs_max is None else job.repairs_max}


def _of_procedure(shelf: Shelf) -> Said:
    return lambda row: {"procedure": shelf.procedures[row.procedure_id]}


def _of_certificate(row: Heat | FillerLot) -> dict[str, Cell]:
    return {"certificate": row.certificate.number if row.certificate else None}


def _of_heat(row: Heat) -> dict[str, Cell]:
    found = {symbol: as_number(row.elements[symbol]) for symbol in forms.ELEMENTS if symbol in row.elements}
    return found | _of_certificate(row)


def _sheet_rows(shelf: Shelf) -> Iterator[Row]:
    """Each drawing sheet with the spools whose joints stand on it; a line's first one has those without joints too."""
    on_sheets = _spools_on_sheets(shelf)
    left = _spools_without_joints(shelf, on_sheets)

    def said(row: Sheet) -> dict[str, Cell]:
        keys = on_sheets.get(row.pk, set()) | left.pop(row.line_id, set())
        marks = sorted(mark for line, mark in map(shelf.spools.__getitem__, keys) if line == row.line_id)
        return {"line": shelf.lines[row.line_id], "spools": listed(marks) if marks else None}

    return _rows(shelf, forms.SHEETS, _all(Sheet, shelf.job, "drawing", "number"), said)


def _spools_on_sheets(shelf: Shelf) -> dict[UUID, set[UUID]]:
    found: dict[UUID, set[UUID]] = defaultdict(set)
    for side in ("spool_id", "spool_b_id"):
        rows = Joint.objects.filter(job=shelf.job, **{f"{side}__isnull": False}).order_by()
        for sheet, spool in rows.values_list("sheet_id", side).distinct().iterator(chunk_size=CHUNK):
            found[sheet].add(spool)
    return found


def _spools_without_joints(shelf: Shelf, on_sheets: dict[UUID, set[UUID]]) -> dict[UUID, set[UUID]]:
    """What no sheet of its own line has, by line."""
    lines = dict(Sheet.objects.filter(job=shelf.job).values_list("id", "line_id"))
    met = {spool for sheet, spools in on_sheets.items() for spool in spools if shelf.spools[spool][0] == lines[sheet]}
    found: dict[UUID, set[UUID]] = defaultdict(set)
    for spool, (line, _) in shelf.spools.items():
        if spool not in met:
            found[line].add(spool)
    return found


def _joint_rows(shelf: Shelf) -> Iterator[Row]:
    rows = Joint.objects.filter(job=shelf.job).order_by("sort_key", "id").values(*_OF_JOINT)
    columns = forms.JOINTS.columns
    for row in rows.iterator(chunk_size=CHUNK):
        cells = _joint_cells(shelf, row)
        yield [cells[column.name] if column.name in cells else row[column.field] or None for column in columns]


def _joint_cells(shelf: Shelf, row: dict[str, Any]) -> dict[str, Cell]:
    """What a joint says beyond its own columns; what it lacks although its pieces or its line have it is "none"."""
    classes = {row[f"piece_{side}__pressure_class"] for side in "ab"}
    has_class = row["kind"] == "socket" and bool(classes & SOCKET_CLASSES)
    cells: dict[str, Cell] = {
        "drawing": row["sheet__drawing"],
        "sheet": row["sheet__number"],
        "procedure": shelf.procedures.get(row["procedure_id"]),
        "spool": shelf.spools[row["spool_id"]][1] if row["spool_id"] else None,
        "spool B": _far_spool(shelf, row),
        "class": row["socket_class"] or (NONE if has_class else None),
    }
    for side, name in (("a", "A"), ("b", "B")):
        heat, of_piece = row[f"heat_{side}_id"], row[f"piece_{side}__heat_id"]
        steel = row[f"piece_{side}__material"] or shelf.materials_of_heats.get(heat) or row["line__material"]
        cells |= {
            f"piece {name}": row[f"piece_{side}__mark"],
            f"heat {name}": shelf.heats[heat] if heat else NONE if of_piece else None,
            f"material {name}": row[f"material_{side}"] or (NONE if steel else None),
        }
    return cells


def _far_spool(shelf: Shelf, row: dict[str, Any]) -> Cell:
    """The spool beyond a field joint, with its line where its mark alone would be taken for another's."""
    if not row["spool_b_id"]:
        return None
    line, mark = shelf.spools[row["spool_b_id"]]
    others = shelf.lines_of_marks[mark] - {line}
    is_plain = line == row["line_id"] or not others
    return mark if is_plain else f"{shelf.lines[line]}/{mark}"
