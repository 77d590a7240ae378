"""What a route comes to: nodes, pieces, joint places, dimensions and spools, as plain values to draw and to list."""

from dataclasses import dataclass
from decimal import Decimal

from rules.route.vector import Vector

PIPE = "pipe"
ELBOW_90, ELBOW_45, ELBOW_90_SHORT, ELBOW_CUT = "elbow-90", "elbow-45", "elbow-90-short", "elbow-cut"
TEE, COUPLING, HALF_COUPLING, CAP = "tee", "coupling", "half-coupling", "cap"
CONCENTRIC, ECCENTRIC = "reducer-concentric", "reducer-eccentric"
OLET, PAD = "olet", "pad"
WELD_NECK, SLIP_ON, SOCKET_FLANGE, BLIND = "flange-weld-neck", "flange-slip-on", "flange-socket", "flange-blind"
GASKET, VALVE, INSTRUMENT, ITEM = "gasket", "valve", "instrument", "item"
ELBOWS = (ELBOW_90, ELBOW_45, ELBOW_90_SHORT, ELBOW_CUT)
REDUCERS = (CONCENTRIC, ECCENTRIC)
FLANGES = (WELD_NECK, SLIP_ON, SOCKET_FLANGE, BLIND)
BY_LENGTH = (VALVE, INSTRUMENT, ITEM)
COMPONENT_KINDS = (*ELBOWS, TEE, COUPLING, HALF_COUPLING, CAP, *REDUCERS, OLET, PAD, *FLANGES, GASKET, *BY_LENGTH)

# How the end of a component is joined.
SOCKET, BUTT, BOLTED, ON_PIPE, FREE = "socket", "butt", "bolted", "on pipe", "free"
SHOP, FIELD, FIELD_FIT = "shop", "field", "field-fit"


@dataclass(frozen=True, slots=True)
class Node:
    """A point that the route names or passes: a centre, a face, an end, a support. `number` counts along the flow.

    name    as the route calls it, else empty
    line    of the route's text that made it
    """

    number: int
    at: Vector
    name: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class PipePiece:
    """One length of pipe, from node to node along its axis; `start` comes first along the flow.

    start, end     node numbers between which the centre-to-centre distance runs; nodes on it in between: `through`
    first, last    where the cut pipe itself begins and ends (inside a socket where it goes into one)
    direction      from start to end, of length 1
    centre_mm      centre to centre (or to a face, or an end)
    takeouts_mm    of the components at start and end
    gaps_mm        socket gap or root opening at start and end; 0 at a plain end
    allowance_mm   left on for a field-fit, to be trimmed; contained in cut_mm
    cut_mm         the length to cut: centre - takeouts - gaps + allowance
    insertion_mm   how far it goes into each socket; None at an end without one
    steps          the arithmetic as text in the job's units
    spool          the mark of its spool
    """

    mark: str
    start: int
    end: int
    first: Vector
    last: Vector
    direction: Vector
    nps: str
    schedule: str
    centre_mm: Decimal
    takeouts_mm: tuple[Decimal, Decimal]
    gaps_mm: tuple[Decimal, Decimal]
    cut_mm: Decimal
    allowance_mm: Decimal = Decimal(0)
    insertion_mm: tuple[Decimal | None, Decimal | None] = (None, None)
    through: tuple[int, ...] = ()
    steps: tuple[str, ...] = ()
    spool: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class ComponentEnd:
    """One end of a component.

    at           where the end is: the weld bevel, the bottom of the socket, the raised face
    outward      direction out of the component along this end's axis, of length 1
    takeout_mm   from the component's centre (or far face) to `at`
    joined       "socket", "butt", "bolted", "on pipe" (of an olet, a pad: set on the header) or "free"
    depth_mm     of the socket; None without one
    """

    at: Vector
    outward: Vector
    nps: str
    takeout_mm: Decimal
    joined: str
    depth_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Component:
    """Anything that is not a length of pipe: fitting, flange, gasket, valve, instrument, olet, pad.

    kind       one of COMPONENT_KINDS
    node       number of the node that it hangs on: the centre of an elbow, tee or coupling, the face of a flange, the
               near end of a reducer, valve or gasket, the place on the header's axis of an olet, pad or half coupling
    centre     the same point
    ends       along the flow: the way in, the way out, then the outlet of a tee. A cap and a blind have one end. An
               olet and a half coupling have (on pipe, outlet); a pad has one
    length_mm  along the flow, of what has one (valve, gasket, reducer, flange through its hub); else 0
    angle      degrees by which an elbow turns; else 0
    flat       of an eccentric reducer: the direction in which its flat side points
    tag        of a valve or instrument, or what an item is called
    """

    mark: str
    kind: str
    node: int
    centre: Vector
    ends: tuple[ComponentEnd, ...]
    nps: str
    second_nps: str = ""
    schedule: str = ""
    pressure_class: str = ""
    length_mm: Decimal = Decimal(0)
    angle: float = 0.0
    flat: Vector | None = None
    tag: str = ""
    width_mm: Decimal = Decimal(0)
    spool: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class JointPlace:
    """One joint where it is made.

    kind          socket, butt, branch, olet, pad, slip-on, attachment (as in `records.models.joint`)
    at            centre of the weld on the pipe's axis; of a branch, olet or pad where the outlet meets the header
    axis          direction of the welded pipe's axis, along the flow, of length 1
    piece_a, b    marks of the pieces it joins, along the flow
    spool         of piece A; `spool_b` only where the joint joins two
    part          "inner" or "outer" of a pad, else empty
    number        as on the weld map; empty until it is numbered
    """

    number: str
    kind: str
    location: str
    at: Vector
    axis: Vector
    nps: str
    schedule: str
    piece_a: str
    piece_b: str
    spool: str = ""
    spool_b: str = ""
    socket_class: str = ""
    part: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Support:
    """A support on the pipe; a welded one is a joint of kind attachment."""

    node: int
    at: Vector
    kind: str
    name: str = ""
    is_welded: bool = False


