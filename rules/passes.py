"""What each pass must show within procedure and specification: parameters, filler, order, number, stops apart."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, Decimal
from typing import Any

from rules import filler_size, pass_sequence
from rules.case import Case, found
from rules.codes import SEVERITY
from rules.compare import Departure, Held, departs, folded, ready
from rules.facts import PassFacts, ProcedureFacts, ProcedurePassFacts
from rules.finding import Finding, Requirement
from rules.fit_up import of_wps, wps
from rules.limits import between, listed, out_of, within
from rules.remember import Remembered
from rules.source import Source
from rules.specification import LIMITS, NOTHING, Owners, governing
from rules.units import LEAST, MM_PER_INCH, US

PARAMETERS = "parameters"
_TRAVEL = [
    "first",
    ["field", "travel_mm_min"],
    ["over", ["times", ["field", "length_mm"], 60], ["field", "arc_time_s"]],
]
# QW-409.1(a): V x A x 60 / travel in J/mm, here in kJ/mm; without efficiency factor.
HEAT_INPUT = ["over", ["times", ["field", "volts"], ["field", "amps"], 60], ["times", _TRAVEL, 1000]]

_EVERY: tuple[tuple[str, str, str, Any, str, str, tuple[str, ...]], ...] = (
    ("preheat", "preheat min", "preheat_min_c", ["field", "preheat_c"], "°C", "Preheat", ()),
    ("interpass", "interpass max", "interpass_max_c", ["field", "interpass_c"], "°C", "Interpass temperature", ()),
    (
        "heat-input", "heat input max", "heat_input_max_kj_mm", HEAT_INPUT, "kJ/mm", "Heat input",
        ("volts x amps x 60 / travel, without efficiency (QW-409.1(a))",),
    ),
)  # fmt: skip
_NO_PROCEDURE = object()
_KJ_PER_INCH, _EXACT = Decimal("0.01"), Decimal("0.00000001")
# Of what a procedure keeps of a heat input, in kJ/mm.
_HALF_A_PLACE = Decimal("0.00005")

_held: Remembered[Held] = Remembered()


def requirements(
    procedure: ProcedureFacts | None, units: str, recording: str, owners: Owners = NOTHING
) -> list[Requirement]:
    """All that a procedure and the owner ask of the passes of a joint, in the order of the pass table."""
    asked: list[Requirement] = []
    if procedure:
        for row, number in _numbered(procedure.passes):
            asked += of_row(procedure, row, number, units)
    asked += of_every_pass(procedure, units, owners)
    if recording == PARAMETERS and procedure:
        asked.append(amps_recorded())
    return asked + pass_sequence.requirements(procedure, units, owners)


def of_row(procedure: ProcedureFacts, row: ProcedurePassFacts, number: int, units: str) -> list[Requirement]:
    """What one row of the pass table asks: amps, volts, travel, the filler and its diameter."""
    suffix = row.role if number == 1 else f"{row.role}:{number}"
    alike = [one for one in procedure.passes if (one.role, one.process) == (row.role, row.process)]
    fillers = [one.filler for one in alike if one.filler]
    when = {"pass": row.role, "process": row.process}
    # Two fillers for one role have a row each: a row then speaks of its own filler only.
    own = when | ({"filler": row.filler} if len(alike) > 1 else {})
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
            when=own,
            subject=procedure.number,
        )
        for name, (field, least, greatest, unit, label) in named.items()
        if least is not None or greatest is not None
    ]
    if row is alike[0] and fillers:
        asked.append(_filler(procedure, row.role, suffix, fillers, when))
    return asked + filler_size.requirement(procedure, row, suffix, units)


def of_every_pass(procedure: ProcedureFacts | None, units: str, owners: Owners = NOTHING) -> list[Requirement]:
    """Preheat, interpass temperature and heat input, which hold for every pass."""
    subject, asked = procedure.number if procedure else "", []
    for id, name, field, term, unit, label, steps in _EVERY:
        bound = governing(owners, name, of_wps(procedure, field), units)
        if bound:
            if unit == "kJ/mm":
                bound = replace(bound, value=_as_typed(bound.value, units))
            least, greatest = (bound, None) if LIMITS[name].bound == LEAST else (None, bound)
            asked.append(
                within(
                    id, "pass-out-of-range", "pass", term, least, greatest, unit, label, units, steps=steps,
                    subject=subject,
                )
            )  # fmt: skip
    return asked


def _as_typed(most: Decimal, units: str) -> Decimal:
    """A greatest heat input without what keeping it in kJ/mm took off: 40 kJ/in is 1.57480315 kJ/mm, kept as 1.5748.

    A pass is worked out without rounding, and one at 40 kJ/in would be over that.
    """
    per_inch = (most * MM_PER_INCH).quantize(_KJ_PER_INCH)
    exact = (per_inch / MM_PER_INCH).quantize(_EXACT, ROUND_CEILING)
    if abs(exact - most) > _HALF_A_PLACE:
        return most
    return exact if units == US else max(exact, most)


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


def findings(case: Case, held: Sequence[Held | None]) -> list[Finding]:
    """Passes outside their procedure, one at a time.

    held    what is asked of each pass, as `held` has it
    """
    return [
        _departure(case, requirement, departure, one)
        for one, asked in zip(case.passes, held, strict=True)
        if asked
        for requirement, departure in asked.departures(one)
    ]


def held(case: Case, one: PassFacts) -> Held | None:
    """What is asked of a pass of this role, process and filler, ready to hold; None where nobody asks anything."""
    units, recording, owners = case.job.units, case.job.recording, case.owners
    procedure = one.procedure or case.joint.procedure
    if procedure is None and not owners:
        return None
    key = (one.role, one.process, one.filler_classification, units, recording, owners)
    return _held.get(procedure or _NO_PROCEDURE, key, _ready, procedure, one, units, recording, owners)


def _ready(procedure: ProcedureFacts | None, one: PassFacts, units: str, recording: str, owners: Owners) -> Held:
    """The requirements on a pass of this role, process and filler, ready to hold."""
    row_asked: list[Requirement] = []
    rows = [
        (row, number)
        for row, number in (_numbered(procedure.passes) if procedure else ())
        if (row.role, row.process) == (one.role, one.process)
    ]
    if procedure and rows:
        alike = [pair for pair in rows if folded(pair[0].filler) == folded(one.filler_classification)]
        row, _ = (alike or rows)[0]
        is_its_filler = filler_size.speaks_of(row, one)
        row_asked = [
            each for each in of_row(procedure, row, 1, units) if is_its_filler or each.term != filler_size.DIAMETER
        ]
    every = of_every_pass(procedure, units, owners)
    level = [amps_recorded()] if recording == PARAMETERS and procedure else []
    # Every pass that is held against these has this filler: one that is good needs no looking at.
    asked = (*row_asked, *every, *level)
    return ready(each for each in asked if each.test != "one_of" or departs(each, one))


def _departure(case: Case, requirement: Requirement, departure: Departure, one: PassFacts) -> Finding:
    if requirement.term == filler_size.DIAMETER:
        return filler_size.told(case, requirement, departure, one)
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


def _filler(
    procedure: ProcedureFacts, role: str, suffix: str, fillers: Sequence[str], when: dict[str, str]
) -> Requirement:
    return Requirement(
        id=f"filler:{suffix}",
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
