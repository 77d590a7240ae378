"""What each pass must show within its procedure: parameters, filler, order, number, and stops apart on the dial."""

from collections.abc import Sequence
from decimal import Decimal
from operator import attrgetter

from rules.attempts import is_repair
from rules.case import Case, found
from rules.codes import SEVERITY
from rules.compare import Check, Departure, check, count_at_least, dial_apart, out_of_order
from rules.facts import PassFacts, ProcedureFacts, ProcedurePassFacts
from rules.finding import Finding, Requirement
from rules.fit_up import wps
from rules.limits import between, listed, out_of
from rules.remember import Remembered
from rules.source import Source

ROLES = ("root", "hot", "fill", "cap")
PARAMETERS = "parameters"
_TRAVEL = [
    "first",
    ["field", "travel_mm_min"],
    ["over", ["times", ["field", "length_mm"], 60], ["field", "arc_time_s"]],
]
# QW-409.1(a): V x A x 60 / travel in J/mm, here in kJ/mm; without efficiency factor.
HEAT_INPUT = ["over", ["times", ["field", "volts"], ["field", "amps"], 60], ["times", _TRAVEL, 1000]]
_PRACTICE = Source("common practice", state="practice")

Held = tuple[tuple[Requirement, Check], ...]
_remembered: Remembered[Held] = Remembered()
_spacings: Remembered[list[Requirement]] = Remembered()
_enough: Remembered[Requirement] = Remembered()


def requirements(procedure: ProcedureFacts | None, units: str, recording: str) -> list[Requirement]:
    """All that a procedure asks of the passes of a joint, in the order of its pass table."""
    asked = [pass_order()]
    if procedure is None:
        return asked
    for row, number in _numbered(procedure.passes):
        asked += of_row(procedure, row, number, units)
    asked += of_every_pass(procedure, units)
    if recording == PARAMETERS:
        asked.append(amps_recorded())
    if procedure.passes_min:
        asked.append(enough(procedure))
    if procedure.stop_spacing_min_degrees:
        asked += spacing(procedure)
    return asked


def of_row(procedure: ProcedureFacts, row: ProcedurePassFacts, number: int, units: str) -> list[Requirement]:
    """What one row of the pass table asks: amps, volts, travel, and the filler."""
    suffix = row.role if number == 1 else f"{row.role}:{number}"
    when = {"pass": row.role, "process": row.process}
    named = {
        "amps": ("amps", row.amps_min, row.amps_max, "A", "Current"),
        "volts": ("volts", row.volts_min, row.volts_max, "V", "Voltage"),
        "travel": ("travel_mm_min", row.travel_min, row.travel_max, "mm/min", "Travel"),
    }
    asked = [
        between(
            f"{name}:{suffix}",
            "pass-out-of-range",
            "pass",
            _TRAVEL if name == "travel" else ["field", field],
            least,
            greatest,
            unit,
            wps(procedure),
            f"{label} of the {row.role} pass",
            units,
            when=when,
            subject=procedure.number,
        )
        for name, (field, least, greatest, unit, label) in named.items()
        if least is not None or greatest is not None
    ]
    fillers = [
        one.filler for one in procedure.passes if (one.role, one.process) == (row.role, row.process) and one.filler
    ]
    if fillers and number == 1:
        asked.append(_filler(procedure, row.role, fillers, when))
    return asked


def of_every_pass(procedure: ProcedureFacts, units: str) -> list[Requirement]:
    """Preheat, interpass temperature and heat input, which hold for every pass."""
    source, number = wps(procedure), procedure.number
    asked = []
    if procedure.preheat_min_c is not None:
        least, term = procedure.preheat_min_c, ["field", "preheat_c"]
        asked.append(
            between(
                "preheat",
                "pass-out-of-range",
                "pass",
                term,
                least,
                None,
                "°C",
                source,
                "Preheat",
                units,
                subject=number,
            )
        )
    if procedure.interpass_max_c is not None:
        most, term = procedure.interpass_max_c, ["field", "interpass_c"]
        label = "Interpass temperature"
        asked.append(
            between(
                "interpass", "pass-out-of-range", "pass", term, None, most, "°C", source, label, units, subject=number
            )
        )
    if procedure.heat_input_max_kj_mm is not None:
        most, steps = procedure.heat_input_max_kj_mm, ("volts x amps x 60 / travel, without efficiency (QW-409.1(a))",)
        asked.append(
            between(
                "heat-input",
                "pass-out-of-range",
                "pass",
                HEAT_INPUT,
                None,
                most,
                "kJ/mm",
                source,
                "Heat input",
                units,
                steps=steps,
                subject=number,
            )
        )
    return asked


