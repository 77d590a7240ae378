"""The materials that a route plans its pieces in, and the joints that keep another one."""

from collections.abc import Iterable, Mapping, Sequence

from rules.materials import is_same_material, of_fitting
from rules.route.numbering import NEW, Numbered
from rules.route.shape import BY_LENGTH, FLANGES, HALF_COUPLING, OLET, PAD, PIPE, RouteShape


def planned_material(kind: str, of_pipe: str, *, has_class: bool) -> str:
    """What a piece of a kind is planned in beside the line's pipe; a forged fitting or flange has a class."""
    if kind in (PIPE, PAD):
        return of_pipe
    return of_fitting(of_pipe, is_forged=has_class or kind in (OLET, HALF_COUPLING, *FLANGES, *BY_LENGTH))


def materials_that_stay(
    joints: Sequence[Numbered], shape: RouteShape, standing: Mapping[str, tuple[str, str]], of_pipe: str
) -> tuple[str, ...]:
    """Sentences on joints that are planned in something else than the line's material asks now, and stay so.

    joints    as the route numbers them, with the marks of the sheet's pieces
    standing  the materials of both sides, by the number of each joint that the sheet has
    of_pipe   the line's material; nothing is told of a line without one
    """
    if not of_pipe:
        return ()
    kinds = {one.mark: (one.kind, bool(one.pressure_class)) for one in shape.components}
    told: dict[tuple[str, str], list[str]] = {}
    for one, place in zip(joints, shape.joints, strict=True):
        if one.fate == NEW:
            continue
        for mark, has in zip((place.piece_a, place.piece_b), standing[one.number], strict=True):
            kind, has_class = kinds.get(mark, (PIPE, False))
            asked = planned_material(kind, of_pipe, has_class=has_class)
            if not (has and is_same_material(has, asked)):
                numbers = told.setdefault((has, asked), [])
                numbers += [one.number] if one.number not in numbers else []
    return tuple(_said(numbers, *pair) for pair, numbers in told.items())


def _said(numbers: Iterable[str], has: str, asked: str) -> str:
    names = list(numbers)
    who = f"Joint {names[0]} stays" if len(names) == 1 else f"Joints {', '.join(names)} stay"
    planned = f"planned in {has}" if has else "planned without a material"
    return f"{who} {planned} where the line's material asks {asked}; the sheet Joints changes it, a route does not."
