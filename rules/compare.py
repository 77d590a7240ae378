"""The one comparator that holds a record against a requirement; a phone has the same in its own tongue."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from itertools import pairwise
from operator import attrgetter
from typing import Any

from rules.finding import Requirement
from rules.terms import Measure, measure
from rules.units import GREATEST, LEAST

FULL_TURN, _HALF_TURN, _ENDLESS = Decimal(360), Decimal(180), Decimal("Infinity")


@dataclass(frozen=True, slots=True)
class Departure:
    """How a record departs from a requirement: what was measured, against which limit, on which side.

    bound   least or greatest for a range, else empty
    why     the reason of a "no" (allowed_until), else empty
    """

    measured: Any
    limit: Any
    bound: str = ""
    why: str = ""


Check = Callable[[Any], Departure | None]
Spacing = Callable[[Any, Sequence[Any]], Departure | None]
Departures = Sequence[tuple[Requirement, Departure]]


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """Requirements on records of one kind, and the one check that holds a record against all of them."""

    asked: tuple[Requirement, ...]
    departures: Callable[[Any], Departures]


def departs(requirement: Requirement, record: Any) -> Departure | None:
    """The record's departure from the requirement, or None: it holds, or the record does not say."""
    return check(requirement)(record)


def check(requirement: Requirement) -> Check:
    """The requirement made ready to hold many records against.

    Raises ValueError for a test that looks at several records: those are `dial_apart`, `order` and `count_at_least`.
    """
    if requirement.test not in _CHECKS:
        raise ValueError(f"A {requirement.test} requirement needs the records beside; use the function of that name.")
    return _CHECKS[requirement.test](requirement)


# A field and bounds between which its value departs from nothing; the check of a record silent of it, if any departs.
_Glance = tuple[str, Decimal, Decimal, Check | None]


def ready(asked: Iterable[Requirement]) -> Held:
    """Requirements made ready to hold many records against, all at once; most records depart from none.

    What hangs on single fields is looked at together first; only a record that departs is held against each by itself.
    """
    requirements = tuple(asked)
    checks = [(one, check(one)) for one in requirements]
    glances: list[_Glance] = []
    others: list[Check] = []
    for one, hold in checks:
        at_a_glance = _at_a_glance(one, hold)
        glances += at_a_glance
        others += [] if at_a_glance else [hold]

    def each(record: Any) -> Departures:
        return [(one, departure) for one, hold in checks if (departure := hold(record))]

    def departures(record: Any) -> Departures:
        for name, least, greatest, silent in glances:
            value = getattr(record, name)
            if value is None:
                if silent is not None and silent(record):
                    return each(record)
            elif not least <= value <= greatest:
                return each(record)
        for hold in others:
            if hold(record):
                return each(record)
        return ()

    return Held(requirements, departures)


def _at_a_glance(requirement: Requirement, hold: Check) -> list[_Glance]:
    """The fields that tell that most records do not depart; none where no field alone does."""
    if requirement.test != "range":
        return []
    match requirement.term:
        case ["field", name]:
            return [(name, *_closed(*requirement.bounds), None)]
        case ["first", ["field", name], *_]:
            return [(name, *_closed(*requirement.bounds), hold)]
        # The least of some is not under a bound where none of them is.
        case ["least", ["field", one], ["field", other]] if requirement.bounds[1] is None:
            return [(name, *_closed(*requirement.bounds), None) for name in (one, other)]
    return []


def _closed(least: Decimal | None, greatest: Decimal | None) -> tuple[Decimal, Decimal]:
    return -_ENDLESS if least is None else least, _ENDLESS if greatest is None else greatest


def applies(requirement: Requirement, record: Any) -> bool:
    """Whether the requirement speaks of this pass: its role, process and filler, where the requirement names them."""
    when = requirement.when
    told = {"pass": record.role, "process": record.process, "filler": record.filler_classification}
    return all(told[name] == value for name, value in when.items())


def _range(requirement: Requirement) -> Check:
    if requirement.term[0] == "over" and requirement.bounds[0] is None:
        return _at_most(requirement)
    value_of = measure(requirement.term)
    least, greatest = requirement.bounds

    def hold(record: Any) -> Departure | None:
        value = value_of(record)
        if value is None:
            return None
        if least is not None and value < least:
            return Departure(value, least, LEAST)
        if greatest is not None and value > greatest:
            return Departure(value, greatest, GREATEST)
        return None

    return hold


