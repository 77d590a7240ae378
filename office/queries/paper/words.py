"""How a paper writes a joint, a heat and a day."""

from datetime import date
from typing import Any

from records.models import Joint
from reports.data import Ring

# A joint as a query reads it by named columns.
JointRow = Any


def joint_key(joint: Joint) -> str:
    """Return a joint as everybody names it: drawing/sheet/number."""
    return f"{joint.sheet.drawing}/{joint.sheet.number}/{joint.number}"


def joint_ring(joint: Joint | JointRow) -> Ring:
    """Return the mark of a joint as it stands."""
    return Ring(joint.state, joint.progress / 100, joint.attempts - 1)


def day(one: date | None) -> str:
    """Return a day as ISO 8601 writes it, or nothing."""
    return one.isoformat() if one else ""


def names(*parts: str) -> str:
    """Return the names that are known, each once."""
    return ", ".join(dict.fromkeys(part for part in parts if part))
