"""The rows of the records on a batch of joints: facts as they were written, their corrections and withdrawals."""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from itertools import pairwise
from typing import Any
from uuid import UUID

from office.exporting.shelf import Shelf
from office.exporting.turns import turns
from office.exporting.values import Written, moment, writers
from office.importing import record_sheets as forms
from office.importing.columns import Column, SheetForm
from office.importing.corrections import NOT_CORRECTED
from office.importing.facts import FILLS
from office.importing.naming import BY_NAME
from records.clock import local_time
from records.lookups import Keys
from records.models import Override, Withdrawal
from records.reasons import CORRECTED
from reports.spreadsheet import Cell

Row = list[Cell]
Joints = dict[UUID, tuple[str, str, str]]
# A reason that came in with a workbook names who gave it, and when.
_SIGNED = re.compile(r"(.*) \((.+), (\d{4}-\d\d-\d\d)\)", re.DOTALL)
_EARLIEST = datetime.min.replace(tzinfo=UTC)


@dataclass(slots=True)
class _Chain:
    """A record with the corrections that replaced it, and its withdrawal."""

    records: list[Any]
    withdrawal: Withdrawal | None = None
    entry: int | None = None

    @property
    def needs_entry(self) -> bool:
        return len(self.records) > 1 or self.withdrawal is not None


@dataclass(slots=True)
class RecordRows:
    """Writes the records of one batch of joints after another.

    entries  how many rows of each sheet have an entry so far
    """

    shelf: Shelf
    entries: Counter[str] = field(default_factory=Counter)
    written: dict[str, dict[str, Written]] = field(default_factory=dict)
    _turns: dict[UUID, int] = field(default_factory=dict)
    _people: dict[int, str] = field(default_factory=dict)

    def rows(self, joints: Joints) -> dict[str, list[Row]]:
        """Return the rows by sheet; eleven queries, one more where somebody is named for the first time.

        joints  drawing, sheet and number of each, in the order of the workbook; at most some thousands
        """
        keys = Keys(joints)
        withdrawn = list(Withdrawal.objects.filter(joint_id__among=keys).order_by("recorded_at", "id"))
        gone = {one.record: one for one in withdrawn}
        place = {key: number for number, key in enumerate(joints)}
        chains = {name: _chains(form, keys, gone, place) for name, form in BY_NAME.items()}
        self._turns = turns(record for some in chains.values() for chain in some for record in chain.records)
        self._people = self.shelf.people(_signers(chains, withdrawn))
        found = {name: self._sheet(form, chains[name], joints) for name, form in BY_NAME.items()}
        found[forms.CORRECTIONS.name] = self._corrections(chains, joints)
        found[forms.WITHDRAWALS.name] = self._withdrawals(chains, withdrawn, joints)
        return found

    def _sheet(self, form: SheetForm, chains: Sequence[_Chain], joints: Joints) -> list[Row]:
        """One row a record as it was first written; those that others name, or that look alike, have an entry."""
        names = [column.name for column in form.columns]
        rows = [self._cells(form, chain.records[0], joints) for chain in chains]
        told = [names.index(name) for name in (*form.identity, *form.finer) if name != "entry"]
        alike = Counter(tuple(row[at] for at in told) for row in rows)
        entry = names.index("entry")
        for chain, row in zip(chains, rows, strict=True):
            is_alike = not form.may_repeat and alike[tuple(row[at] for at in told)] > 1
            if chain.needs_entry or is_alike:
                self.entries[form.name] += 1
                row[entry] = chain.entry = self.entries[form.name]
        return rows

    def _cells(self, form: SheetForm, record: Any, joints: Joints) -> Row:
        drawing, sheet, number = joints[record.joint_id]
        said: dict[str, Cell] = {
            "drawing": drawing,
            "sheet": sheet,
            "joint": number,
            "turn": self._turns.get(record.pk),
        }
        if form.name == forms.PASSES.name:
            said["from weld log"] = "yes" if record.from_weld_log else None
        return [
            said[column.name] if column.name in said else self._cell(form, column, record) for column in form.columns
        ]

    def _cell(self, form: SheetForm, column: Column, record: Any) -> Cell:
        if column.name == "date":
            return moment(record.done_on, record.done_at, self.shelf.setting)
        if attribute := FILLS.get((form.name, column.name)):
            return self._named(column)(getattr(record, attribute))
        if not column.field:
            return None
        value = getattr(record, column.field)
        if column.name == "by" and column.filled and not value:
            value = self._people.get(record.recorded_by_id, "")
        typed = record.typed.get(column.name, "") if column.is_typed else ""
        return self._writers(form)[column.name](value, typed)

    def _named(self, column: Column) -> Callable[[Any], Cell]:
        shelf = self.shelf
        names = {
            "stamp": shelf.stamps,
            "filler lot": shelf.filler_lots,
            "procedure": shelf.procedures,
            "hold point": shelf.hold_points,
        }
        return names[column.names].get

    def _writers(self, form: SheetForm) -> dict[str, Written]:
        if form.name not in self.written:
            self.written[form.name] = writers(form, self.shelf.setting)
        return self.written[form.name]

    def _corrections(self, chains: dict[str, list[_Chain]], joints: Joints) -> list[Row]:
        """One row for each column that a correction changed."""
        found = []
        for name, some in chains.items():
            for chain in some:
                for number, (old, new) in enumerate(pairwise(chain.records), start=1):
                    which = number if len(chain.records) > 2 else None
                    rows = self._correction(BY_NAME[name], chain, old, new, joints)
                    found += [_row(forms.CORRECTIONS, row | {"correction": which}) for row in rows]
        return found

    def _correction(self, form: SheetForm, chain: _Chain, old: Any, new: Any, joints: Joints) -> list[dict[str, Cell]]:
        """What a correction changed; one that changed nothing has a row without a column."""
        reason, by, day = self._signed(new, _reason_of(old, new))
        changed: dict[str, Cell] = {}
        for column in form.columns:
            if column.name not in NOT_CORRECTED:
                value = self._cell(form, column, new)
                if value != self._cell(form, column, old):
                    changed[column.name] = value
        said = self._naming(form.name, chain, old, joints) | {"date": day, "by": by, "reason": reason}
        said["turn"] = self._turns.get(new.pk)
        return [said | {"column": name, "value": value} for name, value in (changed or {"": None}).items()]

    def _withdrawals(
        self, chains: dict[str, list[_Chain]], withdrawn: Sequence[Withdrawal], joints: Joints
    ) -> list[Row]:
        found = []
        for name, some in chains.items():
            for chain in some:
                if chain.withdrawal:
                    naming = self._naming(name, chain, chain.records[-1], joints)
                    found.append(self._withdrawal(naming, chain.withdrawal))
        for one in withdrawn:
            if one.kind == "joint" and one.joint_id:
                drawing, sheet, number = joints[one.joint_id]
                naming = {"record": "Joints", "drawing": drawing, "sheet": sheet, "joint": number}
                found.append(self._withdrawal(naming, one))
        return found

    def _withdrawal(self, naming: dict[str, Cell], one: Withdrawal) -> Row:
        reason, by, day = self._signed(one, one.reason)
        return _row(forms.WITHDRAWALS, naming | {"date": day, "by": by, "reason": reason})

    def _naming(self, sheet: str, chain: _Chain, record: Any, joints: Joints) -> dict[str, Cell]:
        drawing, number, joint = joints[record.joint_id]
        return {
            "record": sheet, "drawing": drawing, "sheet": number, "joint": joint, "attempt": record.attempt,
            "entry": chain.entry,
        }  # fmt: skip

    def _signed(self, record: Any, reason: str) -> tuple[str, str, Cell]:
        """Why, by whom and when: as the reason itself has it, else whoever recorded it, on the day they did."""
        if found := _SIGNED.fullmatch(reason):
            return found[1], found[2], date.fromisoformat(found[3])
        return reason, self._people[record.recorded_by_id], local_time(self.shelf.job, record.recorded_at).date()


