"""Read a model of piping that was sent in: find the routes it holds, and write nothing of the plan."""

from typing import Any

from django.core.files import File

from office.actions.sent_file import asked, kept_upload, local_copy
from office.importing.archive import Unreadable
from office.importing.ifc import MOST_BYTES, SUFFIX, read_model
from office.queries.imports import MODEL
from records.models import Job, User, Work
from records.permissions import require
from records.refusals import Implausible
from records.work import Tell

KIND = MODEL
ACCEPTED = f"a model of piping as an .ifc file (ISO 16739) of at most {MOST_BYTES // 1_000_000} MB"
# So many of each list are kept; a model with more is told to be sent in parts.
MOST_LISTED = 1_000


def ask_model(upload: "File[bytes]", name: str, *, job: Job, by: User) -> Work:
    """Keep a model that was sent in and write a row that asks for it to be read; a small one is read at once.

    Raises NotAllowed, Implausible (an ending that is not accepted, empty, too large)
    """
    require(by, job, "plan")
    return asked(KIND, model_asked, kept_upload(upload, name, (SUFFIX,), MOST_BYTES, ACCEPTED), job=job, by=by)


def model_asked(work: Work, tell: Tell) -> dict[str, Any]:
    """Read the model of a row; run again, it says the same. Raises Implausible where it can't be read"""
    tell("Reading the model")
    with local_copy(work) as path:
        try:
            found = read_model(path, work.job.units)
        except Unreadable as fault:
            raise Implausible(f"{path.name} {fault}.") from fault
    routes = [
        {
            "line": one.line,
            "text": one.text,
            "joints": one.joints,
            "faults": [f"line {fault.line}: {fault.message}" for fault in one.faults],
            "sizes": list(one.sizes),
            "begins": one.begins,
            "finishes": one.finishes,
        }
        for one in found.routes[:MOST_LISTED]
    ]
    return {
        "routes": routes,
        "more_routes": len(found.routes) - len(routes),
        "joints": sum(one.joints for one in found.routes),
        "unread": [{"part": one.part, "why": one.why} for one in found.unread[:MOST_LISTED]],
        "more_unread": max(0, len(found.unread) - MOST_LISTED),
        "taken": list(found.taken[:MOST_LISTED]),
        "more_taken": max(0, len(found.taken) - MOST_LISTED),
        "notices": list(found.notices[:MOST_LISTED]),
        "more_notices": max(0, len(found.notices) - MOST_LISTED),
        "units": work.job.units,
    }
