"""The lots of a scope: what each asks, how its sample stands, and which welds were examined for it."""

from collections.abc import Iterator, Sequence

from inspection.queries.lots import lots_of, next_steps
from office.queries.paper.title import About
from reports.list_paper import ListPaper, Section
from reports.table import Column
from rules.lots import Lot
from rules.units import plain

_LOTS = (
    Column("Lot", 44, "bold"),
    Column("Asks", 62),
    Column("Welded", 16),
    Column("Needed", 16),
    Column("Examined", 18),
    Column("State", 34),
    Column("Next", 88),
)
_WELDS = (
    Column("Lot", 44),
    Column("Weld", 44, "bold"),
    Column("Att.", 10),
    Column("Welded by", 40),
    Column("Chosen as", 24),
    Column("Method", 16),
    Column("Result", 24),
    Column("Date", 24),
)
EMPTY = "No lot in this scope: no plan asks a share of welds and names the lot that shares it."
_NONE_EXAMINED = "No weld of these lots is examined or picked yet."


def lots_paper(about: About, *, signatures: tuple[str, ...] = ()) -> ListPaper:
    """Return the lots in which the scope's joints have a place; eight queries."""
    scope = about.scope
    ids = None if scope.kind == "job" else list(scope.joints().values_list("id", flat=True))
    lots = lots_of(about.job, ids)
    title = about.title("Lots of sample examination", "lots")
    if not lots:
        return ListPaper(title, (), EMPTY, signatures)
    sections = (
        Section(_LOTS, [_lot(lot) for lot in lots], EMPTY, "Lots"),
        Section(_WELDS, list(_welds(lots)), _NONE_EXAMINED, "Welds examined or picked", marked=(6, "rejected")),
    )
    return ListPaper(title, sections, EMPTY, signatures)


def _lot(lot: Lot) -> tuple[str, ...]:
    rule = lot.rule
    asks = f"{rule.method} of {plain(rule.share_percent)} % of {rule.kind} welds, {rule.asked_by or rule.plan}"
    numbers = (len(lot.standing), lot.needed, lot.counted)
    return lot.name, asks, *map(str, numbers), lot.state, " ".join(next_steps(lot))


def _welds(lots: Sequence[Lot]) -> Iterator[tuple[str, ...]]:
    for lot in lots:
        for one in lot.welds:
            if one.result or one.picked:
                day = str(one.examined[0]) if one.examined else ""
                welders = ", ".join(one.welders)
                yield lot.name, one.name, one.attempt, welders, one.picked, lot.rule.method, one.result, day
