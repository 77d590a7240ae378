"""The examiner's queue, and the way from one result to the next."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import HttpResponse, QueryDict
from django.shortcuts import render
from django.urls import reverse

from inspection.queries.examination_queue import (
    ORDERS,
    Due,
    DueJoint,
    QueueWanted,
    due_by_method,
    examination_queue,
    next_due,
)
from joints.next_step import EXAMINE, Steps
from joints.queries.names_to_choose import names_to_choose
from records.access import JobRequest, on_job
from records.models import Job, Joint
from records.models.joint import LOCATIONS
from records.paging import keys_asked

FROM_QUEUE = "queue"


@dataclass(frozen=True, slots=True)
class DueLine:
    """A joint of the queue with the address of its card, and each method with that of its form."""

    joint: DueJoint
    card: str
    dues: tuple[tuple[Due, str], ...]


@on_job(get="read")
def show_queue(request: JobRequest) -> HttpResponse:
    """Show one page of the joints that wait for an examination, each with its forms."""
    wanted = QueueWanted.read(request.GET)
    after, before = keys_asked(request.GET)
    given = wanted.given()
    steps = Steps(request.job, request.verbs)
    page = examination_queue(request.job, wanted, after=after, before=before)
    lines = names_to_choose(request.job)[0]
    context = {
        "page": page,
        "groups": [(group.head, [_with_forms(joint, steps, given) for joint in group.joints]) for group in page.groups],
        "counts": due_by_method(request.job, QueueWanted(location=wanted.location, line=wanted.line)),
        "wanted": wanted,
        "given": given,
        "asked": urlencode(given),
        "asked_beside_method": urlencode({name: value for name, value in given.items() if name != "method"}),
        "orders": ORDERS,
        "locations": LOCATIONS,
        "line_choices": lines,
    }
    return render(request, "inspection/examination_queue.html", context)


def after_this(job: Job, joint: Joint, method: str, query: QueryDict) -> tuple[str, str] | None:
    """Return the address and the words of what comes after a result that was reached from the queue, else None."""
    if FROM_QUEUE not in query:
        return None
    wanted = QueueWanted.read(query)
    found = next_due(job, joint, method, wanted)
    asked = urlencode(wanted.given())
    if found is None:
        return f"{reverse('examination-queue', args=[job.code])}?{asked}", "back to the queue: this is the last"
    key, name, following = found
    form = reverse("examination-record", args=[job.code, key, following])
    return f"{form}?{urlencode({FROM_QUEUE: 1, **wanted.given()})}", f"{following} of joint {name}"


def _with_forms(joint: DueJoint, steps: Steps, given: dict[str, str]) -> DueLine:
    more = urlencode({FROM_QUEUE: 1, **given})
    found = [(due, steps.next(joint.id, f"{EXAMINE}{due.method}", "").address) for due in joint.dues]
    return DueLine(joint, steps.card(joint.id), tuple((due, f"{form}?{more}" if form else "") for due, form in found))
