"""What procedures say of each kind of pass, as a one-row weld log needs it."""

from collections import defaultdict
from uuid import UUID

from office.importing.changes import Changes
from records.models import FillerLot, Job, Procedure, ProcedurePass


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
        return self.fillers.get(lot) in {row.filler for row in self.rows.get((procedure, role), ())}
