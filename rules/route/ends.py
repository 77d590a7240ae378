"""What each side of a fitting takes of the distance, and how it is joined there: from the tables of cut lengths."""

from dataclasses import dataclass, replace
from decimal import Decimal

from rules.cut_length import FLANGE_EDITIONS, End, end
from rules.nearest import NotAccepted
from rules.pipe import pipe
from rules.route import shape
from rules.route.legs import Refused, tangent
from rules.route.parts import Fit, Style
from rules.route.shape import BOLTED, BUTT, ELBOWS, SOCKET
from rules.route.vector import Vector, angle_between
from rules.size_words import show_size, typed_size
from rules.socket_fittings import SOCKET_CLASSES, socket_depth
from rules.source import Source
from rules.units import US

# Those of ASME B16.5 (from memory); the tables here have the lengths of the first two.
FLANGE_CLASSES = ("150", "300", "400", "600", "900", "1500", "2500")
_LISTED_FLANGES = FLANGE_CLASSES[:2]
INWARD, OUTWARD, OUTLET = "in", "out", "outlet"
_ROUTE, _PRACTICE = Source("the route"), Source("common practice", state="practice")
_NIL = Decimal(0)
# An elbow is made to 90 or 45; what the route turns besides must be named.
_SAME_ANGLE = 1e-6
_MOST_ASKEW = 1.0


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a fitting: its end as cut lengths take it, how it is joined, and the kind of joint that makes."""

    end: End
    joined: str
    style: Style
    joint: str = ""

    @property
    def takeout_mm(self) -> Decimal:
        """From the centre, or the far face, to the end."""
        return self.end.takeout_mm


class Ends:
    """The sides of fittings, by the figures of the job's unit system and its edition of the flanges."""

    def __init__(self, units: str, flanges_edition: str = FLANGE_EDITIONS[0]) -> None:
        self.units, self.flanges_edition = units, flanges_edition

    def side(self, fit: Fit, which: str) -> Side:
        """The side of a fitting where the route comes in, goes out, or a branch leaves.

        Raises    Refused, naming the fitting's line
        """
        try:
            return self._side(fit, which)
        except NotAccepted as error:
            raise Refused(fit.step, str(error), "class" if fit.kind in shape.FLANGES else "NPS") from error

    def _side(self, fit: Fit, which: str) -> Side:
        if fit.kind in ELBOWS:
            return self._elbow(fit)
        if fit.kind == shape.TEE:
            return self._tee(fit, which)
        if fit.kind in (shape.OLET, shape.HALF_COUPLING, shape.PAD):
            return self._on_pipe(fit)
        if fit.kind == shape.COUPLING:
            return self._welded(self._table("coupling", fit.style, SOCKET), SOCKET, fit.style)
        if fit.kind == shape.CAP:
            return self._cap(fit)
        if fit.kind in shape.FLANGES:
            return self._flange(fit, which)
        return self._by_length(fit, which)

    def _table(self, name: str, style: Style, joined: str) -> End:
        return end(name, style.nps, joined, style.rating, self.units)

    def _welded(self, one: End, joined: str, style: Style) -> Side:
        joined = joined or style.joined
        return Side(one, joined, style, joined)

    # --- elbows and tees ---

    def _elbow(self, fit: Fit) -> Side:
        style, joined = fit.style, fit.style.joined
        turn = angle_of(fit)
        if fit.step.kind == "short" and abs(turn - 90) > _SAME_ANGLE:
            raise Refused(fit.step, f"A short elbow turns by 90°, and the route turns by {turn:.2f}° here.", "kind")
        for degrees, name in ((90, "elbow-90"), (45, "elbow-45")):
            if abs(turn - degrees) <= _MOST_ASKEW:
                name = "elbow-90-short" if fit.step.kind == "short" else name
                fit.kind = name
                return self._welded(end(name, style.nps, joined, style.rating, self.units), joined, style)
        if joined == SOCKET:
            told = f"Socket-welding elbows turn by 90° or 45°, and the route turns by {turn:.2f}° here"
            raise Refused(fit.step, f"{told}; accepted are those two.", "angle")
        whole = end("elbow-90", style.nps, BUTT, style.rating, self.units)
        fit.kind = shape.ELBOW_CUT
        taken = whole.takeout_mm * tangent(Decimal(repr(turn)) / 2)
        return Side(End(shape.ELBOW_CUT, taken, None, whole.source), BUTT, style, BUTT)

    def _tee(self, fit: Fit, which: str) -> Side:
        style = fit.style
        if which != OUTLET:
            return self._welded(end("tee", style.nps, style.joined, style.rating, self.units), "", style)
        second = fit.second or style
        if fit.step.length_mm is not None:
            return self._welded(End("tee-outlet", fit.step.length_mm, self._depth(second), _ROUTE), "", second)
        if style.joined == SOCKET:
            # Reducing tees have the dimensions of their largest end.
            one = end("tee", style.nps, SOCKET, style.rating, self.units)
            return self._welded(End(one.name, one.takeout_mm, self._depth(second), one.source), SOCKET, second)
        if second.nps != style.nps:
            told = f"No table here has the outlet of a tee {show_size(style.nps, self.units, second.nps)}"
            written = f"tee {typed_size(second.nps, self.units)} outlet 98 mm"
            raise Refused(fit.step, f"{told}; write its take-out: {written}.", "NPS")
        return self._welded(end("tee-outlet", style.nps, BUTT, style.rating, self.units), BUTT, second)

    def _cap(self, fit: Fit) -> Side:
        style, length = fit.style, fit.step.length_mm
        if length is None and style.joined == SOCKET:
            raise self._no_length(fit, "a socket-welding cap", 'length 1-3/8"', "length 35")
        if length is None:
            return self._welded(end("cap", style.nps, BUTT, style.rating, self.units), BUTT, style)
        return self._welded(self._of_length("cap", length, style), "", style)

    def _of_length(self, name: str, length: Decimal, style: Style) -> End:
        """The end of a fitting that has a written length from its face; in a socket the pipe goes in by the depth."""
        depth = self._depth(style)
        return End(name, length - (depth or _NIL), depth, _ROUTE)

    def _no_length(self, fit: Fit, what: str, inches: str, mm: str) -> Refused:
        example = inches if self.units == US else mm
        told = f"The length of {what} stands in no table here"
        return Refused(fit.step, f"{told}; write it behind, for example {example}.")

    def _depth(self, style: Style) -> Decimal | None:
        if style.joined != SOCKET:
            return None
        return socket_depth(style.nps, style.rating, self.units)[0]

    # --- what is set on a pipe ---

    def _on_pipe(self, fit: Fit) -> Side:
        header, second = pipe(fit.style.nps, fit.style.schedule), fit.second or fit.style
        half = header.od(self.units) / 2
        if fit.kind == shape.OLET:
            taken = half + (fit.step.length_mm or _NIL)
            return self._welded(End("olet", taken, self._depth(second), _ROUTE), second.joined, second)
        if fit.kind == shape.HALF_COUPLING:
            one = end("half-coupling", second.nps, SOCKET, second.rating, self.units)
            return self._welded(End(one.name, half + one.takeout_mm, one.depth_mm, one.source), SOCKET, second)
        taken = saddle(half, pipe(second.nps, second.schedule).od(self.units) / 2, lean(fit))
        return Side(End("saddle", taken, None, Source("geometry")), BUTT, second, "branch")

    # --- flanges and things of length ---

    def _flange(self, fit: Fit, which: str) -> Side:
        style = fit.style
        is_face = (which == OUTWARD) == fit.is_face_ahead
        if is_face or fit.kind == shape.BLIND:
            return Side(End("face", _NIL, None, _ROUTE), BOLTED, style)
        rating, length = fit.step.rating, fit.step.length_mm
        if rating not in FLANGE_CLASSES:
            raise NotAccepted(f"There are no flanges of Class {rating}", rating, FLANGE_CLASSES, kind="Class ")
        if fit.kind == shape.SLIP_ON:
            # Common practice, no source: the pipe is set back from the face by its own wall.
            back = pipe(style.nps, style.schedule).wall(self.units)
            return Side(End("slip-on set-back", back, None, _PRACTICE), shape.SLIP_ON, style, "slip-on")
        joined = SOCKET if fit.kind == shape.SOCKET_FLANGE else BUTT
        if length is not None:
            return self._welded(self._of_length(f"flange-{rating}", length, replace(style, ends=joined)), joined, style)
        if rating not in _LISTED_FLANGES:
            raise self._no_length(fit, f"Class {rating} flanges", 'length 3-1/2"', "length 89")
        hub = end(f"flange-{rating}", style.nps, joined, style.rating, self.units, self.flanges_edition)
        return self._welded(hub, joined, style)

    def _by_length(self, fit: Fit, which: str) -> Side:
        style = fit.second if fit.second and which == OUTWARD else fit.style
        if fit.kind == shape.GASKET or (fit.bolted_out if which == OUTWARD else fit.bolted_in):
            return Side(End("face", _NIL, None, _ROUTE), BOLTED, style)
        if fit.kind in shape.REDUCERS:
            return self._welded(End("reducer end", _NIL, self._depth(style), _ROUTE), style.joined, style)
        joined = fit.step.kind or style.joined
        if joined != SOCKET:
            return self._welded(End(f"{fit.kind} end", _NIL, None, _ROUTE), joined, style)
        # The length is face to face, and the pipe goes in by the depth, which is the same for fittings of all classes:
        # a valve has its own (800), and sockets of the same dimensions (from memory).
        rating = fit.step.rating if fit.step.rating in SOCKET_CLASSES else style.rating
        depth, source = socket_depth(style.nps, rating, self.units)
        return self._welded(End(f"{fit.kind} socket", -depth, depth, source), SOCKET, style)

    def length(self, fit: Fit) -> Decimal:
        """How far the route goes on through a thing of length; 0 for what stands at one point."""
        if fit.kind not in shape.REDUCERS:
            return (fit.step.length_mm or _NIL) if fit.kind in (*shape.BY_LENGTH, shape.GASKET) else _NIL
        if fit.step.length_mm is not None:
            return fit.step.length_mm
        larger = max((fit.style, fit.second or fit.style), key=lambda one: pipe(one.nps, one.schedule).od_mm)
        if larger.joined == SOCKET:
            raise self._no_length(fit, "a socket-welding reducer", 'length 2"', "length 50")
        try:
            return end("reducer", larger.nps, BUTT, larger.rating, self.units).takeout_mm
        except NotAccepted as error:
            raise Refused(fit.step, str(error), "NPS") from error

    def shift(self, fit: Fit) -> Decimal:
        """How far an eccentric reducer shifts the centre line towards its flat side: half the difference of diameters.

        Negative where the route goes on in the larger size.
        """
        if fit.kind != shape.ECCENTRIC or fit.second is None:
            return _NIL
        first, second = pipe(fit.style.nps, fit.style.schedule), pipe(fit.second.nps, fit.second.schedule)
        return (first.od(self.units) - second.od(self.units)) / 2


