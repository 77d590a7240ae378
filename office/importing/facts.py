"""Turn the sheets of facts into drafts of what is not recorded yet; a fact that differs from its record is refused."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any
from uuid import UUID

from inspection.actions.pick_joints import is_undrawn
from office.importing import record_sheets as forms
from office.importing.changes import Changes
from office.importing.columns import SheetForm
from office.importing.drafts import (
    Chain,
    Drafts,
    Identity,
    Made,
    already_recorded,
    make_drafts,
    says_the_same,
    stored_chains,
)
from office.importing.known import Known
from office.importing.pass_table import PassTable
from office.importing.tables import Table, typed_texts
from records.models import Pass
from records.models.base import JointRecord

# What a sheet's reference fills, by (sheet, column).
FILLS = {
    ("Fit-ups", "tack stamp"): "tack_stamp_id",
    ("Passes", "stamp"): "stamp_id",
    ("Passes", "filler lot"): "filler_lot_id",
    ("Passes", "procedure"): "procedure_id",
    ("Assignments", "stamp"): "stamp_id",
    ("Attendances", "point"): "point_id",
}
IDENTITY = {
    "Fit-ups": ("joint_id", "attempt"),
    "Passes": ("joint_id", "attempt", "order"),
    "Weld log": ("joint_id", "attempt", "order"),
    "Examinations": ("joint_id", "attempt", "method"),
    "Repairs": ("joint_id", "attempt"),
    "Releases": ("joint_id", "attempt"),
    "Overrides": ("joint_id", "attempt", "code"),
    "Assignments": ("joint_id", "attempt", "stamp_id", "done_on"),
    "Picks": ("joint_id", "attempt", "method"),
    "Attendances": ("joint_id", "attempt", "point_id", "result"),
}
# Among so many passes of a weld log stand the rows that are shown.
_ENOUGH = 200
UNDRAWN = "a random pick needs what its draw can be repeated from; accepted is the seed and the number drawn"
_ROLES = (("root", "root stamp"), ("hot", "hot stamp"), ("fill", "fill stamp"), ("cap", "cap stamp"))


@dataclass(slots=True)
class Facts:
    """The drafts of every sheet of facts, by sheet, and everything recorded before by sheet and identity.

    entries  the first record of a row's chain, by the row's sheet and entry
    listed   the first record of each chain that a row of the workbook speaks of
    turns    of drafts that are not written in the first
    """

    known: Known
    changes: Changes
    drafts: dict[str, Drafts] = field(default_factory=dict)
    standing: dict[str, dict[Identity, list[Chain]]] = field(default_factory=dict)
    wanted: set[str] = field(default_factory=set)
    entries: dict[tuple[str, str], UUID] = field(default_factory=dict)
    listed: set[UUID] = field(default_factory=set)
    turns: dict[UUID, int] = field(default_factory=dict)

    def take(self, table: Table) -> None:
        """Take a sheet of facts but the weld log."""
        form = table.form
        assert form.model is not None
        _refuse_undrawn(table)
        joints = self.known.resolve_joints(table)
        attempts = [attempt or "0" for attempt in table.column("attempt")]
        columns: dict[str, Any] = {"joint_id": joints, "attempt": attempts} | _dates(table)
        for column in form.columns:
            if (filled := FILLS.get((form.name, column.name))) and column.name in table.values:
                columns[filled] = self.known.resolve(table, column.name)
            elif column.field and column.field != "attempt" and column.name in table.values:
                columns[column.field] = table.values[column.name]
        if table.cells:
            columns["typed"] = typed_texts(table)
        rows = list(table.sound_rows())
        given = [name for name in columns if name not in ("joint_id", "typed")]
        self._keep(table, rows, _rows(columns, rows, len(table)), given, len(rows))

    def take_weld_log(self, table: Table, passes: PassTable) -> None:
        """Take the one-row form: each row becomes its passes in order, without parameters."""
        joints = self.known.resolve_joints(table)
        procedures = self.known.resolve(table, "procedure")
        lots = _lists(self.known, table, "filler lot", "filler lot", passes.lots_of_class)
        stamps = {role: _lists(self.known, table, name, "stamp") for role, name in _ROLES}
        dates, at = _dates(table)["done_on"], _dates(table)["done_at"]
        found: dict[str, list[Any]] = {name: [] for name in _WELD_LOG_FIELDS}
        rows: list[int] = []
        for index in list(table.sound_rows()):
            attempt = table.column("attempt")[index] or "0"
            made = [(role, stamp_ids) for role, _ in _ROLES if (stamp_ids := stamps[role][index])]
            lot_of, left = passes.lots_of(procedures[index], [role for role, _ in made], lots[index])
            if left:
                name = passes.lots.get(left[0], "")
                told = f"the lot {name} is left over: another one fits the same passes, or none; say in Passes which"
                table.fault(index, "filler lot", told)
                continue
            for order, (role, stamp_ids) in enumerate(made, start=1):
                process = passes.process_of(procedures[index], role)  # type: ignore[arg-type]
                for stamp in stamp_ids:
                    said = (joints[index], attempt, order, role, stamp, process, procedures[index], lot_of[role])
                    for name, value in zip(_WELD_LOG_FIELDS, (*said, dates[index], at[index]), strict=True):
                        found[name].append(value)
                    rows.append(index)
        given = [name for name in _WELD_LOG_FIELDS if name != "joint_id"]
        self._keep(table, rows, dict(found) | {"from_weld_log": True}, given, len(list(table.sound_rows())))

    def _keep(self, table: Table, rows: list[int], columns: dict[str, Any], given: Sequence[str], size: int) -> None:
        """Make the drafts of sound rows and leave out those that are recorded."""
        model: Any = table.form.model
        names = IDENTITY[table.form.name]
        made = Made(make_drafts(model, len(rows), columns), rows)
        self._refuse_two_logs(table, made)
        standing = self._standing(table.form, set(made.drafts.column("joint_id")))
        self._note(table, made)
        if not standing:
            self._drafts_of(table).extend(made.drafts)
            count = self.changes.count(table.sheet)
            count.new += size
            count.show("new", dict.fromkeys(islice(rows, _ENOUGH)))
            return
        fresh: set[int] = set()
        for draft, row in zip(self._new(table, made, standing, names, given), made.rows, strict=True):
            if draft is not None:
                self._drafts_of(table).append(draft)
                fresh.add(row)
        count = self.changes.count(table.sheet)
        refused = {row for row in rows if not table.sound[row]}
        count.new += len(fresh - refused)
        count.unchanged += size - len(fresh | refused)
        count.show("new", sorted(fresh - refused))
        count.show("unchanged", (row for row in dict.fromkeys(rows) if row not in fresh and row not in refused))

    def _drafts_of(self, table: Table) -> Drafts:
        model: Any = table.form.model
        return self.drafts.setdefault(_sheet_of(table.form), Drafts(model))

    def _new(
        self,
        table: Table,
        made: Made,
        standing: dict[Identity, list[Chain]],
        names: Sequence[str],
        given: Sequence[str],
    ) -> list[Any]:
        """Return the drafts with None for those that are recorded; what is recorded otherwise is a fault."""
        left = list(made.drafts)
        groups: dict[Identity, list[int]] = {}
        for place, draft in enumerate(made.drafts):
            groups.setdefault(tuple(getattr(draft, name) for name in names), []).append(place)
        for identity, places in groups.items():
            chains = list(standing.get(identity, ()))
            for place in places:
                same = _same(made.drafts[place], chains, given)
                if same is not None:
                    chains.remove(same)
                    left[place] = None
                    self._is_known(table, made.rows[place], same)
            differing = [chain for chain in chains if not chain.is_withdrawn]
            for place in places:
                draft = left[place]
                if draft is None or not differing or _follows(draft, differing):
                    continue
                table.fault(
                    made.rows[place],
                    names[-1] if names[-1] in table.places else "joint",
                    already_recorded(draft, differing[0].latest, given, self.changes.job.units),
                )
                left[place] = None
        return left

    def _note(self, table: Table, made: Made) -> None:
        """Keep by which entry a row goes, and in which turn it is written."""
        if "entry" in table.values:
            entries = table.column("entry")
            for draft, row in zip(made.drafts, made.rows, strict=True):
                if (entry := entries[row]) is None:
                    continue
                if (table.form.name, entry) in self.entries:
                    table.fault(row, "entry", f"the entry {entry} stands in a row before; accepted is one row each")
                self.entries[table.form.name, entry] = draft.pk
        if "turn" in table.values:
            turns = table.column("turn")
            pairs = zip(made.drafts, made.rows, strict=True)
            self.turns |= {draft.pk: turns[row] for draft, row in pairs if turns[row]}

    def _is_known(self, table: Table, row: int, chain: Chain) -> None:
        """What is recorded already is listed again, and goes by the entry of its row."""
        self.listed.add(chain.records[0].pk)
        if (entry := table.column("entry")[row]) is not None:
            self.entries[table.form.name, entry] = chain.records[0].pk

    def _standing(self, form: SheetForm, joint_ids: set[UUID]) -> dict[Identity, list[Chain]]:
        """Everything recorded on joints that were stored before; nothing for a new job, without a query."""
        stored = self.known.stored_joints & joint_ids
        if not stored:
            return {}
        model: Any = form.model
        found = stored_chains(model, stored, IDENTITY[form.name])
        self.standing.setdefault(_sheet_of(form), {}).update(found)
        return found

    def _refuse_two_logs(self, table: Table, made: Made) -> None:
        """A joint's passes stand either in Passes or in the weld log."""
        if table.form.name != forms.WELD_LOG.name:
            return
        detailed = {(draft.joint_id, draft.attempt) for draft in self.drafts.get("Passes", ())}
        for draft, row in zip(made.drafts, made.rows, strict=True):
            if (draft.joint_id, draft.attempt) in detailed and table.sound[row]:
                table.fault(row, "joint", "the passes of this joint stand in the sheet Passes already; one of the two")


