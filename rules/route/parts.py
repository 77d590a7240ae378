"""A route taken apart: legs of runs, fittings and marks, before they stand anywhere."""

from dataclasses import dataclass, field
from decimal import Decimal

from rules.cut_length import FLANGE_EDITIONS
from rules.pipe import parse_nps
from rules.route.shape import BUTT, SOCKET
from rules.route.step import Step
from rules.route.vector import Vector
from rules.units import MM_PER_INCH, SI, US

# Common practice, no source.
_OPENING_MM = {US: MM_PER_INCH / 8, SI: Decimal(3)}
_ALLOWANCE_MM = {US: 4 * MM_PER_INCH, SI: Decimal(100)}
_LARGEST_SOCKET = Decimal("1.5")


@dataclass(frozen=True, slots=True)
class Setting:
    """What a route takes from its line and its job.

    socket_gap_mm   the gap of a socket where the route names none
    metal           of the pipe, for its weight: a row of the densities; empty where it is not known
    spool_prefix    before the letter of each spool
    envelope_mm     the greatest sides of what can be carried, in any order; None where the job names none
    tolerance_mm    by which a closure may miss
    flanges_edition of ASME B16.5, by which a flange has its length
    """

    nps: str
    schedule: str
    units: str = SI
    socket_gap_mm: Decimal = Decimal("1.5")
    metal: str = "carbon"
    spool_prefix: str = ""
    envelope_mm: tuple[Decimal, Decimal, Decimal] | None = None
    tolerance_mm: Decimal = Decimal(1)
    flanges_edition: str = FLANGE_EDITIONS[0]

    @property
    def opening_mm(self) -> Decimal:
        """The root opening where the route names none."""
        return _OPENING_MM[self.units]

    @property
    def allowance_mm(self) -> Decimal:
        """What is left on a field-fit pipe where the route does not say."""
        return _ALLOWANCE_MM[self.units]


@dataclass(frozen=True, slots=True)
class Style:
    """Size and ends at one place of the route; without a kind of ends, as the size has them."""

    nps: str
    schedule: str
    ends: str = ""
    rating: str = "3000"

    @property
    def joined(self) -> str:
        """How a fitting of this size is welded: sockets to NPS 1-1/2 where the route does not say (common practice)."""
        return self.ends or (SOCKET if size_of(self.nps) <= _LARGEST_SOCKET else BUTT)


@dataclass(slots=True)
class Run:
    """A straight stretch; without a length it brings two fittings together."""

    step: Step
    direction: Vector
    length_mm: Decimal | None
    style: Style


@dataclass(slots=True, eq=False)
class Fit:
    """A fitting, flange or thing of length, the directions in which the route comes in and goes out, and its branch.

    second        the size at its far end, or of its outlet
    is_by_outlet  the route comes into the tee by its smaller outlet, so that run and branch are its two larger ends
    """

    step: Step
    kind: str
    style: Style
    second: Style | None = None
    is_by_outlet: bool = False
    degrees: Decimal | None = None
    into: Vector | None = None
    out: Vector | None = None
    branch: "Leg | None" = None
    arriving: Vector | None = None
    is_face_ahead: bool = True
    bolted_in: bool = False
    bolted_out: bool = False
    node: int = -1
    far_node: int = -1
    at: Vector | None = None
    serial: int = -1
    header: int = -1

    @property
    def line(self) -> int:
        """The line of the text that it comes from."""
        return self.step.line

    @property
    def called(self) -> str:
        """The fitting as a sentence names it: `the elbow of line 4`."""
        return f"the {self.step.item} of line {self.line}"


@dataclass(slots=True)
class Mark:
    """A support, a named point, a weld or an end: something at a place without a length."""

    step: Step


@dataclass(slots=True, eq=False)
class Leg:
    """One way through the route: the main run, or a branch that begins at a fitting."""

    direction: Vector | None = None
    start: Fit | None = None
    parts: list[Run | Fit | Mark] = field(default_factory=list)
    step: Step | None = None


def size_of(nps: str) -> Decimal:
    """A nominal size as a number of inches."""
    whole, _, part = parse_nps(nps).rpartition("-")
    over, _, under = part.partition("/")
    return Decimal(whole or 0) + Decimal(over) / Decimal(under or 1)
