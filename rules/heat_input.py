"""Arc energy and heat input of a pass."""

from decimal import Decimal

from rules.continuity import base_process
from rules.nearest import NotAccepted
from rules.source import Source, Verdict
from rules.tables import table


def arc_energy(volts: Decimal, amps: Decimal, travel_mm_min: Decimal) -> Verdict[Decimal]:
    """Arc energy in kJ/mm: V x A x 60 / travel, without efficiency.

    Raises    ValueError for a travel that is not positive
    Source    ASME BPVC Section IX QW-409.1(a)
    """
    if travel_mm_min <= 0:
        raise ValueError(f"A travel of {travel_mm_min} mm/min is not possible; it must be over 0.")
    energy = volts * amps * 60 / (travel_mm_min * 1000)
    step = f"{volts} V x {amps} A x 60 / ({travel_mm_min:.6g} mm/min x 1000) = {energy:.3f} kJ/mm"
    return Verdict(energy, (step,), Source("ASME BPVC Section IX", "", "QW-409.1(a)", "checked"))


def efficiency(process: str) -> Decimal:
    """The factor k of a process; raises ValueError naming the accepted ones. Source: EN 1011-1."""
    factors = {row["process"]: Decimal(row["k"]) for row in table("heat_input_factors").rows}
    found = factors.get(base_process(process))
    if found is None:
        raise NotAccepted(f'There is no heat-input factor for "{process}"', process, factors, more=", or give k")
    return found
