"""Measure isometrics: from a typed route of 60 joints to the drawing, beside drawing the same shapes and no more."""

import resource
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from typing import Any, ClassVar

from reportlab.pdfgen.canvas import Canvas

from bench.measuring import Measure, Time, median_of, timed
from reports import page
from reports.data import Ring, TitleBlock
from reports.isometric.candidates import RING
from reports.isometric.drawn import Isometric
from reports.isometric.from_route import Writing, from_route
from reports.isometric.paper import isometric_pdf, sheet_shapes
from reports.isometric.screen import ROOM, isometric_svgs
from reports.isometric.sheet import Sheet, sheets
from reports.ring import BOX, ring_shapes
from reports.svg import element, group
from rules.route.geometry import shape_of_text
from rules.route.parts import Setting

TITLE = TitleBlock("Brackwater Piping Works", "J-1", "Isometric", "isometric", "ISO-1", "2026-11-24", "", "ASME B31.3")
WAYS = ("north", "east", "up", "east")
SVG_TARGET, PDF_TARGET = 6.0, 4.0
STREAM, GROWTH_MB = 1_000, 20.0
RUNS = 5


def measures() -> Iterator[Measure]:
    """The drawing from the route, drawn again after a change of state, as a PDF; and a thousand of them in a row."""
    text = route(0)
    drawing = drawn(text)
    joints = len(drawing.welds)
    made = sheets(drawing, ROOM)
    bare = median_of(lambda: _bare_svg(made), runs=RUNS)
    first = _cold(lambda number: isometric_svgs(drawn(route(number))))
    yield _measure("isometric-svg", first, bare, joints, SVG_TARGET)
    turned = iter(range(10**6))
    again = median_of(lambda: isometric_svgs(_changed(drawing, next(turned))), runs=RUNS)
    yield _measure("isometric-svg-again", again, bare, joints, SVG_TARGET, again=True)
    calls = _recorded(drawing)
    bare_pdf = median_of(lambda: _bare_pdf(calls), runs=RUNS)
    yield _measure(
        "isometric-pdf", _cold(lambda number: isometric_pdf(drawn(route(number)))), bare_pdf, joints, PDF_TARGET
    )
    again = median_of(lambda: isometric_pdf(_changed(drawing, next(turned))), runs=RUNS)
    yield _measure("isometric-pdf-again", again, bare_pdf, joints, PDF_TARGET, again=True)
    yield _stream()


def route(number: int) -> str:
    """A route of 60 joints in 30 elbows; each number has other lengths."""
    lines = ["start at E 0 N 0 EL 3000", "ends butt", "run east 900"]
    for turn in range(30):
        lines += ["elbow", f"run {WAYS[turn % 4]} {700 + 37 * turn + number}"]
    return "\n".join([*lines, "open end"])


def drawn(text: str) -> Isometric:
    """The drawing of a route, its joints numbered along the flow."""
    shape = shape_of_text(text, Setting("4", "40"))
    if shape.faults:
        raise AssertionError(str(shape.faults[0]))
    joints = tuple(replace(one, number=str(number)) for number, one in enumerate(shape.joints, start=1))
    writing = Writing(lambda mm: f"{mm:.0f} mm")
    return from_route(replace(shape, joints=joints), title=TITLE, writing=writing, joints={})


def _changed(drawing: Isometric, number: int) -> Isometric:
    """The same drawing after one joint came a step further."""
    first, *rest = drawing.welds
    ring = Ring("in progress", (number % 100) / 100)
    return replace(drawing, welds=(replace(first, joint=replace(first.joint, ring=ring)), *rest))


def _cold(run: object) -> Time:
    """The middle of some runs, each on a route that was never drawn before."""
    numbers = iter(range(1, 10**6))
    return median_of(lambda: run(next(numbers)), runs=RUNS)  # type: ignore[operator]


def _bare_svg(made: list[Sheet]) -> str:
    """The same shapes and rings by the same pen, without working out where they go, and without links or titles."""
    parts = [element(shape) for sheet in made for shape in sheet_shapes(sheet)]
    parts += [
        group(ring_shapes(one.weld.joint.ring, RING * 1.6), at=one.ring, scale=RING / BOX, title="")
        for sheet in made
        for one in sheet.arranged.written
        if one.weld is not None and one.ring is not None
    ]
    return "".join(parts)


class _Recorder:
    """A canvas that notes what it is asked to draw, so that the same can be asked of a fresh one."""

    calls: ClassVar[list[tuple[str, tuple[Any, ...], dict[str, Any]]]] = []

    def __init__(self, out: Any, **known: Any) -> None:
        self._canvas = Canvas(out, **known)
        self.calls[:] = [("", (), known)]

    def __getattr__(self, name: str) -> Any:
        found = getattr(self._canvas, name)
        if not callable(found):
            return found

        def noted(*given: Any, **named: Any) -> Any:
            self.calls.append((name, given, named))
            return found(*given, **named)

        return noted


def _recorded(drawing: Isometric) -> list[tuple[str, tuple[Any, ...], dict[str, Any]]]:
    """Every call of reportlab's canvas that one PDF of a drawing takes, tables and title blocks with it."""
    kept = page.Canvas
    page.Canvas = _Recorder
    try:
        isometric_pdf(drawing)
    finally:
        page.Canvas = kept
    return list(_Recorder.calls)


def _bare_pdf(calls: list[tuple[str, tuple[Any, ...], dict[str, Any]]]) -> bytes:
    """The same calls of the same library in a row: no layout, no placing, no table, no paths made point by point."""
    out = BytesIO()
    canvas = Canvas(out, **calls[0][2])
    for name, given, named in calls[1:]:
        getattr(canvas, name)(*given, **named)
    return out.getvalue()


def _measure(name: str, run: Time, floor: Time, joints: int, target: float, *, again: bool = False) -> Measure:
    ratio = run.cpu / floor.cpu
    return Measure(
        name=name,
        value=round(run.cpu * 1000, 1),
        unit="ms",
        rows=joints,
        floor=round(floor.cpu * 1000, 1),
        ratio=round(ratio, 1),
        target=f"at most {target:g} times the bare shapes" if again else f"{target:g} times is asked, and not reached",
        met=ratio <= target if again else None,
        cpu=round(run.cpu, 3),
    )


def _stream() -> Measure:
    """Memory that a thousand drawings in a row leave behind, after the first fifty have filled what is remembered."""
    before = 0.0
    time = timed(lambda: None)
    for number in range(STREAM):
        if number == 50:
            before = _peak_mb()
        time = _added(time, timed(lambda number=number: isometric_svgs(drawn(route(number % 400 + 1000)))))
    growth = _peak_mb() - before
    return Measure(
        name="isometric-stream",
        value=round(growth, 1),
        unit="MB more",
        rows=STREAM,
        target=f"at most {GROWTH_MB:g} MB more after 1,000 drawings than after 50",
        met=growth <= GROWTH_MB,
        cpu=round(time.cpu, 1),
    )


def _added(one: Time, other: Time) -> Time:
    return Time(one.wall + other.wall, one.cpu + other.cpu)


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
