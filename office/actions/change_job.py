"""Change the settings of a job, with a reason; every joint is judged again where they say so."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from zoneinfo import available_timezones

from django.db import transaction
from django.utils import timezone

from records import journal
from records.judging import judge_again
from records.locking import lock_plan
from records.models import Job, Joint, Route, User
from records.models.job import (
    CERTIFICATES_EDITIONS,
    CERTIFICATES_ROUNDINGS,
    FIRST_BATCHES,
    RECORDING,
    UNITS,
    WELDERS_EDITIONS,
)
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried
from rules.cut_length import FLANGE_EDITIONS
from rules.route.envelope import parse_envelope
from rules.units import UnitError

MOST_REPAIRS = 99
# What joints are judged by, and what the paper alone says.
_JUDGING = (
    "units", "construction_code", "edition", "welders_edition", "certificates_edition", "certificates_rounding",
    "first_batch", "time_zone", "recording", "repairs_max",
)  # fmt: skip
_CHOICES = (
    ("units", UNITS),
    ("recording", RECORDING),
    ("welders_edition", ("", *WELDERS_EDITIONS)),
    ("certificates_edition", ("", *CERTIFICATES_EDITIONS)),
    ("certificates_rounding", ("", *CERTIFICATES_ROUNDINGS)),
    ("first_batch", ("", *FIRST_BATCHES)),
    ("flanges_edition", ("", *FLANGE_EDITIONS)),
)


@dataclass(frozen=True, slots=True)
class JobSettings:
    """The settings of a job. The owner's specification and the demand for confirmed tables have pages of their own.

    repairs_max     repairs of one joint before it is flagged; None never flags
    """

    name: str
    client: str
    site: str
    units: str
    construction_code: str
    edition: str
    welders_edition: str
    certificates_edition: str
    certificates_rounding: str
    first_batch: str
    flanges_edition: str
    time_zone: str
    recording: str
    repairs_max: int | None
    second_factor_demanded: bool
    transport_envelope: str


def settings_of(job: Job) -> JobSettings:
    """Return the settings as they stand."""
    return JobSettings(**{name: getattr(job, name) for name in JobSettings.__slots__})


def units_held_by(job: Job) -> str:
    """What keeps the units of a job as they are, in words, or nothing: figures typed in them; one query or two."""
    if Joint.objects.filter(job=job).exists():
        return "joints stand, and every figure of them was typed and is judged in these"
    if Route.objects.filter(job=job).exists():
        return "routes stand, and numbers without a unit in them are read in these"
    return ""


@retried
def change_job(wanted: JobSettings, *, job: Job, by: User, reason: str) -> tuple[str, ...]:
    """Write the settings and the journal, and judge every joint again. Returns the names of what changed.

    Raises  NotAllowed (the second factor is for whoever manages people), Implausible (no reason, no name, units once
            joints stand, a time zone, unit system or recording level that there is none of)
    """
    require(by, job, "plan")
    with transaction.atomic():
        lock_plan(job, changes=True)
        stored = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        before = asdict(settings_of(stored))
        changed = tuple(name for name, value in asdict(wanted).items() if value != before[name])
        if not changed:
            return ()
        if "second_factor_demanded" in changed:
            require(by, job, "manage people")
        if faults := [*faults_of(wanted, stored, changed), *_unexplained(reason)]:
            raise Implausible.of(*faults)
        for name in changed:
            setattr(stored, name, getattr(wanted, name))
        stored.save(update_fields=changed)
        if set(changed) & set(_JUDGING):
            judge_again(stored, Joint.objects.filter(job=stored).values_list("id", flat=True), by=by)
        journal.append([stored], job=stored, by=by, at=timezone.now(), reason=reason.strip())
    return changed


def faults_of(wanted: JobSettings, job: Job, changed: tuple[str, ...]) -> Iterator[Fault]:
    """Yield what is wrong with settings.

    changed   the names of those that differ from how the job stands
    """
    for name, words in (("name", "A name"), ("construction_code", "A code of construction"), ("edition", "An edition")):
        if not getattr(wanted, name).strip():
            yield Fault(name, f"{words} is missing.", "a few words")
    if "units" in changed and (why := units_held_by(job)):
        yield Fault("units", f"The units stay {job.units}: {why}.", job.units)
    for name, known in _CHOICES:
        if (value := getattr(wanted, name)) not in known:
            told = f"There is no {name.replace('_', ' ')} “{value}”."
            yield Fault(name, told, ", ".join(one for one in known if one))
    if wanted.time_zone not in available_timezones():
        yield Fault("time_zone", f"There is no time zone “{wanted.time_zone}”.", "a name such as Europe/Oslo or UTC")
    if wanted.repairs_max is not None and not 0 <= wanted.repairs_max <= MOST_REPAIRS:
        yield Fault("repairs_max", f"{wanted.repairs_max} repairs can’t be.", f"0 to {MOST_REPAIRS}, or nothing")
    if wanted.transport_envelope:
        try:
            parse_envelope(wanted.transport_envelope, wanted.units)
        except UnitError as error:
            yield Fault("transport_envelope", str(error), "three lengths")


def _unexplained(reason: str) -> Iterator[Fault]:
    if not reason.strip():
        yield Fault("reason", "Say why the settings change.", "a few words")
