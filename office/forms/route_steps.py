"""A route as rows to edit, a step each: from its text, back to its text, and one row more, less or elsewhere."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.http import QueryDict

from rules.route.grammar import ITEMS
from rules.route.parse import StepRefused, read_step

# More rows than this have more fields than a form may send; such a route is typed as text.
MOST_ROWS = 300
CHANGES = ("insert", "delete", "up", "down")


@dataclass(frozen=True, slots=True)
class StepRow:
    """One line of a route: item (empty where its words are none), the rest of it, note, how deep in branches."""

    item: str
    rest: str
    note: str = ""
    depth: int = 0


def rows_of(text: str) -> list[StepRow]:
    """The rows of a route's text; blank lines are none."""
    return _deep([_row(line) for line in text.splitlines() if line.strip()])


def text_of(rows: Sequence[StepRow]) -> str:
    """The text of rows, what stands in a branch indented. An empty row at the end is none yet."""
    return "".join(f"{_line(row)}\n" for row in _deep(rows) if row.item or row.rest or row.note)


def rows_sent(sent: QueryDict, units: str) -> list[StepRow]:
    """The rows that a form sends, empty ones among them; what holds line ends stays on its row.

    units   of bare numbers: US (inch) or SI (mm)
    """
    columns = (sent.getlist(name) for name in ("item", "rest", "note"))
    said = [tuple(" ".join(text.split()) for text in row) for row in zip(*columns, strict=False)]
    # A step typed out whole where only its rest was asked for is taken as the step that it names.
    rows = [StepRow(item if item in ITEMS else "", rest, note.replace(";", ",")) for item, rest, note in said]
    return _deep([replace(_row(row.rest), note=row.note) if _is_whole(row, units) else row for row in rows])


def _is_whole(row: StepRow, units: str) -> bool:
    """Whether the rest of a row is a whole step, `elbow 90`: in a row without an item, or one it can not follow."""
    if not row.item or not row.rest:
        return bool(row.rest)
    return bool(_row(row.rest).item) and _is_read(row.rest, units) and not _is_read(f"{row.item} {row.rest}", units)


def _is_read(line: str, units: str) -> bool:
    try:
        return read_step(line, 1, units) is not None
    except StepRefused:
        return False


def changed_rows(rows: Sequence[StepRow], do: str) -> tuple[list[StepRow], int]:
    """Rows after a change such as "insert 3" (a row below the third), and the place to go on at, both from 1.

    A change that is none, or of a row that is not there, leaves them as they are and goes on at 0.
    """
    verb, _, where = do.partition(" ")
    found = list(rows)
    place = int(where) if where.isascii() and where.isdigit() and len(where) < 5 else -1
    if verb not in CHANGES or not (0 if verb == "insert" else 1) <= place <= len(found):
        return found, 0
    if verb == "insert":
        found.insert(place, StepRow("run" if place else "start", ""))
        return _deep(found), place + 1
    row = found.pop(place - 1)
    if verb == "delete":
        return _deep(found), min(place, len(found))
    to = max(place - 2, 0) if verb == "up" else min(place, len(found))
    found.insert(to, row)
    return _deep(found), to + 1


def _row(line: str) -> StepRow:
    said, _, note = line.partition(";")
    words = said.split()
    for count in range(min(3, len(words)), 0, -1):
        name = " ".join(words[:count]).casefold()
        if name in ITEMS:
            return StepRow(name, " ".join(words[count:]), note.strip())
    return StepRow("", " ".join(words), note.strip())


def _deep(rows: Sequence[StepRow]) -> list[StepRow]:
    found, depth = [], 0
    for row in rows:
        found.append(replace(row, depth=depth))
        depth = depth + 1 if row.item == "branch" else max(0, depth - (row.item == "end branch"))
    return found


def _line(row: StepRow) -> str:
    said = f"{row.item} {row.rest}".strip()
    noted = f"{said}  ; {row.note}" if said and row.note else said or f"; {row.note}"
    return "  " * row.depth + noted
