"""Corrections: a copy of the record that counts, with one column changed, naming the record it replaces and why."""

from dataclasses import dataclass, field
from typing import Any

from django.db import models

from inspection.actions.pick_joints import is_undrawn
from office.importing.cells import CellError, is_blank, shown, typed_as
from office.importing.columns import Column, SheetForm, field_of, fitted, header
from office.importing.drafts import Chain
from office.importing.facts import FILLS, UNDRAWN, Facts
from office.importing.faults import nearest
from office.importing.naming import BY_NAME, Naming
from office.importing.parsers import Moment, Setting
from office.importing.tables import Table, reason_of
from records.models import Override, Pick, RepairDecision
from records.models.base import new_id
from records.reasons import CORRECTED, own_reason

NOT_CORRECTED = {"drawing", "sheet", "joint", "reason", "entry", "turn"}


# What names a record in the sheet, and so which rows speak of one.
_NAMED = (
    "record", "drawing", "sheet", "joint", "attempt", "entry", "order", "segment", "method", "code", "stamp",
    "correction", "turn",
)  # fmt: skip


@dataclass(slots=True)
class _Correction:
    """What rows that follow one another say of one record for one reason: they make one correcting record."""

    form: SheetForm
    chain: Chain
    reason: str
    turn: int
    columns: set[str] = field(default_factory=set)
    values: dict[str, Any] = field(default_factory=dict)
    rows: int = 0
    index: int = 0


@dataclass(slots=True)
class Corrections:
    """The corrections of a workbook; each level replaces records of the level before, or of the sheets."""

    facts: Facts
    setting: Setting
    naming: Naming
    levels: dict[str, list[list[Any]]] = field(default_factory=dict)

    @property
    def size(self) -> int:
        """How many corrections are to be written."""
        return sum(len(drafts) for levels in self.levels.values() for drafts in levels)

    def take(self, table: Table) -> None:
        """Take the sheet, row by row, in its order."""
        joints = self.facts.known.resolve_joints(table)
        self.naming.gather(table.column("record"), joints)
        names, key, open_one = list(table.keys(_NAMED)), None, None
        for index in list(table.sound_rows()):
            form = BY_NAME[table.column("record")[index]]
            column = self._column(table, index, form)
            if not table.sound[index]:
                continue
            here = (names[index], reason_of(table, index))
            if open_one is None or here != key or column is None or column.name in open_one.columns:
                # What is open is written first: it can change which record the next row names.
                self._close(table, open_one)
                key, open_one = here, self._open(table, index, form, joints[index])
            if open_one and column is None:
                open_one.rows += 1
            elif open_one and column and (values := self._values(table, index, form, column)) is not None:
                _add(open_one, column, values)
        self._close(table, open_one)

    def _open(self, table: Table, index: int, form: SheetForm, joint: Any) -> _Correction | None:
        reason = reason_of(table, index)
        chain = self._corrected_before(table, index, form, joint, reason)
        chain = chain or self.naming.find(table, index, form.name, joint)
        turn = table.column("turn")[index] or 0
        return _Correction(form, chain, reason, turn, index=index) if chain else None

    def _corrected_before(self, table: Table, index: int, form: SheetForm, joint: Any, reason: str) -> Chain | None:
        """The record that was corrected for this reason by an import before, and withdrawn since."""
        gone = self.naming.withdrawn(table, index, form.name, joint)
        return next((chain for chain in gone if any(one.reason.endswith(reason) for one in chain.records)), None)

    def _column(self, table: Table, index: int, form: SheetForm) -> Column | None:
        """The column that is corrected; none where the record was written again as it was."""
        written = table.column("column")[index]
        if written is None:
            return None
        column = form.by_header.get(header(written))
        accepted = [one.name for one in form.columns if one.name not in NOT_CORRECTED]
        if column is None or column.name in NOT_CORRECTED:
            table.fault(
                index,
                "column",
                f"{shown(written)} is no column of {form.name} to correct; {nearest(written, accepted)}",
            )
            return None
        return column

    def _values(self, table: Table, index: int, form: SheetForm, column: Column) -> dict[str, Any] | None:
        """What the correction sets, by the record's column names; a blank value takes away what was recorded."""
        cell = table.column("value")[index]
        try:
            value = None if is_blank(cell) else fitted(column.parse(cell, self.setting), field_of(form, column))
            if value is None and column.filled:
                raise CellError(f"the {column.name} can't be blank")
            refused = column.check(value, self.setting) if column.check and value is not None else ""
            if refused:
                raise CellError(refused)
        except CellError as error:
            table.fault(index, "value", str(error))
            return None
        if isinstance(value, Moment):
            return {"done_on": value.day, "done_at": value.at}
        if filled := FILLS.get((form.name, column.name)):
            key = self.facts.known.of(column.names).get(value) if value else None
            if value and key is None:
                table.fault(index, "value", self.facts.known.unknown(column.names, value))
                return None
            return {filled: key}
        said: dict[str, Any] = {column.field: _blank(form, column) if value is None else value}
        if column.is_typed:
            said["typed"] = {column.name: "" if value is None else typed_as(cell)}
        return said

    def _close(self, table: Table, said: _Correction | None) -> None:
        if said is None or not said.rows:
            return
        chain, count = said.chain, self.facts.changes.count(table.sheet)
        plain = {name: value for name, value in said.values.items() if name != "typed"}
        if _is_made(chain, said.reason, plain) or _is_settled(chain.latest, said.reason, plain):
            count.unchanged += said.rows
            count.show("unchanged", (said.index,))
            return
        if chain.is_withdrawn:
            table.fault(
                said.index, "joint", f"this record of {said.form.name} is withdrawn; accepted is one that stands"
            )
            return
        old = chain.latest
        copy = type(old)(**{one.attname: getattr(old, one.attname) for one in old._meta.concrete_fields})
        copy.id, copy.replaces_id, copy.device_at = new_id(), old.id, None
        for name, value in said.values.items():
            setattr(copy, name, {**old.typed, **value} if name == "typed" else value)
        if isinstance(copy, Pick) and is_undrawn(copy.how, copy.draw):
            table.fault(said.index, "value", UNDRAWN)
            return
        copy.reason = f"{old.reason}{CORRECTED}{said.reason}" if _has_its_own_reason(old) else said.reason
        # A record and its corrections of one workbook are written one after the other, a level at a time.
        level = sum(one._state.adding for one in chain.records[1:])
        chain.records.append(copy)
        levels = self.levels.setdefault(said.form.name, [])
        while len(levels) <= level:
            levels.append([])
        levels[level].append(copy)
        # Never before what it corrects.
        if turn := max(said.turn, self.facts.turns.get(old.pk, 0)):
            self.facts.turns[copy.id] = turn
        count.new += said.rows
        count.show("new", (said.index,))


