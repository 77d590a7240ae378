"""The page on which a record made in error is withdrawn."""

from uuid import UUID

from django.http import Http404, HttpResponse

from joints.actions.withdraw_records import withdraw_records
from joints.forms.withdraw_form import WithdrawForm
from joints.queries.find_joint import find_joint
from joints.queries.joint_history import Entry, History
from joints.views.record_page import record_page, sent
from records.access import JobRequest, on_job
from records.models import Joint


@on_job(get="withdraw", post="withdraw")
def withdraw(request: JobRequest, joint: UUID) -> HttpResponse:
    """Show the record that is to be withdrawn, and withdraw it with a reason."""
    asked = request.POST if request.method == "POST" else request.GET
    return withdrawing(request, joint, asked.get("kind", ""), asked.get("record", ""))


def withdrawing(request: JobRequest, joint: UUID, kind: str, record: str) -> HttpResponse:
    """Answer the form that withdraws a record of a joint. Raises Http404 where there is no such record."""
    found = find_joint(request.job, joint)
    entry = _entry(request, found, kind, record)
    form = WithdrawForm(sent(request), job=request.job, joint=found, kind=entry.kind, record=entry.id)
    return record_page(
        request,
        found,
        form,
        withdraw_records,
        told="Record withdrawn.",
        title="Withdraw a record",
        submit="Withdraw the record",
        entry=entry,
    )


def _entry(request: JobRequest, joint: Joint, kind: str, key: str) -> Entry:
    """The record as the card tells it. Raises Http404."""
    for entry in History(request.job, joint).entries:
        if (entry.kind, str(entry.id)) == (kind, key):
            return entry
    raise Http404("There is no such record.")
