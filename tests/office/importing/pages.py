"""A job that a workbook made, and hands that send another in by the page."""

from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from office.worker import KINDS
from records import work as works
from records.models import Job, Work


def send(person: Client, job: Job, content: bytes, name: str = "small.xlsx") -> Any:
    """Send a file in by the page."""
    return person.post(reverse("imports", args=[job.code]), {"file": SimpleUploadedFile(name, content)})


def sent(person: Client, job: Job, content: bytes, name: str = "small.xlsx") -> Work:
    """Send a file in, and return its check, done."""
    answer = send(person, job, content, name)
    assert answer.status_code == 302, answer.content.decode()
    work = Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2])
    return do(work) if work.state == "queued" else work


def do(work: Work) -> Work:
    """Do a row of work as a worker does."""
    taken = works.take(work.id)
    if taken is not None:
        works.finish(taken, KINDS[taken.kind](taken, lambda step, done=0, total=0: None))
    return Work.objects.get(id=work.id)


def page_of(work: Work) -> str:
    """The address of an import's page."""
    return reverse("import", args=[work.job.code, work.id])


def applied(person: Client, check: Work, reason: str = "As the client asked") -> Work:
    """Apply a check by the page, and return the row of the writing, done."""
    answer = person.post(page_of(check), {"reason": reason})
    assert answer.status_code == 302, answer.content.decode()
    return do(Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2]))
