"""The passes of a weld as a sequence: their order, their least number, and starts and stops apart on the dial."""

from collections.abc import Sequence
from decimal import Decimal
from itertools import groupby, pairwise
from typing import NamedTuple

from rules.attempts import is_repair
from rules.case import Case, found
from rules.codes import SEVERITY
from rules.compare import FULL_TURN, Departure, Spacing, count_at_least, out_of_order, spaced
from rules.facts import PassFacts, ProcedureFacts
from rules.finding import Finding, Requirement
from rules.fit_up import of_wps, wps
from rules.remember import Remembered
from rules.source import Source
from rules.specification import NOTHING, Bound, Owners, governing

ROOT = "root"
ROLES = (ROOT, "hot", "fill", "cap")
_PRACTICE = Source("common practice", state="practice")
_NO_PROCEDURE = object()
Together = tuple[Requirement | None, Sequence[Requirement]]
_together: Remembered[Together] = Remembered()


def requirements(procedure: ProcedureFacts | None, units: str, owners: Owners = NOTHING) -> list[Requirement]:
    """What is asked of the passes together."""
    least, apart = together(procedure, units, owners)
    return [pass_order(), *([least] if least else []), *apart]


def together(procedure: ProcedureFacts | None, units: str, owners: Owners) -> Together:
    """The least number of passes, if one is set, and the spacing of starts and of stops."""
    subject = procedure.number if procedure else ""
    least = governing(owners, "passes min", of_wps(procedure, "passes_min"), units)
    apart = governing(owners, "stop spacing min", of_wps(procedure, "stop_spacing_min_degrees"), units)
    return (
        enough(least, subject) if least and least.value else None,
        spacing(apart, subject) if apart and apart.value else (),
    )


def pass_order() -> Requirement:
    """That root, hot, fill and cap follow each other in this order."""
    return Requirement(
        id="pass-order",
        code="pass-order",
        record="pass",
        test="order",
        bounds=list(ROLES),
        source=_PRACTICE,
        term=["field", "role"],
        severity=SEVERITY["pass-order"],
        text_id="order",
        args={"label": "Order of passes", "subject": ""},
    )


def enough(bound: Bound, subject: str) -> Requirement:
    """The least number of passes."""
    least = int(bound.value)
    return Requirement(
        id="passes",
        code="too-few-passes",
        record="pass",
        test="count_at_least",
        bounds=[least],
        source=bound.source,
        term=["field", "order"],
        unit="passes",
        severity=SEVERITY["too-few-passes"],
        text_id="count",
        args={"label": "Passes", "least": str(least), "unit": "passes", "subject": subject},
        steps=bound.steps,
    )


def spacing(bound: Bound, subject: str) -> list[Requirement]:
    """How far the starts of neighbouring passes must lie apart on the dial, and likewise their stops."""
    least = bound.value
    return [
        Requirement(
            id=f"{name}s-apart",
            code="stops-stacked",
            record="pass",
            test="dial_apart",
            bounds=[least],
            source=bound.source,
            term=["field", f"{name}_degrees"],
            unit="°",
            severity=SEVERITY["stops-stacked"],
            text_id="dial",
            args={"label": name.capitalize(), "least": f"{least:f}", "unit": "°", "subject": subject},
            steps=bound.steps,
        )
        for name in ("start", "stop")
    ]


class Attempt(NamedTuple):
    """What is asked of the passes of one attempt together, as far as it can still depart from it.

    ordered    whether their roles and their numbers are known to be as they must
    least      how many there must be, None where no number is set or there are enough
    rootless   the procedure, where it has a root among others and a complete weld has none
    apart      how far their starts and stops must be from each other, ready to hold
    beside     the places of the passes' segments, those of neighbouring passes side by side
    pairs      each place of them with each beside it in the pass before
    """

    label: str
    ordered: bool
    least: Requirement | None
    rootless: ProcedureFacts | None
    apart: Sequence[tuple[Requirement, Spacing]]
    beside: Sequence[tuple[Sequence[int], Sequence[int]]]
    pairs: Sequence[tuple[int, int]]


def attempts(case: Case) -> tuple[Attempt, ...]:
    """What is asked of the passes of each live attempt that has any."""
    found_here = []
    for label in case.live:
        passes = _passes_of(case, label)
        if not passes:
            continue
        procedure = case.joint.procedure or passes[0].procedure
        key = (case.owners, case.job.units)
        least, apart = _together.get(procedure or _NO_PROCEDURE, key, together, procedure, case.job.units, case.owners)
        counts = not is_repair(label) and case.base_welded and case.job.recording != "joint"
        short = counts and least and count_at_least(least, passes)
        rootless = procedure if counts and procedure and _lacks_a_root(procedure, passes) else None
        ordered = not _out_of_order(case, label, passes)
        held = tuple((one, spaced(one)) for one in apart)
        beside = _beside(passes) if apart else ()
        pairs = tuple((here, before) for befores, heres in beside for here in heres for before in befores)
        found_here.append(Attempt(label, ordered, least if short else None, rootless, held, beside, pairs))
    return tuple(found_here)


