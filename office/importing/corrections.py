"""Corrections: a copy of the record that counts, with one column changed, naming the record it replaces and why."""

from dataclasses import dataclass, field
from typing import Any

from django.db import models

from office.importing import record_sheets as forms
from office.importing.cells import CellError, is_blank, shown, typed_as
from office.importing.columns import Column, SheetForm, field_of, fitted, header
from office.importing.drafts import Chain, Identity, stored_chains
from office.importing.facts import FILLS, IDENTITY, Facts
from office.importing.faults import nearest
from office.importing.parsers import Moment, Setting
from office.importing.tables import Table
from records.models import RepairDecision
from records.models.base import new_id

BY_NAME: dict[str, SheetForm] = {
    form.name: form for form in (forms.FIT_UPS, forms.PASSES, forms.EXAMINATIONS, forms.REPAIRS, forms.RELEASES)
}
_FIXED = {"drawing", "sheet", "joint", "attempt", "order", "method", "reason"}


@dataclass(slots=True)
class Corrections:
    """The corrections of a workbook; each level replaces records of the level before, or of the sheets."""

    facts: Facts
    setting: Setting
    levels: dict[str, list[list[Any]]] = field(default_factory=dict)
    chains: dict[str, dict[Identity, list[Chain]]] = field(default_factory=dict)

    def take(self, table: Table) -> None:
        """Take the sheet, row by row, in its order."""
        joints = self.facts.known.resolve_joints(table)
        self._gather(table, joints)
        for index in list(table.sound_rows()):
            form = BY_NAME[table.column("record")[index]]
            chain = self._chain(table, index, form, joints[index])
            column = self._column(table, index, form)
            if chain is None or column is None:
                continue
            values = self._values(table, index, form, column)
            if values is not None:
                self._correct(table, index, form, chain, values)

    def _gather(self, table: Table, joints: list[Any]) -> None:
        """Everything that stands on the joints named, recorded before or coming in with this workbook."""
        for name in dict.fromkeys(table.column("record")):
            if name is None:
                continue
            model: Any = BY_NAME[name].model
            stored = self.facts.known.stored_joints & {joint for joint in joints if joint}
            found = stored_chains(model, stored, IDENTITY[name]) if stored else {}
            for draft in self.facts.drafts.get(name, ()):
                found.setdefault(_identity(draft, name), []).append(Chain([draft]))
            self.chains[name] = found

    def _chain(self, table: Table, index: int, form: SheetForm, joint: Any) -> Chain | None:
        """The record a row names: by joint, attempt, and order or method; by the segment where there are several."""
        part = {"Passes": "order", "Examinations": "method"}.get(form.name)
        identity: Identity = (joint, table.column("attempt")[index] or "0")
        if part:
            said = table.column(part)[index]
            if said is None:
                table.fault(index, part, f"the {part} is blank; it names the record to correct")
                return None
            identity = (*identity, said)
        found = [chain for chain in self.chains[form.name].get(identity, ()) if not chain.is_withdrawn]
        found.sort(key=lambda chain: (chain.latest.done_on, str(chain.latest.done_at or "")))
        segment = table.column("segment")[index]
        if not found or (segment or 1) > len(found):
            table.fault(
                index, "joint", f"there is no such record in {form.name} to correct; accepted is one that stands"
            )
            return None
        if len(found) > 1 and segment is None:
            table.fault(
                index,
                part or "joint",
                f"{len(found)} records fit; a column segment says which, 1 to {len(found)} by time",
            )
            return None
        return found[(segment or 1) - 1]

    def _column(self, table: Table, index: int, form: SheetForm) -> Column | None:
        written = table.column("column")[index]
        column = form.by_header.get(header(written))
        accepted = [one.name for one in form.columns if one.name not in _FIXED]
        if column is None or column.name in _FIXED:
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

    def _correct(self, table: Table, index: int, form: SheetForm, chain: Chain, values: dict[str, Any]) -> None:
        reason = reason_of(table, index)
        count = self.facts.changes.count(table.sheet)
        plain = {name: value for name, value in values.items() if name not in ("typed", "done_at")}
        before = chain.records[1:]
        if any(one.reason.endswith(reason) and _says(one, plain) for one in before) or _says(chain.latest, plain):
            count.unchanged += 1
            return
        old = chain.latest
        copy = type(old)(**{one.attname: getattr(old, one.attname) for one in old._meta.concrete_fields})
        copy.id, copy.replaces_id, copy.device_at = new_id(), old.id, None
        for name, value in values.items():
            setattr(copy, name, {**old.typed, **value} if name == "typed" else value)
        # A decision has its own reason, which the correction's must not displace.
        copy.reason = f"{old.reason}; corrected: {reason}" if isinstance(old, RepairDecision) and old.reason else reason
        # A record and its corrections of one workbook are written one after the other, a level at a time.
        level = sum(one._state.adding for one in chain.records[1:])
        chain.records.append(copy)
        levels = self.levels.setdefault(form.name, [])
        while len(levels) <= level:
            levels.append([])
        levels[level].append(copy)
        count.new += 1


def reason_of(table: Table, index: int) -> str:
    """Return why, by whom and when: the record itself keeps the day and the name of the deed."""
    said = table.column
    return f"{said('reason')[index]} ({said('by')[index]}, {said('date')[index]})"


def _identity(draft: Any, sheet: str) -> Identity:
    return tuple(getattr(draft, name) for name in IDENTITY[sheet])


def _says(record: Any, values: dict[str, Any]) -> bool:
    return all(getattr(record, name) == value for name, value in values.items())


def _blank(form: SheetForm, column: Column) -> Any:
    kept = field_of(form, column)
    return "" if isinstance(kept, models.CharField | models.TextField) else None
