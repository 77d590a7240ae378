"""Withdrawals: what was made in error, or a joint that is no more, each with who said so, when and why."""

from typing import Any

from office.importing.drafts import Chain
from office.importing.facts import Facts
from office.importing.naming import BY_NAME, Naming
from office.importing.tables import Table, reason_of
from records.models import Withdrawal
from records.models.base import new_id

_JOINTS = "Joints"


class Withdrawals:
    """The withdrawals of a workbook; they come after everything else that it says of a record."""

    def __init__(self, facts: Facts, naming: Naming) -> None:
        self.facts, self.naming = facts, naming
        self.drafts: list[Any] = []
        self._why: dict[Any, str] = {}

    def take(self, table: Table) -> None:
        """Take the sheet, row by row."""
        joints = self.facts.known.resolve_joints(table)
        self.naming.gather(table.column("record"), joints)
        gone = self._withdrawn_joints(joints)
        self._why = self._stored_reasons(joints)
        for index in list(table.sound_rows()):
            sheet, joint = table.column("record")[index], joints[index]
            if sheet == _JOINTS:
                self._put(table, index, joint, "joint", joint, is_known=joint in gone)
            elif self._is_made(table, index, sheet, joint):
                self.facts.changes.count(table.sheet).take("unchanged", index)
            elif chain := self.naming.find(table, index, sheet, joint):
                self._withdraw(table, index, sheet, chain)

    def _withdraw(self, table: Table, index: int, sheet: str, chain: Chain) -> None:
        kind = BY_NAME[sheet].model._meta.model_name or ""  # type: ignore[union-attr]  # every sheet of records has one
        self._put(table, index, chain.latest.joint_id, kind, chain.latest.pk, is_known=chain.is_withdrawn)
        chain.is_withdrawn = True

    def _is_made(self, table: Table, index: int, sheet: str, joint: Any) -> bool:
        """Whether an import before withdrew what the row names, for its reason; each withdrawal is met once.

        A workbook that lists another such record, and not the one that was withdrawn, speaks of the other.
        """
        why, day = reason_of(table, index), table.column("date")[index]
        fitting = self.naming.fitting(table, index, sheet, joint)
        made = {one.pk: chain for chain in fitting for one in chain.records if self._why.get(one.pk) == why}
        others = [chain for chain in fitting if not chain.is_withdrawn and chain.latest.done_on <= day]
        listed = [key for key, chain in made.items() if self._is_listed(chain)]
        if not made or (not listed and any(map(self._is_listed, others))):
            return False
        del self._why[(listed or list(made))[0]]
        if others:
            at = table.faults.at(table.sheet, table.numbers[index], table.places["reason"])
            table.faults.notice(f"{at}: was withdrawn before; another one stands, which its entry would name")
        return True

    def _is_listed(self, chain: Chain) -> bool:
        """Whether a row of the workbook is this record."""
        return chain.records[0]._state.adding or chain.records[0].pk in self.facts.listed

    def _put(self, table: Table, index: int, joint: Any, kind: str, record: Any, *, is_known: bool) -> None:
        count = self.facts.changes.count(table.sheet)
        if is_known:
            count.take("unchanged", index)
            return
        reason = reason_of(table, index)
        self.drafts.append(Withdrawal(id=new_id(), joint_id=joint, kind=kind, record=record, reason=reason))
        count.take("new", index)

    def _withdrawn_joints(self, joints: list[Any]) -> set[Any]:
        stored = self.facts.known.stored_joints & {joint for joint in joints if joint}
        rows = Withdrawal.objects.filter(kind="joint", record__in=stored) if stored else Withdrawal.objects.none()
        return set(rows.values_list("record", flat=True))

    def _stored_reasons(self, joints: list[Any]) -> dict[Any, str]:
        """Why each record of the joints that is withdrawn was, by record."""
        stored = self.facts.known.stored_joints & {joint for joint in joints if joint}
        rows = Withdrawal.objects.filter(joint__in=stored) if stored else Withdrawal.objects.none()
        return dict(rows.values_list("record", "reason"))
