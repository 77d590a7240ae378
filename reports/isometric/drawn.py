"""What an isometric draws: the centreline of a route in space, its welds, dimensions and marks, and its tables.

Places are east, north and up in millimetres. A leg is a straight part of the centreline, from start to end along the
flow; an elbow or a tee is several legs that share a mark and meet in its centre.
"""

from dataclasses import dataclass

from reports.data import MapJoint, TitleBlock

Place = tuple[float, float, float]

LEGS = (
    "pipe", "elbow", "tee", "olet", "reducer", "eccentric", "coupling", "flange", "gasket", "valve", "instrument",
    "cap",
)  # fmt: skip
MARKS = ("piece", "spool", "tag", "level", "support", "place", "continuation")


@dataclass(frozen=True, slots=True)
class Leg:
    """A straight part of the centreline; a reducer narrows towards its end (`narrows` 1) or its start (-1).

    An eccentric reducer steps aside by the difference of its radii, which makes no skew run of it.
    """

    start: Place
    end: Place
    kind: str
    mark: str = ""
    narrows: int = 1


@dataclass(frozen=True, slots=True)
class Weld:
    """A joint at a place of the centreline, with what the joint table says of it."""

    at: Place
    joint: MapJoint
    symbol: str = ""  # weld symbol in words and signs
    leg: str = ""  # that a fillet asks at least
    href: str = ""
    finding: str = ""  # stop, correct or nothing
    welded: str = ""
    accepted: str = ""


@dataclass(frozen=True, slots=True)
class Dimension:
    """A length between two places, centre to centre or to an end, in words with its unit's notation.

    beside    the side of a skew run's plane: its words stand at the side, without a dimension line; it comes after the
              length of the run itself
    goes_on   where the pipe goes on from its end, beside it: an eccentric reducer steps aside
    """

    start: Place
    end: Place
    words: str
    beside: bool = False
    goes_on: Place | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """Words at a place: a piece or spool mark, a tag, a level, a support, or the sheet on which the line goes on.

    words  a call-out of several lines has line ends in it: coordinates stand one below the other
    """

    at: Place
    words: str
    kind: str


@dataclass(frozen=True, slots=True)
class BillRow:
    """One row of the bill of material."""

    mark: str
    quantity: str
    what: str
    size: str
    material: str = ""
    heat: str = ""
    spool: str = ""


@dataclass(frozen=True, slots=True)
class CutRow:
    """One pipe to cut."""

    mark: str
    size: str
    length: str
    ends: str = ""
    heat: str = ""
    spool: str = ""
    note: str = ""  # field-fit allowance


@dataclass(frozen=True, slots=True)
class Isometric:
    """One drawing; `units` names the unit of its dimensions, `as_built` adds heats, stamps and dates to each weld.

    gone            joints of the sheet that are withdrawn: without a place, they are named in the corner and in the
                    joint table
    notes           what else is said in the corner
    coordinates_in  the job's units, in which coordinates stand where the drawing is taken apart; empty for none there
    """

    title: TitleBlock
    legs: tuple[Leg, ...]
    welds: tuple[Weld, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    marks: tuple[Mark, ...] = ()
    bill: tuple[BillRow, ...] = ()
    cuts: tuple[CutRow, ...] = ()
    paper: str = "A3"
    units: str = "mm"
    as_built: bool = False
    gone: tuple[Weld, ...] = ()
    notes: tuple[str, ...] = ()
    coordinates_in: str = ""


def key(place: Place) -> tuple[int, int, int]:
    """A place in hundredths of a millimetre, by which equal places are found."""
    return round(place[0] * 100), round(place[1] * 100), round(place[2] * 100)
