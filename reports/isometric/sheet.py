"""Sheets of an isometric: as large as the room allows, on more sheets where the labels of one would not fit."""

from dataclasses import dataclass

from reports.drawing import Shape, Words, moved
from reports.isometric.arrange import Arranged, arrange
from reports.isometric.drawn import Isometric
from reports.isometric.layout import Layout
from reports.isometric.parts import Part, halves
from reports.isometric.placement.flat import Box
from reports.isometric.scene import Placed, Scene, build
from reports.isometric.symbols import north_arrow
from reports.isometric.untangle import untangle

SCALES = (2.4, 1.9, 1.5, 1.2, 0.95, 0.75, 0.58, 0.45, 0.35)
MARGIN = 46.0  # for labels around the pipes
TRIED = 3  # scales for one part before it is taken apart
MOST_JOINTS = 60  # on one sheet
CORNER = (96.0, 66.0)  # the north arrow and the notes under it


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: what it draws, and its labels at their places."""

    part: Part
    scene: Scene
    arranged: Arranged
    corner: list[Shape]


def sheets(drawing: Isometric, room: Box) -> list[Sheet]:
    """Draw an isometric in a room, on as many sheets as it takes.

    room     left, top, right, bottom in points
    Returns  the sheets in the order of flow, none for a drawing without legs; if labels of a sheet find no room and
             it can't be taken apart any further, it says so and has `arranged.homeless` above nought
    """
    return _sheets(Part(drawing), room) if drawing.legs else []


def _sheets(part: Part, room: Box) -> list[Sheet]:
    found = None if len(part.drawing.welds) > MOST_JOINTS else _one(part, room)
    if found is not None and found.arranged.homeless == 0:
        return [found]
    two = halves(part)
    if two is None:
        return [found or _made(part, SCALES[-1], room)]
    return [sheet for half in two for sheet in _sheets(half, room)]


def _one(part: Part, room: Box) -> Sheet | None:
    """The part on one sheet at the largest scale that leaves no label homeless, or the best that was tried."""
    best: Sheet | None = None
    tried = 0
    for scale in SCALES:
        layout = _layout(part, scale)
        left, top, right, bottom = Placed(layout, part.drawing.legs, room).extent
        if right - left + 2 * MARGIN > room[2] - room[0] or bottom - top + 2 * MARGIN > room[3] - room[1]:
            continue
        made = _drawn(part, layout, room)
        if best is None or made.arranged.homeless < best.arranged.homeless:
            best = made
        tried += 1
        if best.arranged.homeless == 0 or tried == TRIED:
            break
    return best


def _layout(part: Part, scale: float) -> Layout:
    legs = [*part.drawing.legs, *part.ghosts]
    layout = Layout(legs, part.drawing.dimensions, scale)
    untangle(layout, legs)
    return layout


def _made(part: Part, scale: float, room: Box) -> Sheet:
    return _drawn(part, _layout(part, scale), room)


def _drawn(part: Part, layout: Layout, room: Box) -> Sheet:
    legs = [*part.drawing.legs, *part.ghosts]
    placed = Placed(layout, legs, room)
    scene = build(part.drawing, placed, part.ghosts)
    scene.fix((room[0], room[1], room[0] + CORNER[0], room[1] + CORNER[1]))
    arranged = arrange(part.drawing, placed, scene, room)
    return Sheet(part, scene, arranged, _corner(part.drawing, room, arranged.homeless))


def _corner(drawing: Isometric, room: Box, homeless: int) -> list[Shape]:
    left, top = room[0], room[1]
    says = f"{homeless} labels found no free place; take larger paper." if homeless else ""
    return [
        *moved(north_arrow((0.0, 0.0)), left + 6, top + 32),
        Words((left + 40, top + 14), "N", 9, face="bold"),
        Words((left + 2, top + 45), "Not to scale", 6.5, ink="small"),
        Words((left + 2, top + 54), f"Dimensions in {drawing.units}", 6.5, ink="small"),
        *([Words((left + 2, top + 63), says, 6.5, ink="stop")] if says else []),
    ]
