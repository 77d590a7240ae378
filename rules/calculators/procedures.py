"""The calculator of procedures: whether one covers a joint, and if not, every reason."""

import re
from collections.abc import Sequence

from rules.acceptance import FILLET_KINDS
from rules.against_code import Asked as OfCode
from rules.against_code import short_of
from rules.calculators.asked import Answer, Asked
from rules.calculators.grouping import p_number, p_numbers, place, places, process, processes
from rules.calculators.sizes import pipe_of
from rules.calculators.welders import JOINT_KINDS
from rules.facts import ProcedureFacts, ProcedurePassFacts
from rules.heating import TREATMENT_EDITIONS
from rules.nearest import NotAccepted
from rules.procedure import SHORT_KINDS, covers
from rules.source import Source

PROGRESSIONS = ("up", "down", "uphill", "downhill", "upward", "downward")


def of_procedure(asked: Asked) -> Answer:
    """Whether a procedure covers a joint; what is not given on either side is not judged."""
    one = pipe_of(asked)
    od, wall = one.od(asked.units), one.wall(asked.units)
    kind, procedure = asked.choice("joint_kind", JOINT_KINDS), _procedure(asked)
    side = p_number(asked, "p")
    sides = (side, p_number(asked, "p_b") or side)
    outside = covers(
        procedure,
        kind,
        od,
        wall,
        sides,
        position=place(asked, "position"),
        process=process(asked, "process"),
        units=asked.units,
    )
    layers = asked.choice("layers", ("single", "multi")) if asked.has("layers") else ""
    edition = asked.text("edition", asked.edition if asked.edition in TREATMENT_EDITIONS else "2018")
    of_code = OfCode(
        edition=edition,
        thickness_mm=asked.length("thickness", wall),
        p_numbers=tuple(dict.fromkeys(side for side in sides if side)),
        units=asked.units,
        progression=asked.choice("progression", PROGRESSIONS, "up") if asked.has("progression") else "",
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
    return ProcedureFacts(
        number="procedure",
        revision="",
        p_numbers=p_numbers(asked, "wps_p"),
        p_numbers_b=p_numbers(asked, "wps_p_b"),
        processes=processes(asked, "wps_processes"),
        passes=[ProcedurePassFacts("", "", filler) for filler in _listed(asked, "wps_fillers")],
        joint_kinds=_kinds(asked),
        thickness_min_mm=asked.maybe_length("wps_thickness_min"),
        thickness_max_mm=asked.maybe_length("wps_thickness_max"),
        deposit_max_mm=asked.maybe_length("wps_deposit_max"),
        outside_diameter_min_mm=asked.maybe_length("wps_od_min"),
        positions=places(asked, "wps_positions"),
        progression=asked.choice("wps_progression", PROGRESSIONS, "up") if asked.has("wps_progression") else "",
        preheat_min_c=asked.maybe_temperature("wps_preheat"),
        pwht=asked.choice("wps_pwht", ("yes", "no")) if asked.has("wps_pwht") else "",
    )


def _kinds(asked: Asked) -> Sequence[str]:
    accepted = (*JOINT_KINDS, *SHORT_KINDS, "all")
    kinds = [one.lower() for one in _listed(asked, "wps_kinds")]
    with asked.about("wps_kinds"):
        for wrong in (one for one in kinds if one not in accepted):
            raise NotAccepted(f'There is no joint kind "{wrong}"', wrong, accepted)
    return kinds


def _listed(asked: Asked, key: str) -> Sequence[str]:
    return tuple(one for one in re.split(r"[,;\s]+", asked.text(key, "")) if one)
