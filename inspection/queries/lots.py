"""The lots of a job as pages show them: which are short, and one with its welds."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from uuid import UUID

from records.facts import Library
from records.lots import lots_touching
from records.models import Job
from rules.lots import BASES, Lot, parse_basis, told_extra, told_short
from rules.units import plain

PAGE = 50
STATES = ("extra examinations due", "sample short", "sample complete")


@dataclass(frozen=True, slots=True)
class LotsPage:
    """One page of lots, those that ask for most first; `unnamed` are rules that ask a share and name no lot."""

    rows: tuple[Lot, ...]
    counts: tuple[tuple[str, int], ...]
    unnamed: tuple[str, ...]
    previous: str
    next: str


def lots_page(job: Job, state: str, *, after: str = "", before: str = "") -> LotsPage:
    """Return one page of lots; seven queries, whatever the number of lots.

    after, before  the place of a lot, as the page gave it
    """
    library = Library(job)
    found = sorted(lots_touching(job, None, library), key=place)
    wanted = [lot for lot in found if state in ("", lot.state)]
    rows, has_previous, has_next = _cut(wanted, after, before)
    return LotsPage(
        rows=tuple(rows),
        counts=tuple((one, sum(1 for lot in found if lot.state == one)) for one in STATES),
        unnamed=tuple(_unnamed(library)),
        previous=place(rows[0]) if rows and has_previous else "",
        next=place(rows[-1]) if rows and has_next else "",
    )


def lots_of(job: Job, joint_ids: Collection[UUID] | None) -> list[Lot]:
    """Return the lots in which any of these joints has a place, all of the job's where None; at most ten queries."""
    return sorted(lots_touching(job, joint_ids, Library(job)), key=place)


def place(lot: Lot) -> str:
    """Where a lot stands in the list: by what it asks, then by plan, method and name."""
    return f"{STATES.index(lot.state)}.{lot.rule.plan}.{lot.rule.method}.{lot.rule.kind}.{lot.name}.{lot.rule.id}"


def _cut(lots: Sequence[Lot], after: str, before: str) -> tuple[list[Lot], bool, bool]:
    if before:
        earlier = [lot for lot in lots if place(lot) < before]
        return earlier[-PAGE:], len(earlier) > PAGE, True
    later = [lot for lot in lots if place(lot) > after]
    return later[:PAGE], len(later) < len(lots), len(later) > PAGE


def _unnamed(library: Library) -> list[str]:
    """Rules that ask a share and name no lot that is known, each as a sentence."""
    told = []
    for row in (row for rows in library.exam_rules.values() for row in rows if row.share_percent < 100):
        if parse_basis(row.lot_basis, row.lot_size) is None:
            asks = f"The plan {row.plan.name} asks {row.method} of {plain(row.share_percent)} % of"
            names = f"its lot basis “{row.lot_basis}” is not known" if row.lot_basis.strip() else "names no lot"
            held = f"so that no sample is held; accepted are {', '.join(BASES)}"
            told.append(f"{asks} {row.joint_kind} welds and {names}, {held}.")
    return told


def lot_named(job: Job, rule: UUID, name: str) -> Lot | None:
    """Return a lot of an exam rule by its name, None where there is none; seven queries."""
    found = lots_touching(job, None, Library(job), only=rule)
    return next((lot for lot in found if lot.name == name), None)


def next_steps(lot: Lot) -> list[str]:
    """What is to be done about a lot next, each as a sentence."""
    told = [told_extra(lot, one) for one in lot.extras if one.due]
    if lot.short:
        told.append(told_short(lot))
        if lot.to_pick:
            told.append(f"Pick {lot.to_pick} more.")
        if lot.pending:
            told.append(f"{lot.pending} picked and not examined yet.")
    return told
