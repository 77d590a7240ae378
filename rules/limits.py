"""Limits as requirements, and the findings of records that depart from them, in the job's units."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from rules.case import Case, found
from rules.codes import SEVERITY
from rules.compare import Departure
from rules.explain import arithmetic
from rules.finding import Finding, Requirement
from rules.measurable import round_limit
from rules.source import Source
from rules.specification import Bound
from rules.units import GREATEST, LEAST, figure, figures_apart, unit_shown

_NEVER: Mapping[str, str] = {}


def between(
    id: str,
    code: str,
    record: str,
    term: Any,
    least: Decimal | None,
    greatest: Decimal | None,
    unit: str,
    source: Source,
    label: str,
    units: str,
    *,
    when: Mapping[str, str] = _NEVER,
    steps: tuple[str, ...] = (),
    severity: str = "",
    rounded: bool = False,
    shown_greatest: Decimal | None = None,
    subject: str = "",
) -> Requirement:
    """A requirement that a value lies between two bounds, either of which may be open.

    unit      of the bounds: mm, °C, A, V, mm/min, kJ/mm
    label     how a sentence begins, for example "Gap"
    rounded   a computed length, shown as one can measure it: least up to the next 1/32 in or 0.5 mm, greatest down
    shown_greatest  the greatest value as it is shown, where that is rounded otherwise
    """
    args = {"label": label, "unit": unit_shown(unit, units), "subject": subject}
    for bound, value in ((LEAST, least), (GREATEST, greatest if shown_greatest is None else shown_greatest)):
        if value is not None:
            args[bound] = figure(round_limit(value, bound, units) if rounded else value, unit, units)
    return Requirement(
        id=id,
        code=code,
        record=record,
        test="range",
        bounds=[least, greatest],
        source=source,
        term=term,
        when=when,
        unit=unit,
        severity=severity or SEVERITY[code],
        text_id="range",
        args=args,
        steps=steps,
    )


def out_of(case: Case, requirement: Requirement, departure: Departure, record: Any, what: str = "") -> Finding:
    """The finding of a record whose value lies outside: `Gap 3/16 in, at most 1/8 in (WPS W-11).`

    what    how the sentence begins, where the requirement's own label is not enough
    """
    args = requirement.args
    measured, exact, missed = figures_apart(departure.measured, departure.limit, requirement.unit, case.job.units)
    limit, unit = args[departure.bound], args["unit"]
    word = "at least" if departure.bound == LEAST else "at most"
    short = departure.bound == LEAST
    by = f"{_with(measured, unit)} is {_with(missed, unit)} {'under' if short else 'over'} {_with(exact, unit)}"
    source = requirement.source_of(departure.bound)
    told = f"{what or args['label']} {_with(measured, unit)}, {word} {_with(limit, unit)} ({source})."
    if remedy := args.get("remedy"):
        told = f"{told} {remedy}"
    return found(
        case,
        requirement.code,
        told,
        source,
        attempt=record.attempt,
        record=record.id,
        measured=measured,
        limit=limit,
        unit=unit,
        subject=args["subject"],
        steps=(*requirement.steps, *arithmetic(requirement.term, record, requirement.unit, case.job.units), by),
        severity=requirement.severity,
    )


def within(
    id: str,
    code: str,
    record: str,
    term: Any,
    least: Bound | None,
    greatest: Bound | None,
    unit: str,
    label: str,
    units: str,
    *,
    when: Mapping[str, str] = _NEVER,
    rounded: bool = False,
    shown_greatest: Decimal | None = None,
    steps: tuple[str, ...] = (),
    subject: str = "",
) -> Requirement:
    """A requirement between two bounds that each have a source of their own; at least one is given.

    The rest as in `between`.
    """
    given = [one for one in (least, greatest) if one]
    requirement = between(
        id,
        code,
        record,
        term,
        least.value if least else None,
        greatest.value if greatest else None,
        unit,
        given[0].source,
        label,
        units,
        when=when,
        steps=(*dict.fromkeys(step for one in given for step in one.steps), *steps),
        rounded=rounded,
        shown_greatest=shown_greatest,
        subject=subject,
    )
    if not least or not greatest or least.source == greatest.source:
        return requirement
    tables = tuple(dict.fromkeys((*least.source.tables, *greatest.source.tables)))
    name = f"{least.source} (least), {greatest.source} (greatest)"
    return replace(
        requirement, source=Source(name, tables=tables), sources={LEAST: least.source, GREATEST: greatest.source}
    )


def shown_bounds(requirement: Requirement) -> str:
    """A range as a person reads it: `1/16 in to 1/8 in`, `at least 7/32 in`, `at most 350 °F`, or empty where open."""
    args = requirement.args
    least, greatest, unit = args.get(LEAST), args.get(GREATEST), args.get("unit", "")
    if least and greatest:
        return f"{least} to {_with(greatest, unit)}" if least != greatest else _with(least, unit)
    if least or greatest:
        return f"at least {_with(least, unit)}" if least else f"at most {_with(greatest or '', unit)}"
    return args.get("figure", "")


def listed(names: Sequence[str], joiner: str = "and") -> str:
    """Names as a sentence lists them: `a, b and c`."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {joiner} {names[-1]}"


def _with(value: str, unit: str) -> str:
    return f"{value} {unit}".rstrip()
