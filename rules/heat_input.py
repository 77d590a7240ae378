"""Arc energy and heat input of a pass."""

from decimal import Decimal

from rules.continuity import base_process
from rules.nearest import NotAccepted
from rules.source import Source, Verdict
from rules.tables import table
from rules.units import SI, shown

# As EN 1011-1 numbers the processes (ISO 4063), and as the trade names them.
_ALSO = {
    "121": "SAW", "111": "SMAW", "114": "FCAW", "136": "FCAW", "131": "GMAW", "135": "GMAW", "138": "GMAW",
    "141": "GTAW", "15": "PAW", "TIG": "GTAW", "MIG": "GMAW", "MAG": "GMAW", "MMA": "SMAW", "STICK": "SMAW",
}  # fmt: skip


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
    """The factor k of a process, by its name or its number (ISO 4063). Source: EN 1011-1.

    Raises    NotAccepted naming the accepted ones
    """
    factors = {row["process"]: Decimal(row["k"]) for row in table("heat_input_factors").rows}
    plain = base_process(process)
    found = factors.get(_ALSO.get(plain, plain))
    if found is None:
        raise NotAccepted(f'There is no heat-input factor for "{process}"', process, factors, more=", or give k")
    return found
