"""The heats that were read off the pieces of joints at fit-up; a joint stands on them, else on the planned ones."""

from collections.abc import Iterable, Mapping
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet, Value
from django.db.models.functions import Replace, Upper

from records.lookups import Keys
from records.models import FitUp, Heat, Withdrawal
from rules.compare import folded

SIDES = ("a", "b")


def live_fit_ups() -> QuerySet[FitUp]:
    """Return the fit-ups that were neither corrected nor withdrawn."""
    gone = Withdrawal.objects.filter(kind="fitup", record=OuterRef("pk"))
    return FitUp.objects.filter(~Exists(gone), replaced_by__isnull=True)


def heats_read(joints: Iterable[UUID]) -> dict[UUID, tuple[str, str]]:
    """Return, by joint, the numbers last read off its two sides at fit-up, "" where none was; one query.

    joints  at most some thousands; those without a fit-up are left out
    """
    found: dict[UUID, tuple[str, str]] = {}
    rows = live_fit_ups().filter(joint_id__among=Keys(joints)).order_by("done_on", "recorded_at", "id")
    for joint, *read in rows.values_list("joint_id", "heat_a_read", "heat_b_read"):
        before_a, before_b = found.get(joint, ("", ""))
        found[joint] = read[0] or before_a, read[1] or before_b
    return found


def as_read(heats: Mapping[str, UUID]) -> dict[str, UUID]:
    """Return heats by number, and by number without case and spaces as `folded` has it; one written so comes first."""
    return {folded(number): heats[number] for number in sorted(heats)} | dict(heats)


def heats_named(job: UUID, numbers: Iterable[str]) -> dict[str, Heat]:
    """Return the heats of a job that numbers mean which were read off, each by the number as it was read.

    Of two whose numbers differ in case or spaces alone, the one written so is meant. Their certificates come with them;
    one query where there are numbers.
    """
    wanted = {number: _plain(number) for number in numbers}
    if not wanted:
        return {}
    rows = Heat.objects.filter(job=job).annotate(plain=_plain_in("number")).filter(plain__in=set(wanted.values()))
    heats = {heat.id: heat for heat in rows.select_related("certificate")}
    known = as_read({heat.number: key for key, heat in heats.items()})
    meant = {number: known.get(number) or known.get(folded(number)) for number in wanted}
    return {number: heats[key] for number, key in meant.items() if key}


def read_off(job: UUID, heats: Mapping[str, UUID]) -> dict[UUID, set[UUID]]:
    """Return, by heat, the joints off which its number was read at fit-up though it is planned for none of their sides.

    heats   of the job, by number
    One query.
    """
    found: dict[UUID, set[UUID]] = {heat: set() for heat in heats.values()}
    known = {_plain(number): heat for number, heat in heats.items()}
    plain = {f"plain_{side}": _plain_in(f"heat_{side}_read") for side in SIDES}
    reads = live_fit_ups().filter(job=job).annotate(**plain).filter(Q(plain_a__in=known) | Q(plain_b__in=known))
    columns = ("joint_id", "plain_a", "plain_b", "joint__heat_a_id", "joint__heat_b_id")
    for joint, read_a, read_b, *planned in reads.exclude(joint__state="withdrawn").values_list(*columns):
        for heat in (known.get(read_a), known.get(read_b)):
            if heat is not None and heat not in planned:
                found[heat].add(joint)
    return found


def _plain_in(column: str) -> Upper:
    """A column as `_plain` has numbers: two people may write one with other case and spaces."""
    return Upper(Replace(column, Value(" "), Value("")))


def _plain(number: str) -> str:
    return folded(number).upper()
