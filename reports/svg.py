"""The pen for the screen: shapes become SVG with presentation attributes and classes, never a style."""

from collections.abc import Iterable
from functools import lru_cache
from xml.sax.saxutils import escape, quoteattr

from reports.drawing import Arc, Circle, Disc, Line, Point, Polygon, Shape, Words, clock_point

_FORBIDDEN = dict.fromkeys((*range(9), *range(11, 32), *range(0xD800, 0xE000), 0xFFFE, 0xFFFF))
FACES = {
    "plain": 'font-family="B612, sans-serif"',
    "bold": 'font-family="B612, sans-serif" font-weight="700"',
    "mono": 'font-family="B612 Mono, monospace"',
    "gothic": 'font-family="Routed Gothic, B612, sans-serif"',
}


def svg(
    shapes: Iterable[Shape],
    *,
    width: float,
    height: float,
    title: str,
    kind: str,
    size: float | None = None,
    inside: str = "",
) -> str:
    """An <svg> of `width` by `height` units with a <title>.

    kind    its class
    size    its height in px; left out, it takes the room it is given
    inside  groups made by `group`, drawn after the shapes
    """
    scale = f'width="{_n(size * width / height)}" height="{_n(size)}" ' if size else ""
    body = "".join(element(shape) for shape in shapes)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class={quoteattr(kind)} role="img" {scale}'
        f'viewBox="0 0 {_n(width)} {_n(height)}"><title>{_text(title)}</title>{body}{inside}</svg>'
    )


def moved(shapes: Iterable[Shape], at: Point, inside: str = "") -> str:
    """Shapes moved to a point, and groups inside after them."""
    body = "".join(element(shape) for shape in shapes)
    return f'<g transform="translate({_n(at[0])} {_n(at[1])})">{body}{inside}</g>'


def group(shapes: Iterable[Shape], *, at: Point, scale: float, title: str) -> str:
    """Shapes moved to a point and enlarged, with a title of their own."""
    body = "".join(element(shape) for shape in shapes)
    place = f"translate({_n(at[0])} {_n(at[1])}) scale({scale:.4g})"
    return f'<g transform="{place}"><title>{_text(title)}</title>{body}</g>'


def element(shape: Shape) -> str:
    """One shape as one SVG element; colour comes from the class, else from the text around it."""
    match shape:
        case Line():
            (x1, y1), (x2, y2) = shape.start, shape.end
            place = f'x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"'
            return f"<line {place} {_stroke(shape.ink, shape.width, shape.dash)}/>"
        case Circle():
            paint = _stroke(shape.ink, shape.width) if shape.width else _fill(shape.ink)
            return f'<circle cx="{_n(shape.centre[0])}" cy="{_n(shape.centre[1])}" r="{_n(shape.radius)}" {paint}/>'
        case Arc():
            return f'<path d="{_arc(shape)}" {_stroke(shape.ink, shape.width)}/>'
        case Polygon():
            path = _outline(shape.points) + ("Z" if shape.closed else "")
            paint = _fill(shape.ink) if shape.filled else _stroke(shape.ink, shape.width, shape.dash)
            return f'<path d="{path}" {paint}/>'
        case Disc():
            path = f"{_whole(shape.centre, shape.radius)}{_outline(shape.hole)}Z"
            return f'<path d="{path}" fill-rule="evenodd" {_fill(shape.ink)}/>'
        case Words():
            x, y = shape.at
            return (
                f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(shape.size)}" text-anchor="{shape.anchor}" '
                f'{FACES[shape.face]} class="{shape.ink}" fill="currentColor">{_text(shape.text)}</text>'
            )


def _stroke(ink: str, width: float, dash: tuple[float, ...] = ()) -> str:
    dashes = f' stroke-dasharray="{" ".join(_n(length) for length in dash)}"' if dash else ""
    return f'class="{ink}" fill="none" stroke="currentColor" stroke-width="{_n(width)}"{dashes}'


def _fill(ink: str) -> str:
    colour = "#FBFAF6" if ink.endswith("paper") else "currentColor"
    return f'class="{ink}" fill="{colour}" stroke="none"'


def _arc(arc: Arc) -> str:
    (x1, y1), (x2, y2) = (clock_point(arc.centre, arc.radius, angle) for angle in (arc.start, arc.start + arc.sweep))
    large = int(arc.sweep > 180)
    return f"M{_n(x1)} {_n(y1)}A{_n(arc.radius)} {_n(arc.radius)} 0 {large} 1 {_n(x2)} {_n(y2)}"


def _whole(centre: Point, radius: float) -> str:
    x, y = centre
    r = _n(radius)
    half = f"A{r} {r} 0 1 1 "
    return f"M{_n(x - radius)} {_n(y)}{half}{_n(x + radius)} {_n(y)}{half}{_n(x - radius)} {_n(y)}Z"


def _outline(points: tuple[Point, ...]) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points)


@lru_cache(maxsize=8192)
def _n(value: float) -> str:
    """A number as short as it can be, the same on every machine."""
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


def _text(text: str) -> str:
    """Text with mark-up escaped and characters that XML forbids left out."""
    return escape(text.translate(_FORBIDDEN))
