"""Arc energy and heat input of a pass."""

from decimal import Decimal

from rules.continuity import base_process
from rules.nearest import NotAccepted
from rules.source import Source, Verdict
from rules.tables import table
from rules.units import SI, shown


def arc_energy(volts: Decimal, amps: Decimal, travel_mm_min: Decimal, units: str = SI) -> Verdict[Decimal]:
    """Arc energy in kJ/mm: V x A x 60 / travel, without efficiency.

    Raises    ValueError for a travel that is not positive
    Source    ASME BPVC Section IX QW-409.1(a)
    """
    if travel_mm_min <= 0:
        raise ValueError(f"A travel of {travel_mm_min} mm/min is not possible; it must be over 0.")
    energy = volts * amps * 60 / (travel_mm_min * 1000)
    travel = f"{travel_mm_min:.6g} mm/min" if units == SI else shown(travel_mm_min, "mm/min", units)
    step = f"{volts} V x {amps} A x 60 / ({travel} x 1000) = {show_energy(energy, units)}"
    return Verdict(energy, (step,), Source("ASME BPVC Section IX", "", "QW-409.1(a)", "checked"))


def show_energy(kj_per_mm: Decimal, units: str) -> str:
    """Energy by length in the job's units, to 0.001 kJ/mm or 0.01 kJ/in."""
    return f"{kj_per_mm:.3f} kJ/mm" if units == SI else shown(kj_per_mm, "kJ/mm", units)


def efficiency(process: str) -> Decimal:
    """The factor k of a process; raises ValueError naming the accepted ones. Source: EN 1011-1."""
    factors = {row["process"]: Decimal(row["k"]) for row in table("heat_input_factors").rows}
    found = factors.get(base_process(process))
    if found is None:
        raise NotAccepted(f'There is no heat-input factor for "{process}"', process, factors, more=", or give k")
    return found
