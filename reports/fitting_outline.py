"""Outlines of fittings about their centre, their pipe to the right: what an end of a piece looks like, to scale."""

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, pi, radians, sin, tan

from reports.data import Dimension
from reports.drawing import Point

SOCKET_OVER_PIPE = 1.45  # outside of a socket to outside of its pipe; only the look, no figure of a standard


@dataclass(frozen=True, slots=True)
class PieceEnd:
    """One end of the piece.

    kind      elbow-90, elbow-45, elbow-90-short, tee, coupling, half-coupling, flange-..., plain
    takeout   from the centre (of a flange the raised face) to where the opening begins
    opening   the gap in a socket, or the root opening; None at a plain end
    depth     of its socket; None where it has none
    """

    kind: str
    takeout: Dimension
    opening: Dimension | None = None
    depth: Dimension | None = None


def face_of(one: PieceEnd) -> float:
    """From the centre to where the fitting ends."""
    return float(one.takeout.value) + (float(one.depth.value) if one.depth else 0.0)


def behind(one: PieceEnd, half: float, scale: float) -> float:
    """How far a fitting reaches away from the pipe, beyond its centre."""
    face, thick = face_of(one) * scale, thickness(one, half)
    if one.kind.startswith("elbow-90") or one.kind == "tee-outlet":
        return thick
    return {"elbow-45": face * cos(pi / 4) + thick, "tee": face, "coupling": face}.get(one.kind, 4.0)


def rise_of(one: PieceEnd, half: float, scale: float) -> float:
    """How far a fitting reaches above the centre line."""
    face, thick = face_of(one) * scale, thickness(one, half)
    if one.kind.startswith("flange"):
        return half * 2.1
    if one.kind.startswith("elbow-90") or one.kind == "tee-outlet":
        return face
    return {"elbow-45": face * sin(pi / 4) + thick, "tee": face}.get(one.kind, thick)


def thickness(one: PieceEnd, half: float) -> float:
    """Half the outside of a fitting, from half the outside of its pipe."""
    return half * (SOCKET_OVER_PIPE if one.depth else 1.0)


Shape = Callable[[float, float, float], tuple[Point, ...]]


def _elbow_90(face: float, thick: float, takeout: float) -> tuple[Point, ...]:
    return ((face, -thick), (-thick, -thick), (-thick, face), (thick, face), (thick, thick), (face, thick))


def _bend_90(face: float, thick: float, takeout: float) -> tuple[Point, ...]:
    """A butt-welding elbow: a quarter of a ring whose middle runs at the take-out from the centre of the bend."""
    turns = [radians(90 * step / 12) for step in range(13)]
    outer = [(takeout - (takeout + thick) * sin(one), takeout - (takeout + thick) * cos(one)) for one in turns]
    inner = [(takeout - (takeout - thick) * sin(one), takeout - (takeout - thick) * cos(one)) for one in turns]
    return (*outer, *reversed(inner))


def _elbow_45(face: float, thick: float, takeout: float) -> tuple[Point, ...]:
    mitre, slant = thick * tan(pi / 8), sin(pi / 4)
    far = (-face * slant, face * slant)
    lower, upper = (far[0] - thick * slant, far[1] - thick * slant), (far[0] + thick * slant, far[1] + thick * slant)
    return ((face, -thick), (-mitre, -thick), lower, upper, (mitre, thick), (face, thick))


def _tee(face: float, thick: float, takeout: float) -> tuple[Point, ...]:
    branch = ((thick, thick), (thick, face), (-thick, face), (-thick, thick))
    return ((face, -thick), (-face, -thick), (-face, thick), *reversed(branch), (face, thick))


def _tee_outlet(face: float, thick: float, takeout: float) -> tuple[Point, ...]:
    lower = ((thick, -thick), (thick, -1.5 * thick), (-thick, -1.5 * thick))
    return ((face, -thick), *lower, (-thick, face), (thick, face), (thick, thick), (face, thick))


def _reducer(face: float, thick: float, takeout: float) -> tuple[Point, ...]:
    return ((face, -thick), (face, thick), (0, 0.65 * thick), (0, -0.65 * thick))


def _cap(face: float, thick: float, takeout: float) -> tuple[Point, ...]:
    """A dome: half an ellipse from rim to rim."""
    turns = [radians(180 * step / 16) for step in range(17)]
    return tuple((face - face * sin(one), thick * cos(one)) for one in turns)


def _coupling(face: float, thick: float, takeout: float) -> tuple[Point, ...]:
    return ((face, -thick), (-face, -thick), (-face, thick), (face, thick))


def _half_coupling(face: float, thick: float, takeout: float) -> tuple[Point, ...]:
    return ((face, -thick), (0, -thick), (0, thick), (face, thick))


def _flange(face: float, thick: float, takeout: float) -> tuple[Point, ...]:
    rim, plate = thick * 1.5, max(face * 0.35, 5.0)
    upper = ((0.0, rim), (plate, rim), (plate, thick * 1.1), (face, thick))
    return (*upper, *((x, -y) for x, y in reversed(upper)))


def outline(one: PieceEnd, thick: float, scale: float) -> tuple[Point, ...]:
    """The fitting about its centre with its pipe to the right, upwards positive."""
    has_socket = one.depth is not None
    shapes: dict[str, Shape] = {
        "elbow-90": _elbow_90 if has_socket else _bend_90,
        "elbow-90-short": _elbow_90 if has_socket else _bend_90,
        "elbow-45": _elbow_45,
        "tee": _tee,
        "tee-outlet": _tee_outlet,
        "reducer": _reducer,
        "cap": _cap,
        "coupling": _coupling,
        "half-coupling": _half_coupling,
    }
    shape = shapes.get(one.kind, _flange if one.kind.startswith("flange") else None)
    return shape(face_of(one) * scale, thick, float(one.takeout.value) * scale) if shape else ()