def _at_most(requirement: Requirement) -> Check:
    """A quotient that has a greatest value alone: only of a record that departs need it be divided."""
    above, below = map(measure, requirement.term[1:])
    greatest = requirement.bounds[1]

    def hold(record: Any) -> Departure | None:
        a, b = above(record), below(record)
        # As a product first; of what is below nothing the quotient is none, or its sign turns.
        if a is None or not b or (b > 0 and a <= greatest * b):
            return None
        value = a / b
        return Departure(value, greatest, GREATEST) if value > greatest else None

    match requirement.term:
        case [
            _,
            ["times", ["field", one], ["field", other], int(up)],
            ["times", ["first", ["field", by], *_], int(down)],
        ]:
            return _of_three_fields(attrgetter(one, other, by), Decimal(up), greatest * down, hold)
    return hold


def _of_three_fields(fields: Measure, factor: Decimal, most: Decimal, hold: Check) -> Check:
    """Two fields over a third, as heat input is: only where their product is over the most of it is more looked at."""

    def glance(record: Any) -> Departure | None:
        a, b, c = fields(record)
        if a is None or b is None or c is None or c <= 0 or a * b * factor > most * c:
            return hold(record)
        return None

    return glance


def _one_of(requirement: Requirement) -> Check:
    value_of = measure(requirement.term)
    accepted = {folded(one) for one in requirement.bounds}

    def hold(record: Any) -> Departure | None:
        value = value_of(record)
        if not value or folded(value) in accepted:
            return None
        return Departure(value, tuple(requirement.bounds))

    return hold


def _allowed_until(requirement: Requirement) -> Check:
    value_of = measure(requirement.term)

    def hold(record: Any) -> Departure | None:
        value = value_of(record)
        if not value:
            return None
        entry = requirement.bounds.get(value)
        if entry is None:
            return Departure(value, None, why=requirement.args.get("otherwise", ""))
        until: date | None = entry["until"]
        if entry["why"] and (until is None or record.done_on > until):
            return Departure(value, until, why=entry["why"])
        if until is not None and record.done_on > until:
            return Departure(value, until)
        return None

    return hold


def _requires(requirement: Requirement) -> Check:
    value_of = measure(requirement.term)

    def hold(record: Any) -> Departure | None:
        value = value_of(record)
        return None if value or value not in (None, "") else Departure("", requirement.bounds)

    return hold


_CHECKS: Mapping[str, Callable[[Requirement], Check]] = {
    "range": _range,
    "one_of": _one_of,
    "allowed_until": _allowed_until,
    "requires": _requires,
}


@lru_cache(maxsize=4096)
def folded(text: str) -> str:
    """A number or name without case and spaces, as two people may write it."""
    return "".join(text.split()).casefold()


def apart(one: Decimal, other: Decimal) -> Decimal:
    """Degrees between two places on the dial, the short way round: 350 and 10 are 20 apart."""
    difference = abs(one - other)
    if difference >= FULL_TURN:
        difference %= FULL_TURN
    return difference if difference <= _HALF_TURN else FULL_TURN - difference


def dial_apart(requirement: Requirement, record: Any, before: Sequence[Any]) -> Departure | None:
    """The least distance between this segment's start or stop and those of the pass before, if under the spacing."""
    return spaced(requirement)(record, before)


def spaced(requirement: Requirement) -> Spacing:
    """The spacing of a dial_apart requirement made ready to hold many segments against.

    bounds   [spacing in degrees]; term   the field's name, start_degrees or stop_degrees
    """
    place = attrgetter(requirement.term[1])
    least: Decimal = requirement.bounds[0]
    opposite = FULL_TURN - least

    def hold(record: Any, before: Sequence[Any]) -> Departure | None:
        here, nearest = place(record), least
        if here is None:
            return None
        for one in before:
            there = place(one)
            # Far apart whichever way round, as most are.
            if there is None or least <= abs(here - there) <= opposite:
                continue
            if (distance := apart(here, there)) < nearest:
                nearest = distance
        return Departure(nearest, least, LEAST) if nearest < least else None

    return hold


def out_of_order(requirement: Requirement, records: Sequence[Any]) -> tuple[Any, Any] | None:
    """The first two neighbours, by the record's own order, that stand against the order of the bounds."""
    rank = {name: place for place, name in enumerate(requirement.bounds)}
    value_of = measure(requirement.term)
    known = [one for one in sorted(records, key=attrgetter("order")) if value_of(one) in rank]
    return next((pair for pair in pairwise(known) if rank[value_of(pair[0])] > rank[value_of(pair[1])]), None)


def count_at_least(requirement: Requirement, records: Sequence[Any]) -> Departure | None:
    """The number of different values of the term among the records, if under the bounds' figure."""
    value_of = measure(requirement.term)
    count = len({value_of(one) for one in records})
    return Departure(count, requirement.bounds[0], LEAST) if count < requirement.bounds[0] else None