def _refuse_undrawn(table: Table) -> None:
    """A draw says what it can be repeated from, as the action asks."""
    if table.form.name != forms.PICKS.name:
        return
    draws = table.column("draw")
    for index, how in enumerate(table.column("how")):
        if is_undrawn(how, draws[index] or ""):
            table.fault(index, "draw" if "draw" in table.places else "how", UNDRAWN)


_WELD_LOG_FIELDS = (
    "joint_id", "attempt", "order", "role", "stamp_id", "process", "procedure_id", "filler_lot_id", "done_on",
    "done_at",
)  # fmt: skip


def _sheet_of(form: SheetForm) -> str:
    """The sheet under which a form's records are kept: the weld log's are passes."""
    return "Passes" if form.model is Pass else form.name


def _dates(table: Table) -> dict[str, list[Any]]:
    moments = table.column("date")
    return {
        "done_on": [moment.day if moment else None for moment in moments],
        "done_at": [moment.at if moment else None for moment in moments],
    }


def _rows(columns: dict[str, Any], rows: list[int], size: int) -> dict[str, Any]:
    if len(rows) == size:
        return columns
    return {name: [values[index] for index in rows] for name, values in columns.items()}


# How registers write two stamps or lots in one cell, besides commas; common practice, no source.
_BESIDE = re.compile(r"[/+&]|(?<=\s)and(?=\s)", re.IGNORECASE)


