"""Which tables of standards an engineer has confirmed on a job, and how screens and papers say so."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from records.models import Confirmation, Job
from records.standing import standing_on
from rules.confirmation import edition_asked, is_of_edition
from rules.tables import table_names

UNCONFIRMED = "unconfirmed"
Row = Sequence[str]  # table, and the key of one of its rows or an empty text for the whole


class Confirmed:
    """The confirmations that stand on a job, of each table or row the latest.

    standing  (table, row key) to confirmation; one of the edition that the job uses comes before any other
    asked     by table the edition that the job uses, where it names one
    """

    def __init__(self, standing: Mapping[tuple[str, str], Confirmation], asked: Mapping[str, str]) -> None:
        self.standing, self.asked = standing, asked

    def of(self, table: str, row: str = "") -> Confirmation | None:
        """What confirms this row in the job's edition: a confirmation of its table, or of the row itself."""
        return self._counting(table, "") or (self._counting(table, row) if row else None)

    def told(self, one: Confirmation) -> str:
        """Who confirmed, when and against which edition, and that the job uses another where it does."""
        if self.counts(one):
            return confirmed_words(one)
        return f"{UNCONFIRMED}: {confirmed_words(one)}, and the job uses {self.asked[one.table]}"

    def counts(self, one: Confirmation) -> bool:
        """Whether the edition that was read is the one that the job uses."""
        return is_of_edition(one.edition, self.asked.get(one.table, ""))

    def _counting(self, table: str, row: str) -> Confirmation | None:
        one = self.standing.get((table, row))
        return one if one and self.counts(one) else None

    def missing(self, rows: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
        """Those of the rows that nobody confirmed."""
        return [one for one in rows if self.of(one[0], one[1]) is None]

    @property
    def keys(self) -> frozenset[tuple[str, str]]:
        """(table, row key) of all that is confirmed in the edition that the job uses."""
        return frozenset(key for key, one in self.standing.items() if self.counts(one))

    def words(self, rows: Iterable[Row]) -> str:
        """Say "confirmed by ..." or "unconfirmed"; nothing for a figure that comes from no table."""
        named = list(rows)
        if not named:
            return ""
        found = [self.of(one[0], one[1]) for one in named]
        if None in found:
            others = (self.standing.get(key) for one in named for key in ((one[0], ""), (one[0], one[1])))
            told = dict.fromkeys(self.told(one) for one in others if one and not self.counts(one))
            return "; ".join(told) or UNCONFIRMED
        return "; ".join(dict.fromkeys(confirmed_words(one) for one in found if one))


def confirmed_on(job: Job, until: date = date.max) -> Confirmed:
    """Return the confirmations that stand on a job; one query.

    until  leave out those dated after this day
    """
    standing = standing_on(Confirmation.objects.filter(job=job), until).filter(is_withdrawn=False)
    rows = list(standing.order_by("done_on", "recorded_at"))
    names = {one.table for one in rows} & set(table_names())
    asked = {
        name: edition_asked(name, job.construction_code, job.edition, job.welders_edition) for name in sorted(names)
    }
    found = Confirmed({}, asked)
    ordered = sorted(rows, key=found.counts)
    return Confirmed({(one.table, one.row): one for one in ordered}, asked)


def confirmed_words(one: Confirmation) -> str:
    """Who confirmed, when, and against which edition."""
    return f"confirmed by {one.by}, {one.done_on.isoformat()}, edition {one.edition}"
