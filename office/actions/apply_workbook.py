"""Apply a workbook that was checked: write what its preview showed, all or nothing, once."""

from typing import Any

from django.db import IntegrityError, transaction

from office.actions.check_workbook import KEPT, ask_again, digest_of
from office.actions.sent_file import local_copy
from office.importing.workbook import Manner, Outcome, import_in_manner
from office.queries.imports import APPLY, CHECK
from office.queries.own_names import names_of
from records import work as works
from records.models import Job, User, Work
from records.permissions import require
from records.refusals import Fault, Implausible, RecordClash
from records.retrying import retried
from records.work import Tell

KIND = APPLY
LONGEST_REASON = 500


class Differs(Exception):
    """What an import would do now is not what its preview showed."""


@transaction.atomic
def ask_apply(check: Work, reason: str, *, job: Job, by: User) -> Work:
    """Write a row that applies a checked workbook, and return it at once; asked again, it returns the same row.

    reason  why rows of the plan change; needed where some do
    Raises  NotAllowed, Implausible (the check is not done, found faults or nothing to write, or no reason)
    """
    require(by, job, "plan")
    # Two who press at once wait for each other here.
    checked = Work.objects.select_for_update().get(id=check.id, job=job, kind=CHECK)
    before = Work.objects.filter(job=job, kind=KIND, arguments__check=str(check.id)).exclude(state="failed").first()
    if before:
        return before
    found = checked.result
    if checked.state != "done" or found["faults"] or not found["is_changed"]:
        raise Implausible("There is nothing to apply: the check is not done, found faults, or found nothing new.")
    reason = reason.strip()[:LONGEST_REASON]
    if found["changes"] and not reason:
        told = "Rows of the plan change; say why."
        raise Implausible.of(Fault("reason", told, "a few words"))
    said = {name: checked.arguments[name] for name in KEPT if name in checked.arguments}
    return works.ask(job, KIND, said | {"check": str(check.id), "digest": found["digest"], "reason": reason}, by=by)


def apply_asked(work: Work, tell: Tell) -> dict[str, Any]:
    """Write the workbook of a row; run again, it returns what was written.

    Where the job changed meanwhile, so that something else would be written than was shown, nothing is written: the
    result names a new check under `again`.
    Raises Lost where another worker has the row; NotAllowed, RecordClash, Busy
    """
    if work.result:
        return dict(work.result)
    try:
        return _applied(work, tell)
    except Differs:
        check = Work.objects.select_related("job").get(id=work.arguments["check"])
        return {"again": str(ask_again(check, by=work.asked_by).id)}
    except IntegrityError as error:
        raise RecordClash("Somebody wrote the same rows meanwhile, so nothing was written; apply it again.") from error


@retried
def _applied(work: Work, tell: Tell) -> dict[str, Any]:
    def found(outcome: Outcome) -> None:
        if digest_of(outcome, work.job) != work.arguments["digest"]:
            raise Differs

    with local_copy(work) as path, transaction.atomic():
        manner = Manner(reason=_reason(work), found=found, tell=tell, names=names_of(work))
        outcome = import_in_manner(path, work.job.code, manner, by=work.asked_by)
        result = {
            "counts": {sheet: one.new + one.changed for sheet, one in outcome.counts.items()},
            "entries": outcome.entries,
            "head": outcome.head,
        }
        works.keep(work, result)
    return result


def _reason(work: Work) -> str:
    """The name of the file, and why where somebody said it."""
    said = work.arguments["reason"]
    return f"import {work.arguments['name']}: {said}" if said else f"import {work.arguments['name']}"
