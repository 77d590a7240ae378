"""The sheet Routes: the rows of each drawing sheet are its route, step by step, told at their cells where at fault."""

from collections import defaultdict
from typing import Any
from uuid import UUID

from joints.queries.routes import setting_for
from office.importing.changes import Changes
from office.importing.known import Known
from office.importing.tables import Table
from records.models import Line, Route
from records.models.base import new_id
from rules.nearest import NotAccepted
from rules.route.geometry import shape_of
from rules.route.grammar import COLUMNS, ITEMS
from rules.route.parse import StepRefused, parse_route, read_step
from rules.route.shape import RouteFault, RouteShape
from rules.route.step import Step, placed, route_text, written


def take_routes(table: Table | None, known: Known, changes: Changes) -> None:
    """Put the route of each drawing sheet that has rows; the joints it makes are applied on its page."""
    if table is None or not len(table):
        return
    sheets = known.resolve_sheets(table)
    rows: dict[tuple[UUID, UUID, str], list[int]] = defaultdict(list)
    for index, sheet in enumerate(sheets):
        if sheet is not None and table.column("step")[index] is not None:
            rows[sheet.id, sheet.line_id, str(table.column("sheet")[index])].append(index)
    stored = {row.sheet_id: row for row in Route.objects.filter(sheet_id__in=[key[0] for key in rows])}
    lines = {row.pk: row for row in (*Line.objects.filter(job_id=known.job.id), *changes.of(Line))}
    for (sheet_id, line_id, number), own in rows.items():
        own.sort(key=lambda index: table.column("step")[index])
        _Taking(table, known, own).take(changes, sheet_id, stored.get(sheet_id), lines.get(line_id), number)


class _Taking:
    """The route of one drawing sheet; its rows in the order of their steps."""

    def __init__(self, table: Table, known: Known, rows: list[int]) -> None:
        self.table, self.job, self.rows = table, known.job, rows
        self.starts: list[dict[str, int]] = []

    def take(self, changes: Changes, sheet_id: UUID, stored: Route | None, line: Line | None, number: str) -> None:
        """Read the steps and lay them out; put the route where nothing is wrong."""
        steps = [step for place, index in enumerate(self.rows, start=1) if (step := self._step(place, index))]
        if len(steps) < len(self.rows) or line is None or not all(self.table.sound[index] for index in self.rows):
            return
        shape = shape_of(steps, setting_for(line, self.job, number))
        for fault in shape.faults:
            self._fault(fault)
        if shape.faults:
            return
        numbers = self._numbers(shape)
        before = parse_route(stored.text, self.job.units)[0] if stored else ()
        is_same = stored is not None and _said(before) == _said(steps) and numbers in (None, stored.numbers)
        count = changes.count(self.table.sheet)
        for index in self.rows:
            count.take("unchanged" if is_same else "changed" if stored else "new", index)
        if is_same:
            return
        if stored:
            name = f"{self.table.column('drawing')[self.rows[0]]}/{number}"
            changes.told.append(f"Routes: the route of {name} changes, from {len(before)} steps to {len(steps)}")
        row = stored or Route(id=new_id(), job_id=self.job.id, sheet_id=sheet_id)
        row.text = route_text(steps)
        row.numbers = row.numbers if numbers is None else numbers
        changes.add(row)

    def _step(self, place: int, index: int) -> Step | None:
        """The step of a row; what is wrong is told at its cell."""
        table = self.table
        item = " ".join(str(table.column("item")[index] or "").casefold().split())
        texts = {name: str(text) for name in COLUMNS if (text := table.column(name)[index]) is not None}
        note = str(table.column("note")[index] or "")
        if not item:
            for name in texts:
                table.fault(index, name, f"no item stands in this row, so its {name} says nothing")
            self.starts.append({"": 1})
            return Step("", place, note=note)
        if item not in ITEMS:
            table.fault(index, "item", str(NotAccepted(f'There is no step "{item}"', item, ITEMS)).rstrip("."))
            return None
        taken = [clause.column for clause in ITEMS[item].clauses]
        for name in texts:
            if name not in taken:
                told = f"accepted for it are {', '.join(taken)}" if taken else "nothing stands beside it"
                table.fault(index, name, f"the step {item} takes no {name}; {told}")
        line, starts = placed(item, texts)
        self.starts.append(starts)
        try:
            return read_step(written(item, texts, note), place, self.job.units)
        except StepRefused as refused:
            table.fault(index, _column_at(starts, refused.column), str(refused).rstrip("."))
            return None

    def _fault(self, fault: RouteFault) -> None:
        place = min(fault.line, len(self.rows)) - 1
        self.table.fault(self.rows[place], _column_at(self.starts[place], fault.column), fault.message.rstrip("."))

    def _numbers(self, shape: RouteShape) -> list[str] | None:
        """The joint numbers that the rows name, along the flow; None where they name none."""
        named = self.table.column("joints")
        if not any(named[index] for index in self.rows):
            return None
        numbers: list[str] = []
        for place, index in enumerate(self.rows, start=1):
            made = sum(joint.line == place for joint in shape.joints)
            said = list(named[index] or ())
            if len(said) != made:
                self.table.fault(index, "joints", f"the step makes {made} joints, and {len(said)} are named")
            numbers += said
        return numbers


def _column_at(starts: dict[str, int], column: int) -> str:
    """The column of the sheet whose text stands at a place of the step's line."""
    name = max((start, name) for name, start in starts.items() if start <= max(column, 1))[1]
    return name or "item"


def _said(steps: Any) -> list[tuple[str, dict[str, str], str]]:
    return [(step.item, dict(step.texts), step.note) for step in steps]
