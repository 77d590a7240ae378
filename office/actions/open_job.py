"""Open a new job: its settings, its journal, and whoever opened it as its administrator."""

import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass

from django.db import transaction
from django.utils import timezone

from office.actions.change_job import JobSettings, faults_of
from records import journal, site_account
from records.models import Job, User
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried

# A code stands in addresses and in the names of files.
_CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}")


@dataclass(frozen=True, slots=True)
class NewJob:
    """What is said of a new job; all else begins as a job of a workbook does, and is changed under Settings."""

    code: str
    name: str
    client: str
    site: str
    units: str
    construction_code: str
    edition: str
    time_zone: str
    recording: str


@retried
def open_job(draft: NewJob, *, beside: Job, by: User) -> Job:
    """Open a job, for whoever manages the people of another one; they are its administrator. Returns the new job.

    beside  the job from whose page it is opened
    Raises  NotAllowed; Implausible (a code that is taken or can't stand in an address, or a setting that can't be)
    """
    require(by, beside, "manage people")
    job = Job(**asdict(draft))
    with transaction.atomic():
        if faults := list(_faults(draft, job)):
            raise Implausible.of(*faults)
        job.save(force_insert=True)
        journal.open_journal(job)
        journal.append([job], job=job, by=by, at=timezone.now())
        site_account.join(job, by, "administrator", by=by)
    return job


def _faults(draft: NewJob, job: Job) -> Iterator[Fault]:
    if not _CODE.fullmatch(draft.code):
        accepted = "letters, figures, dots, dashes and underscores, at most 40, for example HW-7"
        yield Fault("code", f"“{draft.code}” can’t be the code of a job.", accepted)
    elif Job.objects.filter(code__iexact=draft.code).exists():
        yield Fault("code", f"The code {draft.code} is taken.", "another code")
    settings = {name: getattr(job, name) for name in JobSettings.__slots__}
    yield from faults_of(JobSettings(**settings), job, ())
