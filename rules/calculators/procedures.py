"""The calculator of procedures: whether one covers a joint, and if not, every reason."""

import re
from collections.abc import Sequence

from rules.acceptance import FILLET_KINDS
from rules.against_code import Asked as OfCode
from rules.against_code import short_of
from rules.calculators.asked import Answer, Asked
from rules.calculators.welders import JOINT_KINDS
from rules.facts import ProcedureFacts, ProcedurePassFacts
from rules.heating import TREATMENT_EDITIONS
from rules.pipe import parse_nps, pipe
from rules.procedure import covers
from rules.source import Source


def of_procedure(asked: Asked) -> Answer:
    """Whether a procedure covers a joint; what is not given on either side is not judged."""
    with asked.about("nps"):
        size = parse_nps(asked.text("nps"))
    with asked.about("schedule"):
        one = pipe(size, asked.text("schedule"))
    od, wall = one.od(asked.units), one.wall(asked.units)
    kind, procedure = asked.choice("joint_kind", JOINT_KINDS), _procedure(asked)
    sides = (asked.text("p", ""), asked.text("p_b", asked.text("p", "")))
    outside = covers(
        procedure,
        kind,
        od,
        wall,
        sides,
        position=asked.text("position", ""),
        process=asked.text("process", "").upper(),
        units=asked.units,
    )
    layers = asked.choice("layers", ("single", "multi")) if asked.has("layers") else ""
    edition = asked.text("edition", asked.edition if asked.edition in TREATMENT_EDITIONS else "2018")
    of_code = OfCode(
        edition=edition,
        thickness_mm=asked.length("thickness", wall),
        p_numbers=tuple(dict.fromkeys(side for side in sides if side)),
        units=asked.units,
        progression=asked.text("progression", ""),
        filler=asked.text("filler", ""),
        deposit_mm=None if kind in FILLET_KINDS else asked.maybe_length("deposit"),
        carbon=asked.maybe_number("carbon"),
        tensile_mpa=asked.maybe_strength("tensile"),
        several_layers=None if not layers else layers == "multi",
    )
    with asked.about("p"):
        outside = (*outside, *short_of(procedure, of_code))
    reasons = list(dict.fromkeys(map(str, outside)))
    held = [key for key in asked.values if key.startswith("wps_") and asked.has(key)]
    steps = [f"{key.removeprefix('wps_').replace('_', ' ')}: {asked.text(key)}" for key in held]
    source = Source("ASME B31.3", edition, "328.2", "memory")
    return Answer({"applicable": not reasons, "reasons": reasons}, steps or ["the procedure restricts nothing"], source)


def _procedure(asked: Asked) -> ProcedureFacts:
    """The procedure's ranges as facts; what is not given restricts nothing."""
    processes = _listed(asked, "wps_processes")
    return ProcedureFacts(
        number="procedure",
        revision="",
        p_numbers=_listed(asked, "wps_p"),
        p_numbers_b=_listed(asked, "wps_p_b"),
        processes=processes,
        passes=[ProcedurePassFacts("", "", filler) for filler in _listed(asked, "wps_fillers")],
        joint_kinds=_listed(asked, "wps_kinds"),
        thickness_min_mm=asked.maybe_length("wps_thickness_min"),
        thickness_max_mm=asked.maybe_length("wps_thickness_max"),
        deposit_max_mm=asked.maybe_length("wps_deposit_max"),
        outside_diameter_min_mm=asked.maybe_length("wps_od_min"),
        positions=_listed(asked, "wps_positions"),
        progression=asked.text("wps_progression", ""),
        preheat_min_c=asked.maybe_temperature("wps_preheat"),
        pwht=asked.text("wps_pwht", ""),
    )


def _listed(asked: Asked, key: str) -> Sequence[str]:
    return tuple(one for one in re.split(r"[,;\s]+", asked.text(key, "")) if one)
