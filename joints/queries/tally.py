"""How far joints have come: counted, and in diameter-inches, by state."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from records.models import Joint
from rules.nps import diameter_inches, inches_shown
from rules.units import UnitError

# The order of a joint's life, as the strips and tables show it; withdrawn joints are no longer part of the job.
ORDER = ("released", "accepted", "rejected", "welded", "in progress", "fitted", "planned")


@dataclass(frozen=True, slots=True)
class Share:
    """The joints of one state: how many, their diameter-inches, and their part of a strip.

    start, percent  where the part begins and how wide it is, in percent of all joints
    """

    state: str
    joints: int
    inches: str
    start: float
    percent: float

    @property
    def hatch(self) -> str:
        """The name of the state's hatching."""
        return self.state.replace(" ", "-")


@dataclass(frozen=True, slots=True)
class Tally:
    """Joints by state, in the order of `ORDER`, with their totals; withdrawn ones are counted apart.

    whole, welded_inches  diameter-inches of all, and of those whose present attempt is welded
    """

    shares: tuple[Share, ...]
    joints: int
    inches: str
    released: int
    released_inches: str
    withdrawn: int
    whole: Fraction
    welded_inches: Fraction

    @property
    def released_percent(self) -> int:
        """The released part of all diameter-inches would hide small joints; this is of joints, rounded down."""
        return 100 * self.released // self.joints if self.joints else 0


# By state: joints, their diameter-inches, and those of them whose present attempt is welded.
Counts = dict[str, tuple[int, Fraction, Fraction]]
_NONE = (0, Fraction(0), Fraction(0))


def tally(joints: QuerySet[Joint]) -> Tally:
    """Count joints by state; one query, whose rows do not grow with the joints."""
    counted: Counts = {}
    for state, nps, count, welded in _grouped(joints, "state", "nps"):
        _add(counted, state, nps, count, welded)
    return _tally(counted)


def tally_with_sheets(joints: QuerySet[Joint]) -> tuple[Tally, Counter[UUID]]:
    """Count joints by state, and all of them by sheet, withdrawn ones too; one query."""
    counted: Counts = {}
    sheets: Counter[UUID] = Counter()
    for sheet, state, nps, count, welded in _grouped(joints, "sheet_id", "state", "nps"):
        sheets[sheet] += count
        _add(counted, state, nps, count, welded)
    return _tally(counted), sheets


def tally_by_line(line_ids: Iterable[UUID], joints: QuerySet[Joint] | None = None) -> dict[UUID, Tally]:
    """Count the joints of these lines by state; one query.

    joints  which of them count; all where left out
    """
    counted: dict[UUID, Counts] = defaultdict(dict)
    wanted = list(line_ids)
    of_lines = (Joint.objects.all() if joints is None else joints).filter(line_id__in=wanted)
    for line, state, nps, count, welded in _grouped(of_lines, "line_id", "state", "nps"):
        _add(counted[line], state, nps, count, welded)
    return {line: _tally(counted.get(line, {})) for line in wanted}


def _grouped(joints: QuerySet[Joint], *by: str) -> QuerySet[Joint, tuple]:
    is_welded = Q(welded_on__isnull=False)
    return joints.order_by().values_list(*by).annotate(count=Count("id"), welded=Count("id", filter=is_welded))


def _add(counted: Counts, state: str, nps: str, count: int, welded: int) -> None:
    joints, inches, done = counted.get(state, _NONE)
    counted[state] = joints + count, inches + inches_of(nps, count), done + inches_of(nps, welded)


def inches_of(nps: str, count: int) -> Fraction:
    """The diameter-inches of so many joints of a size.

    A size that can't be read adds no inches: the joint still counts, and a list must not fail for one row.
    """
    try:
        return diameter_inches([(nps, count)]).value
    except UnitError:
        return Fraction(0)


def _tally(counted: Counts) -> Tally:
    withdrawn = counted.get("withdrawn", _NONE)[0]
    standing = {state: counted.get(state, _NONE) for state in ORDER}
    joints = sum(count for count, _, _ in standing.values())
    inches = sum((found for _, found, _ in standing.values()), Fraction(0))
    welded = sum((done for _, _, done in standing.values()), Fraction(0))
    released, released_inches, _ = standing["released"]
    shares = []
    before = 0
    for state, (count, found, _) in standing.items():
        if count:
            shares.append(Share(state, count, inches_shown(found), _percent(before, joints), _percent(count, joints)))
            before += count
    told = inches_shown(inches), released, inches_shown(released_inches), withdrawn
    return Tally(tuple(shares), joints, *told, whole=inches, welded_inches=welded)


def _percent(part: int, whole: int) -> float:
    return round(100 * part / whole, 2)
