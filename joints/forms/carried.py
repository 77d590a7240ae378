"""What a form brings to a device, so that it tells without signal what the site would: requirements as data."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import Any

from joints.forms.quantities import DECIMAL_COMMA
from joints.measures import Measure
from joints.queries.joint_asks import Plan
from records.canonical import plain
from rules.finding import Requirement
from rules.reading import reading, shown_by
from rules.units import GREATEST, LEAST, unit_shown

# What looks at one record alone, and at starts and stops beside those of the pass before.
TESTS = frozenset({"range", "one_of", "requires", "allowed_until", "dial_apart"})
GROUPS = {"gaps_mm": ("gap_12_mm", "gap_3_mm", "gap_6_mm", "gap_9_mm")}
Lots = Mapping[str, tuple[str, Decimal | None]]


def carried(
    plan: Plan,
    kind: str,
    measures: Sequence[Measure],
    texts: Mapping[str, str],
    lots: Lots,
    people: Iterable[Requirement],
) -> dict[str, Any]:
    """Return as JSON what `static/js/asked.js` judges the form of a record by.

    kind      of the record: fit-up, pass, examination
    measures  its measured columns     texts  by column, the field of the form that says it
    lots      by key, classification and diameter in mm of each filler lot that can be chosen
    people    what is asked of stamps that may be typed
    """
    units = plan.job.units
    asked = [one for one in (*plan.requirements, *people) if one.record == kind and one.test in TESTS and one.term]
    return {
        "kind": kind,
        "reading": of_form(units),
        "requirements": [_told(one, units) for one in asked],
        "measures": {one.column: {"name": one.field, "unit": one.unit} for one in measures},
        "groups": {name: parts for name, parts in GROUPS.items() if parts[0] in {one.column for one in measures}},
        "texts": texts,
        "lots": {key: (name, None if mm is None else str(mm)) for key, (name, mm) in lots.items()},
    }


@lru_cache(maxsize=2)
def of_form(units: str) -> dict[str, Any]:
    """Return what it takes to read a figure typed into a form, with its decimal comma."""
    how = reading(units)
    # Python's digits are those of every script.
    how["patterns"]["comma"] = DECIMAL_COMMA.pattern.replace(r"\d", r"\p{Nd}")
    return how


def _told(one: Requirement, units: str) -> dict[str, Any]:
    args = one.args
    return {
        "code": one.code,
        "test": one.test,
        "term": plain(one.term),
        "bounds": plain(one.bounds),
        "when": dict(one.when),
        "severity": one.severity,
        "label": args.get("label", one.id),
        "unit": args.get("unit", unit_shown(one.unit, units)),
        "shown_by": shown_by(one.unit, units),
        "args": {bound: args[bound] for bound in (LEAST, GREATEST) if bound in args},
        "source": str(one.source),
        "sources": {bound: str(source) for bound, source in one.sources.items()},
    }
