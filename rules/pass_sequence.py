"""The passes of a weld as a sequence: their order, their least number, and starts and stops apart on the dial."""

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise
from operator import attrgetter

from rules.attempts import is_repair
from rules.case import Case, found
from rules.codes import SEVERITY
from rules.compare import Departure, count_at_least, dial_apart, out_of_order
from rules.facts import PassFacts, ProcedureFacts
from rules.finding import Finding, Requirement
from rules.fit_up import wps
from rules.remember import Remembered
from rules.source import Source

ROLES = ("root", "hot", "fill", "cap")
_BY_ORDER = attrgetter("order")
_PRACTICE = Source("common practice", state="practice")
_spacings: Remembered[list[Requirement]] = Remembered()
_enough: Remembered[Requirement] = Remembered()


def requirements(procedure: ProcedureFacts | None) -> list[Requirement]:
    """What is asked of the passes together."""
    asked = [pass_order()]
    if procedure and procedure.passes_min:
        asked.append(enough(procedure))
    if procedure and procedure.stop_spacing_min_degrees:
        asked += spacing(procedure)
    return asked


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


def enough(procedure: ProcedureFacts) -> Requirement:
    """The least number of passes."""
    least = procedure.passes_min or 0
    return Requirement(
        id="passes",
        code="too-few-passes",
        record="pass",
        test="count_at_least",
        bounds=[least],
        source=wps(procedure),
        term=["field", "order"],
        unit="passes",
        severity=SEVERITY["too-few-passes"],
        text_id="count",
        args={"label": "Passes", "least": str(least), "unit": "passes", "subject": procedure.number},
    )


def spacing(procedure: ProcedureFacts) -> list[Requirement]:
    """How far the starts of neighbouring passes must lie apart on the dial, and likewise their stops."""
    least = procedure.stop_spacing_min_degrees
    return [
        Requirement(
            id=f"{name}s-apart",
            code="stops-stacked",
            record="pass",
            test="dial_apart",
            bounds=[least],
            source=wps(procedure),
            term=["field", f"{name}_degrees"],
            unit="°",
            severity=SEVERITY["stops-stacked"],
            text_id="dial",
            args={"label": name.capitalize(), "least": f"{least:f}", "unit": "°", "subject": procedure.number},
        )
        for name in ("start", "stop")
    ]


def findings(case: Case) -> list[Finding]:
    """Order and number of passes, and stops on the dial, attempt by attempt."""
    found_here: list[Finding] = []
    for attempt in case.live:
        passes: Sequence[PassFacts] = case.passes
        if len(case.live) > 1:
            passes = [one for one in passes if one.attempt == attempt]
        if not passes:
            continue
        found_here += _out_of_order(case, attempt, passes)
        procedure = case.joint.procedure or passes[0].procedure
        if procedure is None:
            continue
        if procedure.passes_min and not is_repair(attempt) and case.base_welded and case.job.recording != "joint":
            found_here += _too_few(case, attempt, procedure, passes)
        if procedure.stop_spacing_min_degrees and len(passes) > 1:
            found_here += _stacked(case, procedure, passes)
    return found_here


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


def _too_few(case: Case, attempt: str, procedure: ProcedureFacts, passes: Sequence[PassFacts]) -> list[Finding]:
    departure = count_at_least(_enough.get(procedure, "", enough, procedure), passes)
    if departure is None:
        return []
    count, least = departure.measured, departure.limit
    told = f"{count} {'pass is' if count == 1 else 'passes are'} recorded, at least {least} ({wps(procedure)})."
    return [
        found(
            case,
            "too-few-passes",
            told,
            wps(procedure),
            attempt=attempt,
            record=passes[-1].id,
            measured=str(count),
            limit=str(least),
            unit="passes",
            subject=procedure.number,
        )
    ]


def _stacked(case: Case, procedure: ProcedureFacts, passes: Sequence[PassFacts]) -> list[Finding]:
    """Starts or stops of a pass that lie on those of the pass before: one finding for each segment and end."""
    groups: list[list[PassFacts]] = []
    for one in sorted(passes, key=_BY_ORDER):
        if groups and groups[-1][0].order == one.order:
            groups[-1].append(one)
        else:
            groups.append([one])
    spacings = _spacings.get(procedure, "", spacing, procedure)
    return [
        _too_near(case, requirement, one, before[0].order, departure)
        for before, here in pairwise(groups)
        for requirement in spacings
        for one in here
        if (departure := dial_apart(requirement, one, before))
    ]


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
    )


def _degrees(value: Decimal) -> str:
    return f"{value.quantize(Decimal('0.1')).normalize():f}"
