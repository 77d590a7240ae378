"""Runs for the weld map: joints chained through the pieces they share, branches as runs of their own."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from reports.data import MapJoint, MapPiece, MapRun

IN_ORDER = "Pieces not recorded: joints in order of their numbers"


@dataclass(frozen=True, slots=True)
class Link:
    """A joint with the marks of the pieces on both sides; an empty mark is a piece nobody recorded."""

    joint: MapJoint
    piece_a: str = ""
    piece_b: str = ""


def runs_of(links: Sequence[Link], pieces: Mapping[str, MapPiece]) -> tuple[MapRun, ...]:
    """Chain joints to runs.

    links   in the order of the joints' numbers
    pieces  mark -> piece; a mark without a piece is drawn with its mark alone
    The first run begins at an open end with the lowest number. Where several joints touch a piece, the run goes on with
    the lowest number, the others begin branches. Joints without pieces are put in the order given, and the run says so.
    """
    known = [link for link in links if link.piece_a or link.piece_b]
    runs = _Chains(known, pieces).runs()
    bare = [link.joint for link in links if not link.piece_a and not link.piece_b]
    if bare:
        blank = MapPiece("")
        runs.append(MapRun((blank,) * (len(bare) + 1), tuple(bare), IN_ORDER))
    return tuple(runs)


class _Chains:
    """The joints not yet drawn, and how they touch one another."""

    def __init__(self, links: Sequence[Link], pieces: Mapping[str, MapPiece]) -> None:
        self.links = links
        self.pieces = pieces
        self.left = dict.fromkeys(range(len(links)))  # in order, with quick removal
        self.touching: dict[str, list[int]] = {}
        for place, link in enumerate(links):
            for mark in {link.piece_a, link.piece_b} - {""}:
                self.touching.setdefault(mark, []).append(place)
        self.drawn: dict[str, None] = {}

    def runs(self) -> list[MapRun]:
        runs: list[MapRun] = []
        branches: list[str] = []  # drawn pieces that may still have joints
        while self.left:
            mark = next((mark for mark in branches if self._next(mark) is not None), None)
            branches = branches[branches.index(mark) :] if mark else []
            run = self._run(*self._start(mark))
            branches += [piece.mark for piece in run.pieces if piece.mark]
            runs.append(run)
        if len(runs) > 1 and not runs[0].name:
            runs[0] = replace(runs[0], name="Main run")
        return runs

    def _start(self, mark: str | None) -> tuple[int, str, str]:
        """The joint to begin with, the mark of the piece before it, and the name of the run."""
        if mark is not None:
            place = self._next(mark)
            assert place is not None
            return place, mark, f"Branch at {mark}"
        for place in self.left:
            for mark in (self.links[place].piece_a, self.links[place].piece_b):
                if not mark or self._touching(mark) == [place]:
                    return place, mark, ""
        place = next(iter(self.left))  # a closed loop: begin anywhere
        return place, self.links[place].piece_a, ""

    def _run(self, place: int | None, mark: str, name: str) -> MapRun:
        pieces, joints = [self._piece(mark)], []
        while place is not None:
            del self.left[place]
            link = self.links[place]
            forward = link.piece_a == mark
            mark = link.piece_b if forward else link.piece_a
            joints.append(link.joint if forward else _turned(link.joint))
            pieces.append(self._piece(mark))
            place = self._next(mark) if mark else None
        return MapRun(tuple(pieces), tuple(joints), name)

    def _touching(self, mark: str) -> list[int]:
        return [place for place in self.touching[mark] if place in self.left]

    def _next(self, mark: str) -> int | None:
        return next((place for place in self.touching.get(mark, ()) if place in self.left), None)

    def _piece(self, mark: str) -> MapPiece:
        piece = self.pieces.get(mark, MapPiece(mark))
        again = bool(mark) and mark in self.drawn
        self.drawn[mark] = None
        return replace(piece, again=True) if again else piece


def _turned(joint: MapJoint) -> MapJoint:
    """A joint met from its B side: the spools change sides."""
    return replace(joint, spool=joint.spool_b, spool_b=joint.spool) if joint.spool_b else joint