def _chains(form: SheetForm, keys: Keys, gone: dict[UUID, Withdrawal], place: dict[UUID, int]) -> list[_Chain]:
    """The records of a sheet on some joints in the order of the joints, then as they were done; one query."""
    model: Any = form.model
    rows = list(model.objects.filter(joint_id__among=keys).order_by("recorded_at", "id"))
    after = {row.replaces_id: row for row in rows if row.replaces_id}
    found = []
    for row in rows:
        if row.replaces_id:
            continue
        records = [row]
        while newer := after.get(records[-1].pk):
            records.append(newer)
        found.append(_Chain(records, next((gone[one.pk] for one in records if one.pk in gone), None)))
    if model is Override:
        # An override covers what was recorded before it, so their order says more than their days.
        found.sort(key=lambda chain: place[chain.records[0].joint_id])
    else:
        found.sort(key=lambda chain: (place[chain.records[0].joint_id], *_done(chain.records[0])))
    return found


def _done(record: Any) -> tuple[date, datetime, int]:
    """As the rules order records: by day, by time where it is known, by the order of passes."""
    return record.done_on, record.done_at or _EARLIEST, getattr(record, "order", 0)


def _signers(chains: dict[str, list[_Chain]], withdrawn: Sequence[Withdrawal]) -> set[int]:
    """Whoever may have to be named: who corrected or withdrew, and who recorded what names nobody."""
    records = (one for some in chains.values() for chain in some for one in chain.records)
    found = {one.recorded_by_id for one in records if one.replaces_id or not one.by}
    return found | {one.recorded_by_id for one in withdrawn}


def _reason_of(old: Any, new: Any) -> str:
    """Why a record was corrected; a decision keeps its own reason before that."""
    return str(new.reason.removeprefix(f"{old.reason}{CORRECTED}") if old.reason else new.reason)


def _row(form: SheetForm, said: dict[str, Cell]) -> Row:
    return [said.get(column.name) for column in form.columns]
