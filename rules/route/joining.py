"""Cut the straight stretches into lengths of pipe, and make a joint of the right kind wherever two ends meet."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from rules.cut_length import DoesNotFit, End, cut_length
from rules.pipe import pipe
from rules.route import shape
from rules.route.ends import Ends, Side
from rules.route.lay import Layout, Stretch, Weld
from rules.route.legs import Refused
from rules.route.orient import sentence, side_of
from rules.route.parts import Fit, Run
from rules.route.shape import BOLTED, BUTT, FIELD, FIELD_FIT, SHOP, SOCKET, JointPlace, PipePiece, RouteFault
from rules.route.vector import Vector
from rules.size_words import show_size
from rules.socket_fittings import SOCKET_CLASSES
from rules.source import Source

_NIL = Decimal(0)
_LOOSE = (
    "This weld has nothing to join on one side of it; accepted is a run or a fitting on both sides, or on one side "
    '"continued from" or "continue on" another sheet.'
)
_LOCATIONS = {"field weld": FIELD, "field fit weld": FIELD_FIT, "shop weld": SHOP}


@dataclass(slots=True)
class Piece:
    """A length of pipe, or a fitting, on its way to a mark; `order` is its place along the text."""

    order: tuple[int, int]
    pipe: PipePiece | None = None
    fit: Fit | None = None
    mark: str = ""


@dataclass(slots=True)
class Weldment:
    """A joint on its way to a number: the pieces are not marked yet."""

    order: tuple[int, int, int]
    place: JointPlace
    a: Piece
    b: Piece | None


@dataclass(slots=True)
class _End:
    """One end of a length of pipe: the end that meets it, its opening, and what is welded there."""

    end: End
    opening_mm: Decimal
    side: Side | None = None
    fit: Fit | None = None


@dataclass(slots=True)
class Joining:
    """Pieces and joints of a layout, in the order of the text."""

    layout: Layout
    ends: Ends
    pieces: list[Piece] = field(default_factory=list)
    joints: list[Weldment] = field(default_factory=list)
    faults: list[RouteFault] = field(default_factory=list)
    headers: dict[int, Piece] = field(default_factory=dict)
    _of_fit: dict[int, Piece] = field(default_factory=dict)
    _made: set[int] = field(default_factory=set)  # the welds that became joints, by their identity

    def join(self) -> None:
        """Work through every fitting and stretch, then number pieces along the text."""
        for fit in self.layout.fits:
            is_piece = fit.kind != shape.PAD or fit.step.length_mm is not None
            if is_piece:
                self._of_fit[fit.serial] = self._piece(Piece((fit.line, 2 * fit.serial + 1), fit=fit))
        for stretch in self.layout.stretches:
            try:
                self._stretch(stretch)
            except Refused as refused:
                self.faults.append(refused.fault)
        for stretch in self.layout.stretches:
            for fit in stretch.on_pipe:
                self._on_pipe(fit)
        self.faults += [Refused(one.step, _LOOSE).fault for one in self.layout.welds if id(one) not in self._made]
        self.pieces.sort(key=lambda one: one.order)
        self.joints.sort(key=lambda one: one.order)
        for number, piece in enumerate(self.pieces, start=1):
            piece.mark = str(number)

    def _piece(self, piece: Piece) -> Piece:
        self.pieces.append(piece)
        return piece

    # --- a stretch ---

    def _stretch(self, stretch: Stretch) -> None:
        first = self._fitting_end(stretch.first, stretch.leaves)
        last = self._fitting_end(stretch.last, stretch.meets)
        if not stretch.runs or stretch.is_tight:
            self._directly(stretch, first, last)
            return
        for one, run in ((first, stretch.runs[0]), (last, stretch.runs[-1])):
            if one.side and one.side.joined == BOLTED and one.fit:
                told = f"The pipe meets the bolted face of {one.fit.called}"
                raise Refused(run.step, f"{told}; accepted is a flange between.")
            if one.side and one.side.style.nps != run.style.nps:
                told = f"The pipe {self._size(run)} meets {self._size(one.side)}"
                raise Refused(
                    run.step, f"{told} of {one.fit.called if one.fit else ''}; accepted is a reducer between."
                )
        self._pipes(stretch, first, last)

    def _fitting_end(self, fit: Fit | None, which: str) -> _End:
        if fit is None:
            return _End(End("plain", _NIL, None, Source("plain end")), _NIL)
        side = side_of(self.ends, fit, which)
        return _End(side.end, self._opening(side), side, fit)

    def _size(self, one: Run | Side) -> str:
        return show_size(one.style.nps, self.ends.units)

    def _opening(self, side: Side) -> Decimal:
        if side.joined == SOCKET:
            return self.layout.legs.gap_mm
        return self.layout.legs.opening_mm if side.joined == BUTT else _NIL

    def _directly(self, stretch: Stretch, first: _End, last: _End) -> None:
        """Two things against each other: bolted, or welded with one joint."""
        if first.fit is None or last.fit is None or first.side is None or last.side is None:
            return
        if BOLTED in (first.side.joined, last.side.joined):
            if first.side.joined != last.side.joined:
                told = f"{last.fit.called} is bolted on one side and not on the other"
                raise Refused(last.fit.step, f"{sentence(told)}; accepted is a flange on both.")
            return
        direction = stretch.direction or Vector(_NIL, _NIL, Decimal(1))
        at = self.layout.at(stretch.start) + direction.times(first.side.takeout_mm)
        location, weld = self._location(stretch.welds)
        line = weld.step.line if weld else last.fit.line
        if first.side.style.nps != last.side.style.nps:
            told = f"{self._size(first.side)} of {first.fit.called} meets {self._size(last.side)} here"
            raise Refused(last.fit.step, f"{told}; accepted is a reducer between.")
        kind = "branch" if first.side.joint == "branch" else last.side.joint
        a = self._piece_of(first.fit)
        self._joint(
            (line, 2 * first.fit.serial + 2),
            kind,
            location,
            at,
            direction,
            last.side,
            a,
            self._of_fit[last.fit.serial],
            line,
        )

    def _location(self, welds: Sequence[Weld]) -> tuple[str, Weld | None]:
        """Where the weld at a place is made: the last that the route says of it, else in the shop."""
        self._made.update(map(id, welds))
        return (_LOCATIONS[welds[-1].step.item], welds[-1]) if welds else (SHOP, None)

    def _piece_of(self, fit: Fit) -> Piece:
        """A fitting's piece; of a stub, the pipe that it is set on."""
        if fit.kind == shape.PAD:
            if fit.serial not in self.headers:
                raise Refused(fit.step, f"{sentence(fit.called)} is not on a length of pipe.")
            return self.headers[fit.serial]
        return self._of_fit[fit.serial]

    # --- lengths of pipe ---

    def _pipes(self, stretch: Stretch, first: _End, last: _End) -> None:
        inner = [one for one in stretch.welds if 0 < one.run_count < len(stretch.runs)]
        starting = [one for one in stretch.welds if one.run_count == 0]
        ending = [one for one in stretch.welds if one.run_count == len(stretch.runs)]
        cuts = [0, *(one.run_count for one in inner), len(stretch.runs)]
        made: list[Piece] = []
        # The weld at a match line belongs to the sheet that writes it, with the whole opening.
        match = _End(End("match line", _NIL, None, Source("the route")), self.layout.legs.opening_mm)
        comes = bool(starting) and first.fit is None and self._goes_on(stretch.start, is_start=True)
        goes = bool(ending) and last.fit is None and self._goes_on(stretch.end, is_start=False)
        first, last = (match if comes else first), (match if goes else last)
        for index, (low, high) in enumerate(zip(cuts, cuts[1:], strict=False)):
            half = _End(End("weld", _NIL, None, Source("the route")), self.layout.legs.opening_mm / 2)
            ends = (first if index == 0 else half, last if index == len(inner) else half)
            after = [inner[index]] if index < len(inner) else ending
            before = starting if index == 0 and not _is_fit(after) else []
            allowance = self._allowance([*after, *before])
            runs = stretch.runs[low:high]
            start = stretch.start if low == 0 else stretch.through[low - 1]
            made.append(self._pipe(stretch, runs, (start, stretch.through[high - 1]), ends, allowance, (low, high)))
        self._claim(stretch, made)
        direction = stretch.runs[0].direction
        if first.side and first.fit:
            self._end_joint(stretch, first, made[0], starting, direction, is_first=True)
        elif comes:
            self._in_pipe(starting, stretch.runs[0], direction, made[0], None)
        for one, (a, b) in zip(inner, zip(made, made[1:], strict=False), strict=True):
            self._in_pipe([one], stretch.runs[one.run_count], direction, a, b)
        if last.side and last.fit:
            self._end_joint(stretch, last, made[-1], ending, direction, is_first=False)
        elif goes:
            self._in_pipe(ending, stretch.runs[-1], direction, made[-1], None)
        for support in stretch.supports:
            piece = next((one for one in made if one.pipe and support.node in _nodes_of(one.pipe)), made[-1])
            run = stretch.runs[0]
            side = Side(End("support", _NIL, None, Source("the route")), "", run.style, "attachment")
            line = self.layout.nodes[support.node - 1].line
            self._joint((line, 2), "attachment", SHOP, support.at, direction, side, piece, None, line)

    def _goes_on(self, node: int, *, is_start: bool) -> bool:
        """Whether the line comes from another sheet, or goes on on one, at a node."""
        return any(one.node == node and one.is_start == is_start for one in self.layout.continuations)

    def _in_pipe(self, welds: Sequence[Weld], run: Run, direction: Vector, a: Piece, b: Piece | None) -> None:
        """The joint of two lengths of pipe; of a pipe with that of another sheet, which has no piece here."""
        location, weld = self._location(welds)
        assert weld is not None
        side = Side(End("weld", _NIL, None, Source("the route")), BUTT, run.style, BUTT)
        at, line = self.layout.at(weld.node), weld.step.line
        self._joint((line, 0), BUTT, location, at, direction, side, a, b, line)

    def _allowance(self, welds: Sequence[Weld]) -> Decimal:
        fit = next((one for one in welds if one.step.item == "field fit weld"), None)
        if fit is None:
            return _NIL
        given = fit.step.length_mm
        return self.layout.legs.setting.allowance_mm if given is None else given

    def _pipe(
        self,
        stretch: Stretch,
        runs: Sequence[Run],
        nodes: tuple[int, int],
        ends: tuple[_End, _End],
        allowance: Decimal,
        span: tuple[int, int],
    ) -> Piece:
        units = self.layout.legs.setting.units
        run, direction = runs[0], runs[0].direction
        start, end = (self.layout.at(node) for node in nodes)
        # The offsets of a skew run add up to its length; along an axis this is exact.
        centre = sum((_length(self.layout, stretch, index) for index in range(*span)), _NIL)
        try:
            openings = (ends[0].opening_mm, ends[1].opening_mm)
            cut = cut_length(centre, (ends[0].end, ends[1].end), openings, allowance, units)
        except DoesNotFit as error:
            raise Refused(run.step, f"{_between(ends)}: {str(error)[:1].lower()}{str(error)[1:]}", "along") from error
        depths = tuple(None if one.end.depth_mm is None else one.end.depth_mm - one.opening_mm for one in ends)
        piece = PipePiece(
            mark="",
            start=nodes[0],
            end=nodes[1],
            first=start + direction.times(ends[0].end.takeout_mm + ends[0].opening_mm),
            last=end - direction.times(ends[1].end.takeout_mm + ends[1].opening_mm),
            direction=direction,
            nps=run.style.nps,
            schedule=run.style.schedule,
            centre_mm=centre,
            takeouts_mm=cut.takeouts_mm,
            gaps_mm=(ends[0].opening_mm, ends[1].opening_mm),
            cut_mm=cut.length_mm,
            allowance_mm=allowance,
            insertion_mm=(depths[0], depths[1]),
            through=tuple(stretch.through[span[0] : span[1] - 1]),
            steps=cut.steps,
            line=run.step.line,
        )
        serial = stretch.first.serial if stretch.first else -1
        return self._piece(Piece((run.step.line, 2 * serial + 2), pipe=piece))

    def _end_joint(
        self, stretch: Stretch, one: _End, made: Piece, welds: Sequence[Weld], direction: Vector, *, is_first: bool
    ) -> None:
        """The joint between a length of pipe and the fitting at one end of it."""
        assert one.fit is not None and one.side is not None and made.pipe is not None
        location, weld = self._location(welds)
        line = weld.step.line if weld else made.pipe.line if is_first else one.fit.line
        away = direction if is_first else -direction
        node = self.layout.at(stretch.start if is_first else stretch.end)
        # A socket's weld is at its face, a branch's on the header.
        reach = one.side.takeout_mm + (one.side.end.depth_mm or _NIL)
        if one.side.joint == "branch":
            reach = pipe(one.fit.style.nps, one.fit.style.schedule).od(self.ends.units) / 2
        fitting = self._piece_of(one.fit)
        pair = (fitting, made) if is_first else (made, fitting)
        rank = 2 * one.fit.serial + (2 if is_first else 1)
        kind = one.side.joint
        self._joint((line, rank), kind, location, node + away.times(reach), direction, one.side, *pair, line)

    def _joint(
        self,
        order: tuple[int, int],
        kind: str,
        location: str,
        at: Vector,
        axis: Vector,
        side: Side,
        a: Piece,
        b: Piece | None,
        line: int,
        part: str = "",
    ) -> None:
        rating = side.style.rating if kind == SOCKET else ""
        style = side.style
        if kind == SOCKET:
            fit = a.fit or (b.fit if b else None)
            rating = (fit.step.rating if fit and fit.kind in shape.BY_LENGTH else "") or style.rating
            if rating not in SOCKET_CLASSES or (fit and fit.kind in shape.FLANGES):
                rating = ""  # the fillet is sized by the pipe's wall
        place = JointPlace(
            "", kind, location, at, axis, style.nps, style.schedule, "", "", socket_class=rating, part=part, line=line
        )
        self.joints.append(Weldment((*order, len(self.joints)), place, a, b))

    # --- what is set on a pipe ---

    def _claim(self, stretch: Stretch, made: Sequence[Piece]) -> None:
        """Find the pipe that each olet, half coupling and stub of a stretch stands on, clear of its ends."""
        for fit in stretch.on_pipe:
            if fit.at is None:
                continue
            half = pipe((fit.second or fit.style).nps, (fit.second or fit.style).schedule).od(self.ends.units) / 2
            host = next((one for one in made if one.pipe and _room(one.pipe, fit.at) >= half), None)
            if host is None:
                near = max(_room(one.pipe, fit.at) for one in made if one.pipe)
                short = half - near
                told = f"{sentence(fit.called)} is {short:.1f} mm too near the end of its pipe"
                raise Refused(fit.step, f"{told}; accepted is a place where it stands on the pipe alone.")
            self.headers[fit.serial] = host

    def _on_pipe(self, fit: Fit) -> None:
        header = self.headers.get(fit.serial)
        if header is None or fit.at is None or fit.branch is None or fit.branch.direction is None:
            return
        axis = fit.branch.direction
        od = pipe(fit.style.nps, fit.style.schedule).od(self.ends.units)
        at = fit.at + axis.times(od / 2)
        second = fit.second or fit.style
        side = Side(End("header", _NIL, None, Source("the route")), "", second)
        rank = 2 * fit.serial + 1
        if fit.kind != shape.PAD:
            kind = "olet" if fit.kind == shape.OLET else "branch"
            piece = self._of_fit[fit.serial]
            self._joint((fit.line, rank), kind, SHOP, at, axis, side, header, piece, fit.line)
        elif fit.serial in self._of_fit:
            # The pad's two welds follow the branch's own, which its first run makes.
            pad = self._of_fit[fit.serial]
            own = [one for one in self.joints if one.place.kind == "branch" and one.place.at == at and one.a is header]
            branch, line = (own[0].b, own[0].place.line) if own else (None, fit.line)
            self._joint((line, rank + 1), "pad", SHOP, at, axis, side, branch or header, pad, line, part="inner")
            self._joint((line, rank + 1), "pad", SHOP, at, axis, side, header, pad, line, part="outer")


def _nodes_of(one: PipePiece) -> tuple[int, ...]:
    return (one.start, *one.through, one.end)


def _room(one: PipePiece, at: Vector) -> Decimal:
    """How far a place on a pipe is from the nearer of its ends; negative beyond them."""
    return min((at - one.first).dot(one.direction), (one.last - at).dot(one.direction))


def _length(layout: Layout, stretch: Stretch, index: int) -> Decimal:
    """The length of one run of a stretch."""
    before = stretch.start if index == 0 else stretch.through[index - 1]
    return (layout.at(stretch.through[index]) - layout.at(before)).length()


def _is_fit(welds: Sequence[Weld]) -> bool:
    return any(one.step.item == "field fit weld" for one in welds)


def _between(ends: tuple[_End, _End]) -> str:
    first, last = (one.fit.called if one.fit else "the open end" for one in ends)
    return f"Between {first} and {last}"