def findings(case: Case, asked: Sequence[Attempt]) -> list[Finding]:
    """Order and number of passes, and stops on the dial, attempt by attempt.

    asked    what is asked of each attempt, as `attempts` has it
    """
    found_here: list[Finding] = []
    for one in asked:
        passes = _passes_of(case, one.label)
        if not one.ordered:
            found_here += _out_of_order(case, one.label, passes)
        if one.least:
            found_here += _too_few(case, one.label, one.least, passes)
        if one.rootless:
            found_here.append(_no_root(case, one.label, one.rootless, passes))
        if one.beside:
            found_here += _stacked(case, one, passes)
    return found_here


def _passes_of(case: Case, attempt: str) -> Sequence[PassFacts]:
    return [one for one in case.passes if one.attempt == attempt] if len(case.live) > 1 else case.passes


_ORDER = pass_order()
_RANK = {role: rank for rank, role in enumerate(ROLES)}


def _out_of_order(case: Case, attempt: str, passes: Sequence[PassFacts]) -> list[Finding]:
    rank, order = -1, -1
    for one in passes:
        place = _RANK.get(one.role, rank)
        if place < rank or one.order < order:
            break
        rank, order = place, one.order
    else:
        return []
    pair = out_of_order(_ORDER, passes)
    if pair is None:
        return []
    before, after = pair
    told = f"Pass {after.order} is a {after.role} pass and follows the {before.role} pass {before.order}."
    return [
        found(
            case,
            "pass-order",
            told,
            _ORDER.source,
            attempt=attempt,
            record=after.id,
            measured=f"{before.role}, {after.role}",
            limit=", ".join(ROLES),
        )
    ]


def _too_few(case: Case, attempt: str, asked: Requirement, passes: Sequence[PassFacts]) -> list[Finding]:
    departure = count_at_least(asked, passes)
    if departure is None:
        return []
    count, least = departure.measured, departure.limit
    told = f"{count} {'pass is' if count == 1 else 'passes are'} recorded, at least {least} ({asked.source})."
    return [
        found(
            case,
            "too-few-passes",
            told,
            asked.source,
            attempt=attempt,
            record=passes[-1].id,
            measured=str(count),
            limit=str(least),
            unit="passes",
            subject=asked.args["subject"],
            steps=asked.steps,
        )
    ]


def _lacks_a_root(procedure: ProcedureFacts, passes: Sequence[PassFacts]) -> bool:
    """Whether the procedure has a root and none is recorded among several passes: a weld in one may be called a cap."""
    has_one = any(row.role == ROOT for row in procedure.passes)
    return has_one and len(passes) > 1 and all(one.role != ROOT for one in passes)


def _no_root(case: Case, attempt: str, procedure: ProcedureFacts, passes: Sequence[PassFacts]) -> Finding:
    source = wps(procedure)
    return found(
        case,
        "too-few-passes",
        f"The weld is complete and no root pass is recorded, which {source} has.",
        source,
        attempt=attempt,
        record=passes[0].id,
        measured="none",
        limit="a root pass",
        subject=procedure.number,
    )


def _stacked(case: Case, asked: Attempt, passes: Sequence[PassFacts]) -> list[Finding]:
    """Starts or stops of a pass that lie on those of the pass before: one finding for each segment and end."""
    found_here: list[Finding] = []
    for places_before, here in () if _are_far(asked, passes) else asked.beside:
        before = [passes[place] for place in places_before]
        for requirement, hold in asked.apart:
            for place in here:
                if departure := hold(passes[place], before):
                    found_here.append(_too_near(case, requirement, passes[place], before[0].order, departure))
    return found_here


def _are_far(asked: Attempt, passes: Sequence[PassFacts]) -> bool:
    """Whether starts and stops are far enough from those beside, whichever way round one measures, as most are."""
    least: Decimal = asked.apart[0][0].bounds[0]
    most = FULL_TURN - least
    for here, before in asked.pairs:
        one, other = passes[here], passes[before]
        a, b = one.start_degrees, other.start_degrees
        if a is not None and b is not None and not least <= abs(a - b) <= most:
            return False
        a, b = one.stop_degrees, other.stop_degrees
        if a is not None and b is not None and not least <= abs(a - b) <= most:
            return False
    return True


def _beside(passes: Sequence[PassFacts]) -> tuple[tuple[Sequence[int], Sequence[int]], ...]:
    """The places of the segments of each two neighbouring passes."""
    places = sorted(range(len(passes)), key=lambda place: passes[place].order)
    groups = [tuple(group) for _, group in groupby(places, key=lambda place: passes[place].order)]
    return tuple(pairwise(groups))


def _too_near(case: Case, requirement: Requirement, one: PassFacts, other: int, departure: Departure) -> Finding:
    measured, limit = _degrees(departure.measured), _degrees(departure.limit)
    ends = f"{requirement.args['label'].lower()}s"
    told = (
        f"The {ends} of passes {other} and {one.order} are {measured}° apart, at least {limit}° ({requirement.source})."
    )
    return found(
        case,
        "stops-stacked",
        told,
        requirement.source,
        attempt=one.attempt,
        record=one.id,
        measured=measured,
        limit=limit,
        unit="°",
        subject=requirement.args["subject"],
        steps=requirement.steps,
    )


def _degrees(value: Decimal) -> str:
    return f"{value.quantize(Decimal('0.1')).normalize():f}"