@dataclass(frozen=True, slots=True)
class Continuation:
    """Where the line goes on or comes from; `outward` points away from what this sheet shows."""

    node: int
    at: Vector
    outward: Vector
    text: str
    is_start: bool = False


@dataclass(frozen=True, slots=True)
class Dimension:
    """A distance to show between two nodes: `text` as the trade writes it in the job's units.

    of    "centre" (along a straight run, centre to centre, to a face, an end), "length" (of a valve, gasket, reducer)
          or "offset" (one side of the box of a skew run: `start` and `end` are then its corners)
    """

    start: Vector
    end: Vector
    length_mm: Decimal
    text: str
    of: str = "centre"


@dataclass(frozen=True, slots=True)
class Elevation:
    """An elevation to show at a node, of the centre line."""

    node: int
    at: Vector
    text: str


@dataclass(frozen=True, slots=True)
class EndPlace:
    """The place of an end of the route: its start, the end of a leg, what it meets there, where it goes on.

    text   the coordinates one by one, east, north and elevation of the centre line
    """

    node: int
    at: Vector
    text: tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class Flow:
    """An arrow of flow, in the middle of a pipe."""

    at: Vector
    direction: Vector


@dataclass(frozen=True, slots=True)
class Closure:
    """A point that the route says it arrives at: where it should be, and by how much it misses, in mm."""

    line: int
    at: Vector
    wanted: Vector
    name: str = ""

    @property
    def miss(self) -> Vector:
        """What is missing along each axis: wanted less reached."""
        return self.wanted - self.at


@dataclass(frozen=True, slots=True)
class SpoolShape:
    """A spool: its pieces, its joints' places in the route's order, its size and its weight.

    size_mm     east, north and up of its box over the outside of pipes and fittings
    weight_kg   of what has a known weight
    left_out    marks of pieces whose weight is not known and not in it
    exceeds     sentences: by how much it is over the transport envelope; empty where it fits or none is given
    """

    mark: str
    pieces: tuple[str, ...]
    joints: tuple[int, ...]
    size_mm: tuple[Decimal, Decimal, Decimal]
    weight_kg: Decimal
    left_out: tuple[str, ...] = ()
    exceeds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RouteFault:
    """What is wrong with a route: a whole sentence, with the line and column (from 1) it speaks of."""

    line: int
    column: int
    message: str

    def __str__(self) -> str:
        return f"line {self.line}, column {self.column}: {self.message}"


@dataclass(frozen=True, slots=True)
class RouteShape:
    """Everything that a route comes to; every tuple in the order of the flow. With faults, as far as it goes.

    from_start   the coordinates (E, N, EL) that count from the start, since the route gives it none
    """

    nodes: tuple[Node, ...] = ()
    pipes: tuple[PipePiece, ...] = ()
    components: tuple[Component, ...] = ()
    joints: tuple[JointPlace, ...] = ()
    supports: tuple[Support, ...] = ()
    continuations: tuple[Continuation, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    elevations: tuple[Elevation, ...] = ()
    end_places: tuple[EndPlace, ...] = ()
    flow: tuple[Flow, ...] = ()
    closures: tuple[Closure, ...] = ()
    spools: tuple[SpoolShape, ...] = ()
    faults: tuple[RouteFault, ...] = ()
    notes: tuple[str, ...] = ()
    from_start: tuple[str, ...] = ()
