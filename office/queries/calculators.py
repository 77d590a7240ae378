"""What somebody asks a calculator: in whose units and edition, with which values; and the answer."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import Http404, QueryDict
from django.utils import timezone

from records.clock import today_on
from records.models import Job, User
from records.permissions import jobs_of
from records.refusals import Fault, Implausible, NotThere
from rules.calculators.asked import ComputeError
from rules.compute import CALCULATORS, Calculator, compute
from rules.nearest import nearest
from rules.units import SI, US

# What a calculator takes from the job where it is not given: the job's field by key. Of B31.3 it is the edition.
_OF_THE_JOB: Mapping[str, Mapping[str, str]] = {
    "cut-length": {"flange_edition": "flanges_edition"},
    "welder-range": {"edition": "welders_edition"},
    "certificate-check": {"edition": "certificates_edition", "rounding": "certificates_rounding"},
    "progressive": {"reading": "first_batch"},
}
UNITS, JOB = "units", "job"  # what an address says beside the calculator's own keys
OF_B31_3 = "B31.3"


@dataclass(frozen=True, slots=True)
class Setting:
    """In whose units and by which edition is computed, and which day it is."""

    job: Job | None
    units: str
    edition: str
    today: date


def calculator_named(name: str) -> Calculator:
    """Return a calculator; raises NotThere listing their names, the nearest first."""
    found = CALCULATORS.get(name)
    if found is None:
        names = ", ".join(nearest(name, CALCULATORS))
        told = f'There is no calculator "{name}"; there are {names}.'
        raise NotThere(told, [Fault("name", f'There is no calculator "{name}".', names)])
    return found


def setting(asked: QueryDict, person: User) -> Setting:
    """Return the setting that an address names: of its job, else SI and each table's own edition; at most one query.

    Raises  Http404 for a job that is not the person's, Implausible for units there are none of
    """
    code, units = asked.get(JOB, ""), asked.get(UNITS, "")
    # A zero sign is in no code, and PostgreSQL can't even look for one.
    job = jobs_of(person).filter(code=code).first() if code and "\x00" not in code else None
    if code and job is None:
        raise Http404("There is no such job.")
    if units not in (US, SI, ""):
        told = f'There are no units "{units}"; accepted are US and SI.'
        raise Implausible.of(Fault(UNITS, told, "US, SI"))
    edition = job.edition if job and OF_B31_3 in job.construction_code else ""
    today = today_on(job) if job else timezone.localdate()
    return Setting(job, units or (job.units if job else SI), edition, today)


def values_of(asked: QueryDict) -> dict[str, str]:
    """Return the calculator's own values in an address. Raises Implausible for one that is given twice."""
    if twice := next((key for key, given in asked.lists() if len(given) > 1), ""):
        told = f"{twice} is given twice."
        raise Implausible.of(Fault(twice, told, "one value"))
    return {key: str(text) for key, text in asked.items() if key not in (UNITS, JOB)}


def answer(name: str, values: Mapping[str, str], within: Setting) -> dict[str, Any]:
    """Return what `compute` says. Raises ComputeError with a fault for each wrong value."""
    values = _with_the_jobs(name, with_today(name, values, within.today), within.job)
    return compute(name, values, units=within.units, edition=within.edition)


def with_today(name: str, values: Mapping[str, str], today: date) -> dict[str, str]:
    """Whether a process is alive is asked as of today, unless a day is given; the rules have no clock."""
    if name != "continuity" or values.get("as_of", "").strip():
        return dict(values)
    return {**values, "as_of": today.isoformat()}


def _with_the_jobs(name: str, values: dict[str, str], job: Job | None) -> dict[str, str]:
    """The values, and where they say nothing what the job sets."""
    fields = _OF_THE_JOB.get(name, {}) if job else {}
    set_there = {key: getattr(job, field) for key, field in fields.items()}
    return {key: text for key, text in set_there.items() if text} | {
        key: text for key, text in values.items() if text.strip() or not set_there.get(key)
    }


def as_refusal(wrong: ComputeError) -> Implausible:
    """Return what can't be computed as the refusal that the edge knows, with a fault a field."""
    faults = [Fault(one.field, one.message, ", ".join(one.accepted)) for one in wrong.faults]
    return Implausible(str(wrong), faults)
