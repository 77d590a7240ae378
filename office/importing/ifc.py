"""Models of piping that are sent in as IFC files: read in a process of their own, and turned into routes."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from decimal import Decimal
from math import isfinite
from pathlib import Path
from typing import Any

from django.conf import settings

from office.importing.archive import Unreadable
from office.importing.ifc_reader import MOST_SECONDS
from rules.pipe import parse_nps
from rules.route.from_model import Reading, routes_of
from rules.route.model import JUNCTION, TRANSITION, Part, Port, schedule_for, size_for
from rules.route.model_welds import Weld
from rules.route.vector import ZERO, Vector
from rules.size_words import dn_of
from rules.units import US

SUFFIX = ".ifc"
MOST_BYTES = 30_000_000
_FARTHEST_MM = 1e9
_NEAR_NORTH_DEGREES = 0.01
_NO_PLACE = "A port of it has no place, or one that no plant has."
_TOO_MUCH = "takes too much memory or time to read; send the piping of one area alone"


def read_model(path: Path, units: str) -> Reading:
    """The routes of an IFC file's piping, and what could not be read.

    units   of the job, in which the routes are written
    Raises  Unreadable where it is too large, damaged, of another schema, or holds no piping
    """
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise Unreadable(
            f"is {size / 1_000_000:.0f} MB large; at most {MOST_BYTES // 1_000_000} MB of a model are read"
        )
    with path.open("rb") as file:
        if not file.read(4096).lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"ISO-10303-21"):
            raise Unreadable("is no IFC file of the form STEP (ISO 10303-21), whatever its name says")
    told = _told(path)
    if "fault" in told:
        raise Unreadable(told["fault"])
    if not told["parts"]:
        raise Unreadable("holds no piping: no pipe, pipe fitting or valve stands in it")
    found = routes_of([_part(one) for one in told["parts"]], units, told["stated"], map(_weld, told["welds"]))
    return replace(found, notices=(*found.notices, *_remarks(told)))


def _remarks(told: dict[str, Any]) -> Iterator[str]:
    """What is told of a file as a whole."""
    bare = sum(one["has_no_ports"] and bool(one["ports"]) for one in told["parts"])
    if bare:
        yield f"The ends of {bare} {'part' if bare == 1 else 'parts'} without ports are read from the shape."
    if abs(told["turned"]) > _NEAR_NORTH_DEGREES:
        way = "right" if told["turned"] > 0 else "left"
        yield f"True north lies {abs(told['turned']):.1f}° to the {way} of the model's y, which is read as north."
    if told["others"]:
        yield "Of other trades, and left out: " + ", ".join(f"{n} {kind}" for kind, n in told["others"].items()) + "."


def _told(path: Path) -> dict[str, Any]:
    command = [sys.executable, "-m", "office.importing.ifc_reader", str(path)]
    environment = {
        "PYTHONPATH": str(settings.BASE_DIR),
        "PATH": os.defpath,
        "PYTHONDONTWRITEBYTECODE": "1",
        # Its figures are few; a thread for each core would each want its own memory.
        "OPENBLAS_NUM_THREADS": "1",
    }
    try:
        ran = subprocess.run(
            command, capture_output=True, cwd=settings.BASE_DIR, env=environment, timeout=2 * MOST_SECONDS, check=False
        )
    except subprocess.TimeoutExpired as late:
        raise Unreadable(_TOO_MUCH) from late
    if ran.returncode:
        raise Unreadable(_TOO_MUCH)
    found: dict[str, Any] = json.loads(ran.stdout)
    return found


def _part(told: dict[str, Any]) -> Part:
    """A part as the rules take it; a place that no plant has makes it one that can't be read."""
    ports = [one for one in told["ports"] if _is_placed(one)]
    wall = _decimal(told["wall"])
    kind = told["kind"]
    nps = "" if kind in (JUNCTION, TRANSITION) else _size(told)
    reach = [one for one in told["reach"] if _is_near(one)]
    return Part(
        key=told["key"],
        kind=kind,
        name=told["name"],
        called=told["called"],
        ports=tuple(_port(one) for one in ports),
        line=" ".join(told["line"].split()),
        words=told["words"],
        nps=nps,
        schedule=schedule_for(nps, wall) if nps and wall is not None else "",
        length_mm=_decimal(told["length"]),
        reach=tuple(Vector(*map(_exact, one)) for one in reach),
        why=told["why"] or ("" if len(ports) == len(told["ports"]) else _NO_PLACE) or _contrary(told, nps),
    )


def _contrary(told: dict[str, Any], nps: str) -> str:
    """Why two figures of a part can't both be; empty where nothing stands against the other."""
    by_outside = size_for(None, _decimal(told["outside"]))
    if not nps or by_outside in ("", nps):
        return ""
    return f"Its nominal size is DN {dn_of(nps)}, and its outside diameter {told['outside']:.1f} mm is that of another."


def _is_placed(told: dict[str, Any]) -> bool:
    return told["at"] is not None and _is_near(told["at"])


def _is_near(at: list[float]) -> bool:
    return all(abs(one) < _FARTHEST_MM for one in at)


def _size(told: dict[str, Any]) -> str:
    """The size of a part or a port: as it stands in words, or by its nominal or outside diameter."""
    if told["size"]:
        with suppress(ValueError):
            return parse_nps(told["size"], US)
    return size_for(_decimal(told["nominal"]), _decimal(told["outside"]))


def _port(told: dict[str, Any]) -> Port:
    said = told["axis"] or (0.0, 0.0, 0.0)
    axis = Vector(*map(_exact, said)) if all(map(isfinite, said)) else ZERO
    return Port(
        key=told["key"],
        at=Vector(*map(_exact, told["at"])),
        axis=axis.unit() if axis.length() else None,
        to=told["to"],
        is_in=told["is_in"],
        joined=told["joined"],
        nps=_size(told),
        weld=told["weld"],
    )


def _weld(told: dict[str, Any]) -> Weld:
    at = told["at"] if told["at"] is not None and _is_near(told["at"]) else None
    return Weld(told["called"], told["words"], Vector(*map(_exact, at)) if at else None, tuple(told["between"]))


def _exact(value: float) -> Decimal:
    """A float to the billionth of a mm, without the tail of its binary form."""
    return Decimal(f"{value:.9f}")


def _decimal(value: float | None) -> Decimal | None:
    return None if value is None else _exact(value)