def _lists(
    known: Known, table: Table, name: str, kind: str, instead: Callable[[str], str] = lambda code: ""
) -> list[list[UUID]]:
    """What a cell names that may list several stamps or lots; an unknown one is a fault.

    instead   what to say of one that nothing is called, where more can be said than that
    """
    single: Callable[[Any], UUID | None] = known.of(kind).get
    found: list[list[UUID]] = []
    for index, codes in enumerate(table.column(name)):
        parts = [part for code in codes or () for part in _apart(code, single)]
        ids = [single(part) for part in parts]
        for part, key in zip(parts, ids, strict=True):
            if key is None:
                table.fault(index, name, instead(part) or known.unknown(kind, part))
        found.append([key for key in ids if key is not None])
    return found


def _apart(code: str, single: Callable[[Any], UUID | None]) -> list[str]:
    """`L-1 / L-2` as two, where nothing is called so as a whole and something is by a part of it."""
    if single(code) is not None:
        return [code]
    parts = [named for part in _BESIDE.split(code) if (named := part.strip())]
    return parts if any(single(part) is not None for part in parts) else [code]


def _same(draft: JointRecord, chains: Sequence[Chain], given: Sequence[str]) -> Chain | None:
    """The chain any of whose records says what the draft says: a corrected record is still the one of the sheet."""
    for chain in chains:
        if any(says_the_same(draft, record, given) for record in chain.records):
            return chain
    return None


def _follows(draft: Any, differing: Sequence[Chain]) -> bool:
    """Whether an examination is a later one after re-shoots, and not another word on the same."""
    return all(
        getattr(chain.latest, "result", "") == "re-shoot" and draft.done_on >= chain.latest.done_on
        for chain in differing
    )