def _has_its_own_reason(old: Any) -> bool:
    """Whether the record's text says why it was decided, which that of a correction must not displace."""
    if isinstance(old, RepairDecision):
        return bool(own_reason(old.reason, corrects=old.replaces_id is not None))
    return isinstance(old, Override) and bool(old.reason)


def _add(said: _Correction, column: Column, values: dict[str, Any]) -> None:
    said.columns.add(column.name)
    said.rows += 1
    typed = said.values.get("typed", {}) | values.pop("typed", {})
    said.values |= values | ({"typed": typed} if typed else {})


def _is_made(chain: Chain, reason: str, plain: dict[str, Any]) -> bool:
    """Whether the correction stands recorded; each that does is met once, so that the next must be a later one."""
    for place in range(chain.met, len(chain.records)):
        record = chain.records[place]
        if not record._state.adding and record.reason.endswith(reason) and _says(record, plain):
            chain.met = place + 1
            return True
    return False


def _is_settled(latest: Any, reason: str, plain: dict[str, Any]) -> bool:
    """Whether a record says it anyhow: one stored, corrected on another day, or one that this sheet told already."""
    is_meant = latest._state.adding and not latest.reason.endswith(reason)
    return bool(plain) and not is_meant and _says(latest, plain)


def _says(record: Any, values: dict[str, Any]) -> bool:
    return all(getattr(record, name) == value for name, value in values.items())


def _blank(form: SheetForm, column: Column) -> Any:
    kept = field_of(form, column)
    return "" if isinstance(kept, models.CharField | models.TextField) else None
