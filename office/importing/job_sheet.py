"""The Job sheet, and the job that an import works on."""

from dataclasses import dataclass

from django.utils import timezone

from office.actions.change_job import units_held_by
from office.importing import plan_sheets as forms
from office.importing.changes import change
from office.importing.faults import Faults
from office.importing.parsers import NOTHING, Setting
from office.importing.tables import Table
from records.clock import zone_of
from records.models import Job


@dataclass(slots=True)
class JobPlan:
    """The job, whether it is to be made, and what of it changes."""

    job: Job
    is_new: bool
    told: list[str]


def plan_job(code: str, table: Table | None, stored: Job | None, faults: Faults) -> JobPlan:
    """Return the job as it will be; a sheet that speaks of another job, or of several, is at fault.

    table   the Job sheet, where the workbook has one
    stored  the job of this code, where there is one
    """
    job = stored or Job(code=code, name=code)
    told: list[str] = []
    if table is None or not len(table):
        return JobPlan(job, stored is None, told)
    for index in range(1, len(table)):
        table.fault(index, "code", "a workbook speaks of one job; accepted is one row")
    said = table.column("code")[0]
    if said is not None and said != code:
        table.fault(0, "code", f"the workbook is of job {said}, and this is job {code}; accepted is {code}")
    values = {
        column.field: table.values[column.name][0]
        for column in forms.JOB.columns
        if column.name in table.values and table.values[column.name][0] is not None and column.name != "code"
    }
    values = {field: None if value is NOTHING else value for field, value in values.items()}
    units = values.get("units", job.units)
    if stored and units != stored.units and (why := units_held_by(stored)):
        table.fault(0, "units", f"the units stay {stored.units}: {why}; accepted is {stored.units}")
        values.pop("units")
    differing = change(job, values, job.units)
    if stored and differing:
        told = [f"{table.sheet}!row {table.numbers[0]}: {', '.join(differing)}"]
    return JobPlan(job, stored is None, told)


def setting_of(job: Job) -> Setting:
    """Return what cells are read by on a job."""
    zone = zone_of(job)
    return Setting(units=job.units, zone=zone, today=timezone.localdate(timezone=zone))