def angle_of(fit: Fit) -> float:
    """By how many degrees the route turns at an elbow; refused where the elbow is made for another angle."""
    if fit.into is None or fit.out is None:
        raise Refused(fit.step, "The elbow needs a run before it and one after it, which say how the route turns.")
    turn = angle_between(fit.into, fit.out)
    if turn < _SAME_ANGLE:
        raise Refused(fit.step, "The elbow has nothing to turn: the route goes straight on; accepted is a run aside.")
    if turn > 90 + _MOST_ASKEW:
        raise Refused(fit.step, f"The route turns by {turn:.1f}° here; accepted are turns up to 90°, by one elbow.")
    made = fit.degrees
    if made is not None and abs(turn - float(made)) > _MOST_ASKEW:
        told = f"The elbow turns by {made:f}° but the route turns by {turn:.1f}° here"
        raise Refused(fit.step, f"{told}; accepted is an elbow of that angle, or another run.", "angle")
    return turn


def lean(fit: Fit) -> tuple[Decimal, Decimal]:
    """The cosine and sine of the angle between a branch and its header."""
    header, branch = fit.into or fit.out, fit.branch.direction if fit.branch else None
    if header is None or branch is None:
        return _NIL, Decimal(1)
    return abs(header.dot(branch)), header.cross(branch).length()


def saddle(header_mm: Decimal, branch_mm: Decimal, leaning: tuple[Decimal, Decimal]) -> Decimal:
    """From the header's axis to the long point of a branch pipe set on it, along the branch's axis.

    header_mm, branch_mm   outside radii; leaning: cosine and sine of the angle between the axes
    Source    geometry of two cylinders: the least of (sqrt(R² - r² sin² a) - r cos a cos t) / sin t round the pipe
    """
    cosine, sine = leaning
    square = header_mm * header_mm - branch_mm * branch_mm
    # The least is inside the circle, or, where the branch leans far, at its foot.
    along = (square.sqrt() * cosine / (sine * branch_mm)) if square > 0 and sine else _NIL
    along = min(along, Decimal(1))
    beside = branch_mm * branch_mm * (1 - along * along)
    return ((header_mm * header_mm - beside).sqrt() - branch_mm * along * cosine) / sine


def axis_of(fit: Fit) -> Vector:
    """The direction of the flow through a fitting that goes straight on."""
    found = fit.into or fit.out
    if found is None:
        raise Refused(fit.step, f"Nothing says in which direction {fit.called} lies; accepted is a run beside it.")
    return found
