"""Record the steps of spools, one or thousands, once each."""

from collections.abc import Iterable, Sequence

from records.models import Job, SpoolStep, User
from records.models.shop import CHECK_RESULTS, STEPS
from records.refusals import Fault
from records.shop_recording import record_in_shop
from records.shop_refresh import refresh_spools

CHECK = "dimensional check"
# What somebody signs for takes the right to sign.
SIGNED = {CHECK: "examine", "released": "release"}


def record_spool_steps(drafts: Sequence[SpoolStep], *, job: Job, by: User) -> list[SpoolStep]:
    """Record steps of spools as they were taken; a draft sent again returns the stored record.

    drafts  each with the id made on the device, spool, step and day; a dimensional check with its result
    Raises  NotAllowed (role; a check and a release need the right to examine and to release), RecordClash, Implausible
    A step out of its order is recorded; the spool's page says so.
    """

    def follow(new: Sequence[SpoolStep]) -> None:
        refresh_spools(job, {one.spool_id for one in new})

    replaced = [one.replaces_id for one in drafts if one.replaces_id]
    before = list(SpoolStep.objects.filter(job=job, id__in=replaced)) if replaced else []
    verbs = ["record spool", *sorted({SIGNED[one.step] for one in (*drafts, *before) if one.step in SIGNED})]
    return record_in_shop(drafts, job=job, by=by, verbs=verbs, about="spool", check=faults, follow=follow)


def faults(draft: SpoolStep) -> Iterable[Fault]:
    """Yield what can't be: an unknown step, a dimensional check without a result, a result of anything else."""
    if draft.step not in STEPS:
        yield Fault("step", f"{draft.step!r} is no step of a spool.", ", ".join(STEPS))
    elif draft.step == CHECK and draft.result not in CHECK_RESULTS:
        yield Fault("result", "A dimensional check needs its result.", " or ".join(CHECK_RESULTS))
    elif draft.step != CHECK and draft.result:
        yield Fault("result", f"Only a dimensional check has a result, {draft.step} has none.", "no result")
