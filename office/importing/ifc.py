"""Models of piping that are sent in as IFC files: read in a process of their own, and turned into routes."""

import json
import os
import subprocess
import sys
from decimal import Decimal
from math import isfinite
from pathlib import Path
from typing import Any

from django.conf import settings

from office.importing.archive import Unreadable
from office.importing.ifc_reader import MOST_SECONDS
from rules.route.from_model import Reading, routes_of
from rules.route.model import JUNCTION, TRANSITION, Part, Port, schedule_for, size_for
from rules.route.vector import ZERO, Vector

SUFFIX = ".ifc"
MOST_BYTES = 30_000_000
MOST_PARTS = 20_000
_FARTHEST_MM = 1e9
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
    if len(told["parts"]) > MOST_PARTS:
        raise Unreadable(f"holds {len(told['parts']):,} parts; at most {MOST_PARTS:,} are read. Send one area alone")
    found = routes_of([_part(one) for one in told["parts"]], units)
    others = sum(told["others"].values())
    if others:
        kinds = ", ".join(f"{count} {kind}" for kind, count in told["others"].items())
        left = f"Of other trades, and left out: {kinds}."
        return Reading(found.routes, found.unread, (*found.notices, left))
    return found


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
    outside, wall = _decimal(told["outside"]), _decimal(told["wall"])
    kind = told["kind"]
    nps = "" if kind in (JUNCTION, TRANSITION) else size_for(_decimal(told["nominal"]), outside)
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
        why="" if len(ports) == len(told["ports"]) else "A port of it has no place, or one that no plant has.",
    )


def _is_placed(told: dict[str, Any]) -> bool:
    return told["at"] is not None and all(abs(one) < _FARTHEST_MM for one in told["at"])


def _port(told: dict[str, Any]) -> Port:
    axis = Vector(*map(_exact, told["axis"])) if all(map(isfinite, told["axis"])) else ZERO
    return Port(
        key=told["key"],
        at=Vector(*map(_exact, told["at"])),
        axis=axis.unit() if axis.length() else None,
        to=told["to"],
        is_in=told["is_in"],
        joined=told["joined"],
        nps=size_for(_decimal(told["nominal"]), _decimal(told["outside"])),
    )


def _exact(value: float) -> Decimal:
    """A float to the billionth of a mm, without the tail of its binary form."""
    return Decimal(f"{value:.9f}")


def _decimal(value: float | None) -> Decimal | None:
    return None if value is None else _exact(value)
