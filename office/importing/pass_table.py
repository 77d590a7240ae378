"""What procedures say of each kind of pass, as a one-row weld log needs it."""

from collections import defaultdict
from collections.abc import Sequence
from uuid import UUID

from office.importing.changes import Changes
from records.models import FillerLot, Job, Procedure, ProcedurePass
from rules.compare import folded
from rules.continuity import base_process
from rules.fillers import processes_of
from rules.limits import listed


class PassTable:
    """The process and the filler of each kind of pass, by procedure and role; the workbook's rows over the stored."""

    def __init__(self, job: Job, changes: Changes) -> None:
        self.processes: dict[UUID, list[str]] = dict(
            Procedure.objects.filter(job_id=job.id).values_list("id", "processes")
        )
        self.fillers: dict[UUID, str] = {}
        self.lots: dict[UUID, str] = {}
        for key, number, classification in FillerLot.objects.filter(job_id=job.id).values_list(
            "id", "number", "classification"
        ):
            self.fillers[key], self.lots[key] = classification, number
        passes = {row.pk: row for row in ProcedurePass.objects.filter(job_id=job.id)}
        self.processes |= {procedure.pk: procedure.processes for procedure in changes.of(Procedure)}
        for lot in changes.of(FillerLot):
            self.fillers[lot.pk], self.lots[lot.pk] = lot.classification, lot.number
        passes |= {row.pk: row for row in changes.of(ProcedurePass)}
        self.rows: dict[tuple[UUID, str], list[ProcedurePass]] = defaultdict(list)
        for row in passes.values():
            self.rows[row.procedure_id, row.role].append(row)

    def process_of(self, procedure: UUID, role: str) -> str:
        """Return the process of a kind of pass: its row's, else the procedure's first for a root, its last else."""
        if rows := self.rows.get((procedure, role)):
            return rows[0].process
        processes = self.processes.get(procedure) or [""]
        return processes[0] if role == "root" else processes[-1]

    def takes(self, procedure: UUID, role: str, lot: UUID) -> bool:
        """Say whether a filler lot is of the classification that a kind of pass asks for."""
        return folded(self.fillers.get(lot, "")) in {folded(row.filler) for row in self.rows.get((procedure, role), ())}

    def lots_of(
        self, procedure: UUID | None, roles: Sequence[str], lots: Sequence[UUID]
    ) -> tuple[dict[str, UUID | None], list[UUID]]:
        """The lot of each kind of pass of a row, and the lots that are left over.

        A lot is that of the passes that ask for it and that no lot before it took; one that none asks for, of those of
        the process for which it is made, and of the others nothing is known. One that is made for none of them is that
        of all. Of lots that fit likewise each goes to a process, in order.
        """
        found: dict[str, UUID | None] = dict.fromkeys(roles)
        if procedure is None:
            return found, []
        odd: list[UUID] = []
        for lot in lots:
            fitting = [role for role in roles if self.takes(procedure, role, lot)]
            found |= {role: lot for role in fitting if found[role] is None}
            odd += [] if fitting else [lot]
        by_process: dict[str, list[str]] = defaultdict(list)
        for role in roles:
            if found[role] is None:
                by_process[base_process(self.process_of(procedure, role))].append(role)
        for process, lot in self._shared(list(by_process), odd):
            found |= dict.fromkeys(by_process[process], lot)
        return found, [lot for lot in lots if lot not in found.values()]

    def _shared(self, processes: Sequence[str], lots: Sequence[UUID]) -> list[tuple[str, UUID]]:
        """The lot of each process, among lots that no row of the pass table asks for."""
        made_for = {lot: processes_of(self.fillers.get(lot, "")) for lot in lots}
        told = {lot: [process for process in processes if process in made_for[lot]] for lot in lots}
        if len(lots) == 1:
            return [(process, lots[0]) for process in told[lots[0]] or processes]
        sure = {own[0]: lot for lot, own in told.items() if len(own) == 1}
        left = [process for process in processes if process not in sure]
        others = [lot for lot in lots if len(told[lot]) != 1]
        return [*sure.items(), *(zip(left, others, strict=True) if len(left) == len(others) else ())]

    def lots_of_class(self, name: str) -> str:
        """Say of a classification which lots are of it; nothing where none is."""
        numbers = [self.lots[key] for key, one in self.fillers.items() if folded(one) == folded(name)]
        return f"{name} is a classification, and a lot is named here: {listed(numbers, 'or')}" if numbers else ""
