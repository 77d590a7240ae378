"""Which record a row of Corrections or Withdrawals speaks of: by its entry, or by what tells it from others."""

from collections.abc import Iterable, Sequence
from typing import Any
from uuid import UUID

from office.importing import record_sheets as forms
from office.importing.columns import SheetForm
from office.importing.drafts import Chain, Identity, stored_chains
from office.importing.facts import IDENTITY, Facts
from office.importing.tables import Table

BY_NAME: dict[str, SheetForm] = {
    form.name: form
    for form in (
        forms.FIT_UPS, forms.PASSES, forms.EXAMINATIONS, forms.REPAIRS, forms.RELEASES, forms.OVERRIDES,
        forms.ASSIGNMENTS, forms.PICKS, forms.ATTENDANCES,
    )
}  # fmt: skip
# What a record is told by beside its joint and attempt, where it has no entry.
_PART = {"Passes": "order", "Examinations": "method", "Overrides": "code", "Assignments": "stamp", "Picks": "method"}


class Naming:
    """Everything that stands on the joints that rows name, recorded before or coming in with this workbook."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self._chains: dict[str, dict[Identity, list[Chain]]] = {}
        self._by_first: dict[str, dict[UUID, Chain]] = {}
        self._seen: dict[str, set[UUID]] = {}

    def gather(self, sheets: Iterable[str | None], joints: Sequence[UUID | None]) -> None:
        """Know the records of some sheets on some joints; what is known already keeps the corrections it has got."""
        wanted = {joint for joint in joints if joint}
        for name in dict.fromkeys(sheets):
            if name in BY_NAME:
                self._gather(name, wanted - self._seen.setdefault(name, set()))
                self._seen[name] |= wanted

    def _gather(self, name: str, joints: set[UUID]) -> None:
        model: Any = BY_NAME[name].model
        names = IDENTITY[name]
        stored = self.facts.known.stored_joints & joints
        found = stored_chains(model, stored, names) if stored else {}
        for draft in self.facts.drafts.get(name, ()):
            if draft.joint_id in joints:
                found.setdefault(tuple(getattr(draft, one) for one in names), []).append(Chain([draft]))
        chains, firsts = self._chains.setdefault(name, {}), self._by_first.setdefault(name, {})
        for identity, some in found.items():
            chains.setdefault(identity, []).extend(some)
            firsts |= {chain.records[0].pk: chain for chain in some}

    def find(self, table: Table, index: int, sheet: str, joint: Any) -> Chain | None:
        """Return the record that a row names; one that can't be told is a fault."""
        entry = table.column("entry")[index]
        if entry is not None:
            return self._by_entry(table, index, sheet, joint, entry)
        identity = self._identity(table, index, sheet, joint)
        return None if identity is None else self._of(table, index, sheet, identity)

    def withdrawn(self, table: Table, index: int, sheet: str, joint: Any) -> list[Chain]:
        """Return the withdrawn records that fit what a row without an entry says; none where it does not say enough."""
        return [chain for chain in self.fitting(table, index, sheet, joint) if chain.is_withdrawn]

    def fitting(self, table: Table, index: int, sheet: str, joint: Any) -> list[Chain]:
        """Return all records, standing or not, that fit what a row without an entry says."""
        part = _PART.get(sheet)
        if table.column("entry")[index] is not None or (part and table.column(part)[index] is None):
            return []
        identity = self._identity(table, index, sheet, joint)
        return self._told_by(sheet, identity) if identity else []

    def _by_entry(self, table: Table, index: int, sheet: str, joint: Any, entry: str) -> Chain | None:
        first = self.facts.entries.get((sheet, entry))
        chain = self._by_first.get(sheet, {}).get(first) if first else None
        if chain is None or chain.records[0].joint_id != joint:
            table.fault(index, "entry", f"no row of {sheet} on this joint has the entry {entry}; accepted is one of it")
            return None
        return chain

    def _identity(self, table: Table, index: int, sheet: str, joint: Any) -> Identity | None:
        identity: Identity = (joint, table.column("attempt")[index] or "0")
        part = _PART.get(sheet)
        if part is None:
            return identity
        said = table.column(part)[index]
        if said is None:
            table.fault(index, part, f"the {part} is blank; it names the record, where no entry does")
            return None
        if part == "stamp":
            stamp = self.facts.known.of("stamp").get(said)
            if stamp is None:
                table.fault(index, part, self.facts.known.unknown("stamp", said))
                return None
            return (*identity, stamp)
        return (*identity, said)

    def _of(self, table: Table, index: int, sheet: str, identity: Identity) -> Chain | None:
        part = _PART.get(sheet, "joint")
        found = [chain for chain in self._told_by(sheet, identity) if not chain.is_withdrawn]
        found.sort(key=lambda chain: (chain.latest.done_on, str(chain.latest.done_at or "")))
        segment = table.column("segment")[index]
        if not found or (segment or 1) > len(found):
            table.fault(index, "joint", f"there is no such record in {sheet}; accepted is one that stands")
            return None
        if len(found) > 1 and segment is None:
            message = f"{len(found)} records fit; a column segment says which, 1 to {len(found)} by time"
            table.fault(index, part, message)
            return None
        return found[(segment or 1) - 1]

    def _told_by(self, sheet: str, identity: Identity) -> list[Chain]:
        chains = self._chains.get(sheet, {})
        if sheet not in (forms.ASSIGNMENTS.name, forms.ATTENDANCES.name):
            return list(chains.get(identity, ()))
        # Their identity ends with more, which a row names by the segment where there are several.
        return [chain for key, some in chains.items() if key[: len(identity)] == identity for chain in some]
