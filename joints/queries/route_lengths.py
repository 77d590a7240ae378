"""Pipes that a new route cuts to another length, and what is begun on them already."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rules.route.shape import PipePiece
from rules.state import PLANNED

# A length is kept to the millionth of a mm.
_SAME_MM = Decimal("0.000001")


@dataclass(frozen=True, slots=True)
class OtherLength:
    """A pipe with its cut length before and now, and the joints on it that are begun: number and state."""

    mark: str
    before_mm: Decimal
    now_mm: Decimal
    begun: tuple[tuple[str, str], ...] = ()


def other_lengths(
    pipes: Iterable[PipePiece], before: Mapping[str, Decimal | None], standing: Iterable[Any]
) -> tuple[OtherLength, ...]:
    """The pipes of a route whose cut length is not what the sheet has; those on which a joint is begun come first.

    pipes     with the marks that they keep
    before    the cut length in mm of each pipe of the sheet, by mark
    standing  the sheet's joints: number, state and the marks of their pieces
    """
    begun: dict[str, list[tuple[str, str]]] = {}
    for joint in standing:
        for mark in {joint.piece_a__mark, joint.piece_b__mark} - {None}:
            if joint.state != PLANNED:
                begun.setdefault(mark, []).append((joint.number, joint.state))
    found = [
        OtherLength(one.mark, length, one.cut_mm, tuple(begun.get(one.mark, ())))
        for one in pipes
        if (length := before.get(one.mark)) is not None and abs(one.cut_mm - length) > _SAME_MM
    ]
    return tuple(sorted(found, key=lambda one: not one.begun))
