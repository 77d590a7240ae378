"""The diameter of the filler of a pass against the one that its row of the procedure names."""

from decimal import Decimal

from rules.case import Case, found
from rules.codes import SEVERITY
from rules.compare import Departure, folded
from rules.facts import PassFacts, ProcedureFacts, ProcedurePassFacts
from rules.finding import Finding, Requirement
from rules.fit_up import wps
from rules.units import figure, show_length, unit_shown

# 3/32 in is sold as 2.4 and 2.5 mm, 0.045 in as 1.2 mm; the next size of the trade is at least 8 % away.
_ONE_SIZE = Decimal("1.05")
DIAMETER = ["field", "filler_diameter_mm"]
_STEP = "sizes within 5 % of each other are one, as 3/32 in and 2.5 mm (common practice)"


def requirement(procedure: ProcedureFacts, row: ProcedurePassFacts, suffix: str, units: str) -> list[Requirement]:
    """That filler of the row's classification has the row's diameter; nothing where the row names none.

    Source  the procedure; that an inch size and its metric neighbour are one, common practice
    """
    size = row.filler_diameter_mm
    if size is None:
        return []
    asked = figure(size, "mm", units)
    return [
        Requirement(
            id=f"filler-diameter:{suffix}",
            code="filler-mismatch",
            record="pass",
            test="range",
            bounds=[size / _ONE_SIZE, size * _ONE_SIZE],
            source=wps(procedure),
            term=DIAMETER,
            when={"pass": row.role, "process": row.process} | ({"filler": row.filler} if row.filler else {}),
            unit="mm",
            severity=SEVERITY["filler-mismatch"],
            text_id="range",
            args={
                "label": f"Filler diameter of the {row.role} pass", "unit": unit_shown("mm", units),
                "least": asked, "greatest": asked, "subject": procedure.number,
            },
            steps=(_STEP,),
        )
    ]  # fmt: skip


def speaks_of(row: ProcedurePassFacts, one: PassFacts) -> bool:
    """Whether the row is of the filler that was used: another classification is told by itself."""
    return not row.filler or folded(row.filler) == folded(one.filler_classification)


def told(case: Case, asked: Requirement, departure: Departure, one: PassFacts) -> Finding:
    """The finding: `Filler of pass 1 (root) is 1/8 in in diameter; WPS W-12 asks for 3/32 in.`"""
    units, limit = case.job.units, asked.args["greatest"]
    said = f"Filler of pass {one.order} ({one.role}) is {show_length(departure.measured, units)} in diameter; "
    return found(
        case,
        asked.code,
        f"{said}{asked.source} asks for {limit} {asked.args['unit']}.",
        asked.source,
        attempt=one.attempt,
        record=one.id,
        measured=figure(departure.measured, "mm", units),
        limit=limit,
        unit=asked.args["unit"],
        subject=asked.args["subject"],
        steps=asked.steps,
    )
