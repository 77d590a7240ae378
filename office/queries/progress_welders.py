"""What each welder welded: joints, and the diameter-inches that are theirs."""

from dataclasses import dataclass, field
from datetime import timedelta
from fractions import Fraction
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from joints.queries.tally import inches_of
from records.clock import today_on
from records.models import Job, Joint, Stamp
from rules.nps import inches_shown

LATELY = timedelta(days=28)
SHARED = "A joint that several welders made counts as a joint of each, and its diameter-inches in equal parts."


@dataclass(slots=True)
class WelderProgress:
    """One stamp: the joints it welded on, its part of their diameter-inches, and that of the last four weeks."""

    stamp: str
    joints: int = 0
    inches: Fraction = field(default_factory=Fraction)
    lately: Fraction = field(default_factory=Fraction)
    id: UUID | None = None
    name: str = ""
    employer: str = ""

    @property
    def inches_shown(self) -> str:
        """Its part of the diameter-inches, as they are read."""
        return inches_shown(self.inches)

    @property
    def lately_shown(self) -> str:
        """That of the last four weeks."""
        return inches_shown(self.lately)


def welders_of(job: Job, of: QuerySet[Joint] | None = None) -> list[WelderProgress]:
    """Return the stamps of welded joints, whoever welded most first; two queries.

    of   which joints count; all of the job where left out
    The rows of the first are combinations of stamps and sizes, not joints.
    """
    since = today_on(job) - LATELY
    found: dict[str, WelderProgress] = {}
    counted = Joint.objects.filter(job=job) if of is None else of
    welded = counted.filter(welded_on__isnull=False).exclude(state="withdrawn").order_by()
    counts = welded.values_list("stamps", "nps").annotate(
        count=Count("id"), lately=Count("id", filter=Q(welded_on__gt=since))
    )
    for stamps, nps, count, lately in counts:
        codes = [one for one in stamps.split(", ") if one]
        for code in codes:
            one = found.setdefault(code, WelderProgress(code))
            one.joints += count
            one.inches += inches_of(nps, count) / len(codes)
            one.lately += inches_of(nps, lately) / len(codes)
    named = Stamp.objects.filter(job=job, code__in=["", *found]).values_list("code", "id", "welder__name", "employer")
    for code, key, name, employer in named:
        found[code].id, found[code].name, found[code].employer = key, name, employer
    return sorted(found.values(), key=lambda one: (-one.inches, one.stamp))
