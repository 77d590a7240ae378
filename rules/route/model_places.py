"""Where the parts of a piping model bend, branch or narrow: centres of bends and tees, the shift of reducers."""

from collections.abc import Sequence
from decimal import Decimal

from rules.cut_length import end
from rules.nearest import NotAccepted
from rules.route.legs import tangent
from rules.route.model import (
    BEND,
    FLANGED,
    JUNCTION,
    NEAR_MM,
    OBSTRUCTION,
    TRANSITION,
    Model,
    Part,
    Port,
    Refused,
    ends_of,
    is_straight,
    look,
    other_port,
    outside,
)
from rules.route.parts import Style
from rules.route.shape import BUTT
from rules.route.vector import ZERO, Vector, angle_between
from rules.size_words import show_size
from rules.socket_fittings import socket_depth
from rules.units import SI

NEAR_DEGREES = 0.5
_NEAR_TAKEOUT_MM = Decimal(2)
_CAP_BY_LENGTH = (
    "The far face of a socket-welding cap is as far from its mouth as its property Length says, the end of its pipe"
    " being at the bottom of the socket."
)


def model_of(parts: Sequence[Part], units: str) -> Model:
    """Sort parts into those that a route can have and those that it can't, and find the centres of bends and tees.

    units  of the job: in them a refusal names sizes
    """
    model = Model({one.key: one for one in parts}, units)
    for part in parts:
        for port in part.ports:
            model.owners[port.key], model.ports[port.key] = part, port
    for part in parts:
        try:
            look(model, part)
        except Refused as refused:
            model.refuse(part, str(refused))
    # A tee's branch and a bend's turn need the directions of the parts they meet.
    for part in list(model.parts.values()):
        try:
            _place(model, part)
        except Refused as refused:
            model.refuse(part, str(refused))
    return model


def _place(model: Model, part: Part) -> None:
    if part.kind == BEND:
        model.centres[part.key] = _bend_centre(model, part)
    elif part.kind == JUNCTION:
        run, outlet, centre = tee_of(model, part)
        model.centres[part.key] = centre
        _check_sizes(model, part, run, outlet)
    elif part.kind == TRANSITION:
        _check_reducer(model, part)
    elif part.kind == OBSTRUCTION and part.ports[0].joined != FLANGED:
        cap_face(model, part)
    elif is_straight(part):
        _check_straight(model, part)


def _check_sizes(model: Model, part: Part, run: tuple[Port, Port], outlet: Port) -> None:
    """A tee's run keeps its size, and its outlet is no larger."""
    sizes = [model.size_at(part, one) for one in (*run, outlet)]
    if not all(sizes):
        raise Refused("The size of one of its ends is not said.")
    said = [show_size(one, model.units) for one in sizes]
    if sizes[0] != sizes[1]:
        raise Refused(f"Its run goes from {said[0]} to {said[1]}; a route has tees whose run keeps its size.")
    if outside(sizes[2]) > outside(sizes[0]):
        raise Refused(f"Its outlet {said[2]} is larger than its run {said[0]}; a route has none such.")


def _check_straight(model: Model, part: Part) -> None:
    """What goes straight must lie in line with the straight parts it meets."""
    one, two = ends_of(part)
    along = (two.at - one.at).unit()
    for port, direction in ((one, along), (two, -along)):
        ahead = model.inward(port)
        if ahead is not None and angle_between(ahead, direction) > NEAR_DEGREES:
            raise Refused(
                f"It doesn't lie in line with what it meets: the line turns by {angle_between(ahead, direction):.1f}°."
            )


