"""What the page of a line draws: isometrics whose joints are links, and the map of sheets without a route."""

from collections.abc import Sequence
from dataclasses import dataclass

from office.queries.paper.drawings import Drawing
from office.queries.papers import map_svg
from reports.isometric.drawn import Isometric, Weld
from reports.isometric.screen import isometric_svgs
from reports.ring import STATES

FINDINGS = {"stop": "with a finding that stops a release", "correct": "with a finding to be corrected"}


@dataclass(frozen=True, slots=True)
class Asked:
    """Which joints are asked for: a state, a severity of finding, both, or all with neither."""

    state: str = ""
    finding: str = ""
    words: str = ""

    def shows(self, weld: Weld) -> bool:
        """Whether a joint is among those asked for."""
        return self.state in ("", weld.joint.ring.state) and self.finding in ("", weld.finding)


@dataclass(frozen=True, slots=True)
class SheetDrawn:
    """A drawing sheet with its isometric, in as many parts as it takes."""

    name: str
    drawings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LineDrawn:
    """The isometrics of a line, and one weld map for its other sheets (or nothing)."""

    isometrics: tuple[SheetDrawn, ...]
    map: str
    asked: Asked


def line_drawn(drawn: Sequence[Drawing], *, state: str = "", finding: str = "") -> LineDrawn:
    """Draw a line for its page; a state or severity that does not exist asks for nothing."""
    asked = Asked(state if state in STATES else "", finding if finding in FINDINGS else "")
    isometrics = [one for one in drawn if isinstance(one, Isometric)]
    asked = Asked(asked.state, asked.finding, _words(asked, [weld for one in isometrics for weld in one.welds]))
    sheets = tuple(SheetDrawn(_name(one), tuple(isometric_svgs(one, shown=asked.shows))) for one in isometrics)
    return LineDrawn(sheets, map_svg(drawn), asked)


def _name(one: Isometric) -> str:
    return f"{one.title.number}, sheet {one.title.sheet}" if one.title.sheet else one.title.number


def _words(asked: Asked, welds: Sequence[Weld]) -> str:
    """How many joints are asked for, as a sentence; nothing where all are."""
    if not (asked.state or asked.finding):
        return ""
    count = sum(asked.shows(weld) for weld in welds)
    which = " ".join(part for part in (asked.state, FINDINGS.get(asked.finding, "")) if part)
    return f"{count} of {len(welds)} joints: {which}. The others stand aside."