def amps_recorded() -> Requirement:
    """That a job which records parameters has the current of each pass."""
    return Requirement(
        id="amps-recorded",
        code="pass-out-of-range",
        record="pass",
        test="requires",
        bounds=None,
        source=Source("job setting", clause="recording of parameters"),
        term=["field", "amps"],
        unit="A",
        severity=SEVERITY["pass-out-of-range"],
        text_id="requires",
        args={"label": "Current", "subject": ""},
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
    """Passes outside their procedure, one at a time, then as a sequence."""
    found_here: list[Finding] = []
    units, recording = case.job.units, case.job.recording
    for one in case.passes:
        procedure = one.procedure or case.joint.procedure
        if procedure is None:
            continue
        key = (one.role, one.process, one.filler_classification, units, recording)
        for requirement, hold in _remembered.get(procedure, key, _held, procedure, one, units, recording):
            if departure := hold(one):
                found_here.append(_departure(case, requirement, departure, one))
    found_here += _sequence(case)
    return found_here


def _held(procedure: ProcedureFacts, one: PassFacts, units: str, recording: str) -> Held:
    """The requirements on a pass of this role, process and filler, ready to hold."""
    row_asked: list[Requirement] = []
    rows = [
        (row, number)
        for row, number in _numbered(procedure.passes)
        if (row.role, row.process) == (one.role, one.process)
    ]
    if rows:
        alike = [pair for pair in rows if pair[0].filler.casefold() == one.filler_classification.casefold()]
        row, _ = (alike or rows)[0]
        row_asked = of_row(procedure, row, 1, units)
    every = of_every_pass(procedure, units)
    level = [amps_recorded()] if recording == PARAMETERS else []
    return tuple((requirement, check(requirement)) for requirement in (*row_asked, *every, *level))


def _departure(case: Case, requirement: Requirement, departure: Departure, one: PassFacts) -> Finding:
    if requirement.test == "range":
        label = requirement.args["label"].replace(f" of the {one.role} pass", "")
        return out_of(case, requirement, departure, one, f"{label} of pass {one.order} ({one.role})")
    if requirement.test == "one_of":
        accepted = listed([str(name) for name in departure.limit], "or")
        told = (
            f"Filler {departure.measured} in pass {one.order} ({one.role}); {requirement.source} asks for {accepted}."
        )
        measured, limit = str(departure.measured), accepted
    else:
        told = f"The current of pass {one.order} ({one.role}) is not recorded, and this job records parameters."
        measured, limit = "not recorded", "recorded"
    return found(
        case,
        requirement.code,
        told,
        requirement.source,
        attempt=one.attempt,
        record=one.id,
        measured=measured,
        limit=limit,
        unit=requirement.unit if measured == "not recorded" else "",
        subject=requirement.args["subject"],
    )


def _sequence(case: Case) -> list[Finding]:
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
            found_here += _stacked(case, attempt, procedure, passes)
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
    departure = count_at_least(_enough.get(procedure, "", enough, procedure), passes) if len(passes) < 8 else None
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


def _stacked(case: Case, attempt: str, procedure: ProcedureFacts, passes: Sequence[PassFacts]) -> list[Finding]:
    """Starts or stops of a pass that lie on those of the pass before: one finding for each segment and end."""
    before: dict[int, list[PassFacts]] = {}
    neighbours: list[PassFacts] = []
    here: list[PassFacts] = []
    for one in sorted(passes, key=attrgetter("order")):
        if here and here[-1].order != one.order:
            neighbours, here = here, []
        here.append(one)
        before[one.order] = neighbours
    found_here = []
    for requirement in _spacings.get(procedure, "", spacing, procedure):
        for one in passes:
            departure = dial_apart(requirement, one, before[one.order])
            if departure is None:
                continue
            measured, limit = _degrees(departure.measured), _degrees(departure.limit)
            end = requirement.args["label"].lower()
            other = before[one.order][0].order
            told = (
                f"The {end}s of passes {other} and {one.order} are {measured}° apart, "
                f"at least {limit}° ({requirement.source})."
            )
            found_here.append(
                found(
                    case,
                    "stops-stacked",
                    told,
                    requirement.source,
                    attempt=attempt,
                    record=one.id,
                    measured=measured,
                    limit=limit,
                    unit="°",
                    subject=procedure.number,
                )
            )
    return found_here


def _filler(procedure: ProcedureFacts, role: str, fillers: Sequence[str], when: dict[str, str]) -> Requirement:
    return Requirement(
        id=f"filler:{role}",
        code="filler-mismatch",
        record="pass",
        test="one_of",
        bounds=list(dict.fromkeys(fillers)),
        source=wps(procedure),
        term=["field", "filler_classification"],
        when=when,
        severity=SEVERITY["filler-mismatch"],
        text_id="filler",
        args={"label": f"Filler of the {role} pass", "subject": procedure.number},
    )


def _numbered(rows: Sequence[ProcedurePassFacts]) -> list[tuple[ProcedurePassFacts, int]]:
    """The rows of the pass table, each with its number among the rows of its role."""
    seen: dict[str, int] = {}
    numbered = []
    for row in rows:
        seen[row.role] = seen.get(row.role, 0) + 1
        numbered.append((row, seen[row.role]))
    return numbered


def _degrees(value: Decimal) -> str:
    return f"{value.quantize(Decimal('0.1')).normalize():f}"