def _bend_centre(model: Model, part: Part) -> Vector:
    """Where the axes of a bend's two sides meet."""
    one, two = part.ports
    first, second = model.inward(one), model.inward(two)
    if first is None and second is None:
        first, second = _by_axes(one, two)
    if first is None or second is None:
        known, port, far = (first, one, two) if first is not None else (second, two, one)
        assert known is not None
        centre = _mirrored(port.at, known, far.at)
    else:
        centre = _meeting(one.at, first, two.at, second)
    reach = (centre - one.at).length(), (centre - two.at).length()
    if abs(reach[0] - reach[1]) > NEAR_MM:
        raise Refused(f"Its two sides are {reach[0]:.1f} and {reach[1]:.1f} mm long; an elbow's are alike.")
    turn = angle_between(centre - one.at, two.at - centre)
    if turn > 90 + NEAR_DEGREES:
        raise Refused(f"It turns by {turn:.1f}°; accepted are turns up to 90°, by one elbow.")
    _check_radius(model, part, reach[0], turn)
    return centre


def _by_axes(one: Port, two: Port) -> tuple[Vector | None, Vector | None]:
    """The directions that the model gives the ports, turned into the bend; it meets no straight part."""
    if one.axis is None or two.axis is None:
        raise Refused("Nothing says in which direction its ends point: it meets no pipe, and its ports have no axis.")
    chord = two.at - one.at
    return tuple(axis if axis.dot(way) > 0 else -axis for axis, way in ((one.axis, chord), (two.axis, -chord)))  # type: ignore[return-value]


def _mirrored(at: Vector, ahead: Vector, far: Vector) -> Vector:
    """The place on an axis that is as far from its own end as from the other: where an elbow has its centre."""
    chord = far - at
    along = chord.dot(ahead)
    if along <= NEAR_MM:
        raise Refused("Its far end doesn't lie ahead of its near one.")
    return at + ahead.times(chord.dot(chord) / (2 * along))


def _meeting(one: Vector, first: Vector, two: Vector, second: Vector) -> Vector:
    """Where two axes meet, each from its end into the bend."""
    normal = first.cross(second)
    square = normal.dot(normal)
    if square < Decimal("1e-6"):
        raise Refused("The lines on its two sides are parallel; a bend turns.")
    chord = two - one
    ahead = chord.cross(second).dot(normal) / square
    back = chord.cross(first).dot(normal) / square
    apart = abs(chord.dot(normal)) / square.sqrt()
    if apart > NEAR_MM or ahead <= 0 or back <= 0:
        raise Refused("The lines on its two sides don't meet in one point ahead.")
    return one + first.times(ahead)


def _check_radius(model: Model, part: Part, reach: Decimal, turn: float) -> None:
    """A butt-welding bend has the radius of an elbow, or is none; a socket-welding one may be drawn to either face."""
    nps = model.size_at(part, part.ports[0])
    if not nps:
        raise Refused("Its size is not said, nor that of a pipe it meets.")
    if is_short(model, part, reach, turn):
        return
    try:
        long = end("elbow-45" if abs(turn - 45) < 1 else "elbow-90", nps, BUTT, "3000", SI).takeout_mm
    except NotAccepted:
        return
    if abs(turn - 90) >= 1 and abs(turn - 45) >= 1:
        long *= tangent(Decimal(repr(turn)) / 2)
    if reach > long + _NEAR_TAKEOUT_MM:
        raise Refused(
            f"It takes {reach:.1f} mm from its centre to its end, and a long-radius elbow {show_size(nps, model.units)}"
            f" {long:.1f} mm"
            " (ASME B16.9): a bend of another radius can't be written in a route."
        )


def is_short(model: Model, part: Part, reach: Decimal, turn: float) -> bool:
    """Whether a bend has the centre-to-end of a short-radius elbow of ASME B16.9."""
    nps = model.size_at(part, part.ports[0])
    if abs(turn - 90) >= 1 or not nps or Style(nps, "").joined != BUTT:
        return False
    try:
        short = end("elbow-90-short", nps, BUTT, "3000", SI).takeout_mm
        return abs(reach - short) <= _NEAR_TAKEOUT_MM
    except NotAccepted:
        return False


