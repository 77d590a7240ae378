"""Turn the Joints sheet into joints: sizes from the tables of pipe, steel and heats from the pieces they join."""

from decimal import Decimal
from typing import Any
from uuid import UUID

from office.importing import plan_sheets as forms
from office.importing.changes import matched
from office.importing.drafts import make_drafts
from office.importing.faults import unknown
from office.importing.known import Known, KnownPiece, KnownSheet
from office.importing.parsers import NONE
from office.importing.plan import Plan
from office.importing.record_sheets import WITHDRAWALS
from office.importing.tables import Table
from records.models import Joint
from records.sorting import natural_key
from rules.pipe import Pipe
from rules.socket_fittings import SOCKET_CLASSES

# What a joint else takes from its pieces and its line.
_MAY_BE_NOTHING = ("heat A", "heat B", "material A", "material B", "class")
# So many withdrawn joints are named.
_MOST_GONE = 5


def take_joints(plan: Plan) -> None:
    """Take the Joints sheet; joints with a fault are known to the records all the same."""
    if table := plan.tables.get(forms.JOINTS.name):
        _take_table(plan, table)
    _follow_sheets(plan)


def _follow_sheets(plan: Plan) -> None:
    """Joints that the workbook does not list go to another line with their drawing sheet."""
    listed = {row.pk for row in plan.changes.of(Joint)}
    for joint in Joint.objects.filter(job_id=plan.job_id, sheet_id__in=plan.moved) if plan.moved else ():
        line = plan.moved[joint.sheet_id]
        if joint.pk not in listed and joint.line_id != line:
            joint.line_id = line
            plan.changes.add(joint)


def _take_table(plan: Plan, table: Table) -> None:
    known = plan.known
    sheets = known.resolve_sheets(table)
    sheet_ids = {sheet.id for sheet in sheets if sheet}
    known.load_pieces(sheet_ids)
    stored = Joint.objects.filter(job_id=plan.job_id, sheet_id__in=sheet_ids)
    numbers = table.column("joint")
    keys = [(sheet.id if sheet else None, number) for sheet, number in zip(sheets, numbers, strict=True)]
    there = matched(table, keys, [()] * len(table), ((row, (row.sheet_id, row.number), ()) for row in stored))
    reader = _JointReader(plan, table, sheets)
    plan.know_material(table, "material A")
    plan.know_material(table, "material B")
    fields = [(c.field, table.values[c.name]) for c in table.form.columns if c.field and c.name in table.values]
    fresh: list[dict[str, Any]] = []
    names: list[tuple[Any, ...]] = []
    rows: list[int] = []
    gone: list[str] = []
    for index, sheet in enumerate(sheets):
        more = reader.read(index, sheet, there[index]) if sheet else {}
        if not table.sound[index]:
            known.refused_joints.add(reader.own[index])
            continue
        values = {field: cells[index] for field, cells in fields if cells[index] is not None} | more
        if there[index] is None:
            fresh.append(values)
            names.append(reader.own[index])
            rows.append(index)
        else:
            row = plan.changes.put(table, index, there[index], values, Joint)
            known.joints[reader.own[index]] = row.pk
            known.stored_joints.add(row.pk)
            if there[index].state == "withdrawn":
                gone.append("/".join(map(str, reader.own[index])))
    _tell_gone(plan, table, gone)
    _make_new(plan, table, fresh, names)
    plan.changes.count(table.sheet).show("new", rows)


def _tell_gone(plan: Plan, table: Table, gone: list[str]) -> None:
    """Notice rows of withdrawn joints, which no import brings back; a workbook that withdraws knows of them."""
    if gone and WITHDRAWALS.name not in plan.tables:
        are = "1 joint of it is" if len(gone) == 1 else f"{len(gone)} joints of it are"
        more = " and others" if len(gone) > _MOST_GONE else ""
        plan.faults.notice(
            f"{table.sheet}: {are} withdrawn and not brought back, for a number is not given again; give a new weld"
            f" another number ({', '.join(gone[:_MOST_GONE])}{more})"
        )


def _make_new(plan: Plan, table: Table, fresh: list[dict[str, Any]], names: list[tuple[Any, ...]]) -> None:
    """Make all new joints at once, column by column: there may be half a million."""
    if not fresh:
        return
    columns = {name: [values.get(name) for values in fresh] for name in set().union(*fresh)}
    rows = make_drafts(Joint, len(fresh), columns | {"job_id": plan.job_id})
    plan.changes.rows.setdefault(Joint, []).extend(rows)
    plan.changes.count(table.sheet).new += len(rows)
    plan.known.joints |= zip(names, rows.column("id"), strict=True)


def _take_nothing(table: Table, name: str, known: Known) -> set[int]:
    """Take the word "none" out of a column; returns the rows that said it: theirs is blank, whatever the piece has."""
    cells = table.values.get(name)
    kind = table.form.by_name[name].names
    if cells is None or NONE not in cells or (kind and NONE in known.of(kind)):
        return set()
    rows = {index for index, cell in enumerate(cells) if cell == NONE}
    table.values[name] = [None if index in rows else cell for index, cell in enumerate(cells)]
    return rows


