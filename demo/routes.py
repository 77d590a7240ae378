"""The invented routes of some sheets: how their pipe runs, with the numbers that their joints have."""

from collections.abc import Mapping
from decimal import Decimal

from demo.works import SIZE_OF_LINE, Row
from rules.gap import code_gap
from rules.route.geometry import shape_of
from rules.route.grammar import COLUMNS
from rules.route.parse import parse_route
from rules.route.parts import Setting
from rules.route.shape import RouteShape
from rules.route.step import Step
from rules.tables import given

# By drawing and sheet: the route, and the numbers of its joints along the flow.
ROUTES: dict[tuple[str, str], tuple[str, tuple[int, ...]]] = {
    ("OB-HO-301", "1"): (
        """
start at E 112' N 48' 6" EL 14'
flange 150 slip-on ; at the heater outlet
run north 5' 4"
elbow 90
run up 3' 6"
elbow 90
run east 8' 2"
continue on sheet 2
""",
        (1, 2, 3, 4, 5),
    ),
    ("OB-GL-202", "1"): (
        """
start at E 60' N 30' EL 9' 6"
flange 150 slip-on ; at the exchanger
run west 2' 6"
olet 1 sch 80 height 1-1/8 in socket ; drain
  branch down
  run down 1' 4"
  open end
  end branch
run west 2' 9"
elbow 90
run up 4'
elbow 90
run north 6' 8"
continue on sheet 2
""",
        (1, 6, 7, 2, 3, 4, 5),
    ),
    ("OB-GL-201", "3"): (
        """
continued from sheet 2
start at E 84' N 22' EL 16'
run east 3' 4"
offset 45 up 3' north 4' ; rolling: true offset 5', travel 7' 0-7/8"
run east 2' 10"
open end ; to the pump suction
""",
        (1, 2, 3, 4),
    ),
    ("OB-BR-101", "3"): (
        """
continued from sheet 2
start at E 40' N 12' EL 11'
run north 4'
elbow 45
run north 2' 6" up 2' 6"
field fit weld allowance 4 in
run north 1' 8" up 1' 8"
elbow 90
run east 5'
open end ; to the brine tank
""",
        (1, 2, 3, 4, 5),
    ),
    ("OB-BR-102", "2"): (
        """
continued from sheet 1
start at E 44' N 16' EL 10'
run south 3' 2"
elbow 90
run up 4' 6"
field weld
run up 3'
flange 150 slip-on
""",
        (1, 2, 3, 4),
    ),
}


def _laid(key: tuple[str, str]) -> tuple[tuple[Step, ...], RouteShape]:
    text, _ = ROUTES[key]
    line = key[0].removeprefix("OB-")
    nps, schedule = SIZE_OF_LINE[line]
    steps, faults = parse_route(text.strip(), "US")
    gap = given(code_gap(units="US").about_mm)
    shape = shape_of(steps, Setting(nps, schedule, units="US", socket_gap_mm=gap, spool_prefix=f"{line}-{key[1]}"))
    if faults or shape.faults:
        raise ValueError(f"{key}: {(*faults, *shape.faults)[0]}")
    return steps, shape


def route_rows() -> list[Row]:
    """The sheet Routes."""
    rows: list[Row] = []
    for (drawing, sheet), (_, numbers) in ROUTES.items():
        steps, shape = _laid((drawing, sheet))
        for place, step in enumerate(steps, start=1):
            joints = [str(number) for joint, number in zip(shape.joints, numbers, strict=True) if joint.line == place]
            row: Row = {"drawing": drawing, "sheet": sheet, "step": place, "item": step.item}
            row |= {name: step.texts.get(name) for name in COLUMNS}
            rows.append(row | {"note": step.note or None, "joints": ", ".join(joints) or None})
    return rows


def cut_lengths(drawing: str, sheet: str, joined: Mapping[str, tuple[str, str]]) -> dict[str, Decimal]:
    """The cut lengths of a routed sheet's pipes by their marks; empty without a route.

    joined   marks of the pieces that each joint joins, by its number
    """
    if (drawing, sheet) not in ROUTES:
        return {}
    _, shape = _laid((drawing, sheet))
    lengths = {pipe.mark: pipe.cut_mm for pipe in shape.pipes}
    found = {}
    for joint, number in zip(shape.joints, ROUTES[drawing, sheet][1], strict=True):
        for mine, theirs in zip((joint.piece_a, joint.piece_b), joined[str(number)], strict=True):
            if mine in lengths:
                found[theirs] = lengths[mine]
    return found