def cap_face(model: Model, part: Part) -> tuple[Vector, Decimal | None]:
    """The far face of a cap, and its length where a route must say it: no table here has that of a socket-welding one.

    The face is where the body of a model's cap ends, or as far from the end of the pipe as the tables or the cap's
    properties say.
    """
    (port,) = part.ports
    nps, ahead = model.size_at(part, port), model.inward(port)
    if not nps or ahead is None:
        raise Refused("Its size is not said, or it meets no straight part.")
    style = Style(nps, "")
    if style.joined == BUTT:
        try:
            return port.at + ahead.times(end("cap", nps, BUTT, style.rating, model.units).takeout_mm), None
        except NotAccepted as error:
            raise Refused(str(error)) from error
    depth = socket_depth(nps, style.rating, model.units)[0]
    found = [(one - port.at).dot(ahead) for one in part.reach]
    if found and (length := max(found) - min(found)) > depth and max(found) > NEAR_MM:
        return port.at + ahead.times(max(found)), length
    if part.length_mm is not None and part.length_mm > depth:
        model.notices[_CAP_BY_LENGTH] = None
        return port.at + ahead.times(part.length_mm - depth), part.length_mm
    raise Refused(
        "No table here has the length of a socket-welding cap, and of this the model gives neither a body longer than"
        f" its socket ({depth:.1f} mm) that can be measured, nor a property Length."
    )


def tee_of(model: Model, part: Part) -> tuple[tuple[Port, Port], Port, Vector]:
    """The two ports of a tee that lie in line, its outlet, and its centre."""
    for index, outlet in enumerate(part.ports):
        one, two = (port for place, port in enumerate(part.ports) if place != index)
        chord = two.at - one.at
        if chord.length() <= NEAR_MM:
            continue
        along = chord.unit()
        ahead, across = model.inward(one), model.inward(two)
        if ahead is not None and angle_between(ahead, along) > NEAR_DEGREES:
            continue
        if across is not None and angle_between(across, -along) > NEAR_DEGREES:
            continue
        centre = one.at + along.times((outlet.at - one.at).dot(along))
        reach = (outlet.at - centre).length()
        is_between = NEAR_MM < (centre - one.at).dot(along) < chord.length() - NEAR_MM
        if not is_between or reach <= NEAR_MM:
            continue
        way = model.inward(outlet)
        if way is not None and angle_between(way, (centre - outlet.at).unit()) > NEAR_DEGREES:
            continue
        return (one, two), outlet, centre
    raise Refused("No two of its three ends lie in line with the third square to them.")


def _check_reducer(model: Model, part: Part) -> None:
    one, two = part.ports
    sizes_said = model.size_at(part, one), model.size_at(part, two)
    if not all(sizes_said):
        raise Refused("The size of one of its ends is not said.")
    if sizes_said[0] == sizes_said[1]:
        raise Refused(f"It is a reducer whose two ends are both {show_size(sizes_said[0], model.units)}.")
    ahead, aside = narrowing(model, part, one)
    if ahead.length() <= NEAR_MM:
        raise Refused("Its two ends are at one place, so that it has no length.")
    if aside.length() <= NEAR_MM:
        return
    shift = abs(outside(sizes_said[0]) - outside(sizes_said[1])) / 2
    if abs(aside.length() - shift) > _NEAR_TAKEOUT_MM:
        raise Refused(
            f"Its ends are {aside.length():.1f} mm out of line; those of an eccentric reducer"
            f" {show_size(sizes_said[0], model.units, sizes_said[1])} are {shift:.1f} mm."
        )


def narrowing(model: Model, part: Part, entered: Port) -> tuple[Vector, Vector]:
    """How far a reducer goes along its axis and aside, from the port that the route enters."""
    far = other_port(part, entered)
    chord = far.at - entered.at
    axis = model.inward(entered)
    if axis is None and (back := model.inward(far)) is not None:
        axis = -back
    if axis is None:
        return chord, ZERO
    along = axis.times(chord.dot(axis))
    return along, chord - along
