"""Which tables of standards an engineer has confirmed on a job, and how screens and papers say so."""

from collections.abc import Iterable, Mapping, Sequence

from records.models import Confirmation, Job

UNCONFIRMED = "unconfirmed"
Row = Sequence[str]  # table, and the key of one of its rows or an empty text for the whole


class Confirmed:
    """The confirmations that stand on a job, the latest of each table or row."""

    def __init__(self, standing: Mapping[tuple[str, str], Confirmation]) -> None:
        self.standing = standing

    def of(self, table: str, row: str = "") -> Confirmation | None:
        """What confirms this row: a confirmation of its table, or of the row itself."""
        return self.standing.get((table, "")) or (self.standing.get((table, row)) if row else None)

    def missing(self, rows: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
        """Those of the rows that nobody confirmed."""
        return [one for one in rows if self.of(one[0], one[1]) is None]

    @property
    def keys(self) -> frozenset[tuple[str, str]]:
        """(table, row key) of all that is confirmed."""
        return frozenset(self.standing)

    def words(self, rows: Iterable[Row]) -> str:
        """Say "confirmed by ..." or "unconfirmed"; nothing for a figure that comes from no table."""
        named = list(rows)
        if not named:
            return ""
        found = [self.of(one[0], one[1]) for one in named]
        told = dict.fromkeys(confirmed_words(one) for one in found if one)
        return UNCONFIRMED if None in found else "; ".join(told)


def confirmed_on(job: Job) -> Confirmed:
    """Return the confirmations that stand on a job; one query."""
    rows = Confirmation.objects.filter(job=job, replaced_by__isnull=True, is_withdrawn=False)
    return Confirmed({(one.table, one.row): one for one in rows.order_by("done_on", "recorded_at")})


def confirmed_words(one: Confirmation) -> str:
    """Who confirmed, when, and against which edition."""
    return f"confirmed by {one.by}, {one.done_on.isoformat()}, edition {one.edition}"
