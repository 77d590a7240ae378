"""The least number of passes that a weld takes, from the most that one lays down in thickness."""

from decimal import ROUND_CEILING, Decimal

from rules.continuity import base_process
from rules.nearest import NotAccepted
from rules.source import Source, Verdict
from rules.tables import given, length_of, table
from rules.units import SI, show_length


def least_passes(
    thickness_mm: Decimal, process: str, *, layer_mm: Decimal | None = None, specified: int = 0, units: str = SI
) -> Verdict[int]:
    """The least number of passes: thickness over the most that one pass lays down, rounded up.

    thickness_mm  of the weld: the wall of a groove, the throat of a fillet
    layer_mm      most thickness of one pass by procedure or owner; None: of the process, by common practice
    specified     least number by procedure or owner, which no code sets; 0: none
    Raises        ValueError for a thickness that is not positive, or naming the accepted processes
    Source        common practice; each layer is taken as one pass, so that a wide weld takes more
    """
    most = layer_of(process, units) if layer_mm is None else layer_mm
    if thickness_mm <= 0 or most <= 0 or specified < 0:
        raise ValueError("Thickness and layer must be over 0 mm, and a number of passes from 0.")
    counted = int((thickness_mm / most).to_integral_value(ROUND_CEILING))
    least = max(counted, specified)
    steps = [f"{show_length(thickness_mm, units)} / {show_length(most, units)} a layer, rounded up = {counted}"]
    if specified:
        steps.append(f"at least {specified} by procedure or owner: {least}")
    notes = ["Each layer is taken as one pass: a wide weld takes more. No code sets this number."]
    if layer_mm is None:
        notes.append(
            f"{show_length(most, units)} a layer is common practice for {process.upper()}, not a code's figure."
        )
    return Verdict(least, tuple(steps), Source("common practice", state="practice"), tuple(notes))


def layer_of(process: str, units: str = SI) -> Decimal:
    """The most that one pass of a process lays down in thickness, in mm; raises ValueError naming the accepted ones."""
    rows = {row["process"]: row for row in table("deposition").rows}
    row = rows.get(base_process(process))
    if row is None:
        raise NotAccepted(f'There is no layer for "{process}"', process, rows)
    return given(length_of(row, "layer_most", units))
