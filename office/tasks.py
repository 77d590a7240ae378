"""What procrastinate carries on PostgreSQL: the id of a row of long work, and nothing else."""

from uuid import UUID

from procrastinate.contrib.django import app

from records.work import TASK


@app.task(name=TASK)
def run_work_row(work_id: str) -> None:
    """Do the work of a row."""
    # Django imports this module at every start, and with the worker come packages, PDF and spreadsheets.
    from office.worker import run_work  # noqa: PLC0415

    run_work(UUID(work_id))
