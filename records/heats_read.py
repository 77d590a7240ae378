"""The heat that a joint stands on: the one last read off a side at fit-up, else the planned one."""

from collections.abc import Mapping
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce, Replace, Upper

from records.models import FitUp, Joint, Withdrawal
from rules.compare import folded

SIDES = ("a", "b")


def live_fit_ups() -> QuerySet[FitUp]:
    """Return the fit-ups that were neither corrected nor withdrawn."""
    gone = Withdrawal.objects.filter(kind="fitup", record=OuterRef("pk"))
    return FitUp.objects.filter(~Exists(gone), replaced_by__isnull=True)


def with_heats(joints: QuerySet[Joint]) -> QuerySet[Joint]:
    """Return joints with `read_a`, `read_b`, the numbers last read off, and `on_a`, `on_b`, those they stand on."""
    for side in SIDES:
        column = f"heat_{side}_read"
        read = live_fit_ups().filter(joint=OuterRef("pk")).exclude(**{column: ""})
        last = Subquery(read.order_by("-done_on", "-recorded_at", "-id").values(column)[:1])
        joints = joints.annotate(**{f"read_{side}": last})
        joints = joints.annotate(**{f"on_{side}": Coalesce(F(f"read_{side}"), F(f"heat_{side}__number"), Value(""))})
    return joints


def as_read(heats: Mapping[str, UUID]) -> dict[str, UUID]:
    """Return heats by number, and by number without case and spaces as `folded` has it; one written so comes first."""
    return {folded(number): heats[number] for number in sorted(heats)} | dict(heats)


def read_off(job: UUID, heats: Mapping[str, UUID]) -> dict[UUID, set[UUID]]:
    """Return, by heat, the joints off which its number was read at fit-up though it is planned for none of their sides.

    heats   of the job, by number
    One query.
    """
    found: dict[UUID, set[UUID]] = {heat: set() for heat in heats.values()}
    known = {_plain(number): heat for number, heat in heats.items()}
    # Two people may write a number with other case and spaces.
    plain = {f"plain_{side}": Upper(Replace(f"heat_{side}_read", Value(" "), Value(""))) for side in SIDES}
    reads = live_fit_ups().filter(job=job).annotate(**plain).filter(Q(plain_a__in=known) | Q(plain_b__in=known))
    columns = ("joint_id", "plain_a", "plain_b", "joint__heat_a_id", "joint__heat_b_id")
    for joint, read_a, read_b, *planned in reads.exclude(joint__state="withdrawn").values_list(*columns):
        for heat in (known.get(read_a), known.get(read_b)):
            if heat is not None and heat not in planned:
                found[heat].add(joint)
    return found


def _plain(number: str) -> str:
    return number.replace(" ", "").upper()