class _JointReader:
    """Works out what a row of Joints leaves to its pieces, heats, line and the tables of pipe."""

    def __init__(self, plan: Plan, table: Table, sheets: list[KnownSheet | None]) -> None:
        self.plan, self.table, self.known = plan, table, plan.known
        self.units = plan.known.job.units
        self.nothing = {name: _take_nothing(table, name, self.known) for name in _MAY_BE_NOTHING}
        self.heats = {side: self.known.resolve(table, f"heat {side}") for side in "AB"}
        self.pieces = {side: table.column(f"piece {side}") for side in "AB"}
        self.materials = {side: table.column(f"material {side}") for side in "AB"}
        self.procedures = self.known.resolve(table, "procedure")
        self.spools = {name: table.column(name) for name in ("spool", "spool B")}
        self.sizes = list(table.keys(("NPS", "schedule", "kind", "class")))
        self.own = list(table.keys(("drawing", "sheet", "joint")))
        self.listed = self._listed(sheets)
        self.lengths: dict[Pipe, tuple[Decimal, Decimal]] = {}
        self.marks: dict[UUID, list[str]] = {}

    def _listed(self, sheets: list[KnownSheet | None]) -> dict[UUID, set[str]]:
        """The spools that the workbook lists for each line; a line without any takes what its joints name."""
        found: dict[UUID, set[str]] = {}
        for sheet in self.known.sheets.values():
            if sheet.spools:
                found.setdefault(sheet.line_id, set()).update(sheet.spools)
        return found

    def read(self, index: int, sheet: KnownSheet, stored: Joint | None) -> dict[str, Any]:
        """Return the values beyond the row's own columns; whatever is unknown is a fault."""
        nps, schedule, kind, socket_class = self.sizes[index]
        values: dict[str, Any] = {"sheet_id": sheet.id, "line_id": sheet.line_id}
        size = self.plan.pipe_of(self.table, index, nps, schedule)
        if size is not None:
            if size not in self.lengths:
                self.lengths[size] = size.od(self.units), size.wall(self.units)
            values["od_mm"], values["wall_mm"] = self.lengths[size]
        if self.procedures[index]:
            values["procedure_id"] = self.procedures[index]
        self._spools(index, sheet, values)
        pieces = {side: self._piece(index, side, sheet) for side in "AB"}
        for side, name in (("A", "a"), ("B", "b")):
            self._side(index, side, name, pieces[side], sheet, stored, values)
        if index in self.nothing["class"]:
            values["socket_class"] = ""
        elif kind == "socket" and not socket_class and not (stored and stored.socket_class):
            classes = [one.pressure_class for one in pieces.values() if one and one.pressure_class in SOCKET_CLASSES]
            if classes:
                values["socket_class"] = classes[0]
        if stored is None:
            values["sort_key"] = natural_key(*(part or "" for part in self.own[index]))
        return values

    def _spools(self, index: int, sheet: KnownSheet, values: dict[str, Any]) -> None:
        for name, field in (("spool", "spool_id"), ("spool B", "spool_b_id")):
            mark = self.spools[name][index]
            if mark is None:
                continue
            listed = self.listed.get(sheet.line_id)
            line_id = sheet.line_id
            if listed is not None and mark not in listed:
                # The far spool of a field joint may belong to the next line.
                other = self._elsewhere(mark) if name == "spool B" else None
                if other is None:
                    self.table.fault(index, name, unknown("spool", mark, sorted(listed), where="in the Sheets sheet"))
                    continue
                line_id, mark = other
            values[field] = self.plan.spool(line_id, mark)

    def _elsewhere(self, mark: str) -> tuple[UUID, str] | None:
        """The spool of another line that a mark names, alone or as LINE/MARK where several lines have it."""
        lines = [line for line, marks in self.listed.items() if mark in marks]
        if lines:
            return lines[0], mark
        for place in (place for place, sign in enumerate(mark) if sign == "/"):
            line = self.known.of("line").get(mark[:place])
            if line and mark[place + 1 :] in self.listed.get(line, ()):
                return line, mark[place + 1 :]
        return None

    def _piece(self, index: int, side: str, sheet: KnownSheet) -> KnownPiece | None:
        mark = self.pieces[side][index]
        if mark is None:
            return None
        piece = self.known.pieces.get((sheet.id, mark))
        if piece is None:
            if sheet.id not in self.marks:
                self.marks[sheet.id] = [one for key, one in self.known.pieces if key == sheet.id]
            drawing, number, _ = self.own[index]
            self.table.fault(
                index, f"piece {side}", unknown("piece", mark, self.marks[sheet.id], where=f"on {drawing}/{number}")
            )
        return piece

    def _side(
        self,
        index: int,
        side: str,
        name: str,
        piece: KnownPiece | None,
        sheet: KnownSheet,
        stored: Joint | None,
        values: dict[str, Any],
    ) -> None:
        """Piece, heat and material of one side; what the row leaves blank comes from the piece, its heat, the line."""
        no_heat, no_material = (index in self.nothing[f"{what} {side}"] for what in ("heat", "material"))
        heat: Any = self.heats[side][index] or (stored and getattr(stored, f"heat_{name}_id"))
        if piece is not None:
            values[f"piece_{name}_id"] = piece.id
            heat = heat or piece.heat_id
        if no_heat:
            heat = values[f"heat_{name}_id"] = None
        if heat:
            values[f"heat_{name}_id"] = heat
        if no_material:
            values[f"material_{name}"] = ""
        elif not self.materials[side][index] and not (stored and getattr(stored, f"material_{name}")):
            material = (piece.material if piece else "") or self.known.heat_materials.get(heat, "")
            values[f"material_{name}"] = material or self.known.line_materials.get(sheet.line_id, "")
