"""The names of a person's own sheets and headings, as the page sends back what each means."""

from collections.abc import Mapping, Sequence

from office.importing.columns import header
from office.importing.forms import BY_NAME
from office.importing.guessing import Guess
from office.importing.own_names import MOST_ABOVE, OwnNames, OwnSheet

Given = dict[str, tuple[str, int]]


def given_sheets(data: Mapping[str, str], guesses: Sequence[Guess]) -> Given:
    """Return, by sheet, the form and the row of headings that were chosen; what is no choice stays as guessed."""
    found: Given = {}
    for number, one in enumerate(guesses):
        form = data.get(f"form-{number}", one.form)
        row = data.get(f"row-{number}", "")
        is_row = row.isascii() and row.isdigit() and 0 < int(row[:4]) <= MOST_ABOVE
        found[one.sheet] = (form if not form or header(form) in BY_NAME else one.form, int(row) if is_row else one.row)
    return found


def is_shown_anew(data: Mapping[str, str], given: Given) -> bool:
    """Say whether a sheet was chosen to be another one, or headed elsewhere, than the page showed columns for."""
    return any(data.get(f"shown-{number}", "") != f"{form}/{row}" for number, (form, row) in enumerate(given.values()))


def doubled(data: Mapping[str, str], guesses: Sequence[Guess]) -> list[str]:
    """Return a sentence for each column that two headings of one sheet were said to be."""
    told = []
    for number, one in enumerate(guesses):
        first: dict[str, str] = {}
        for heading in one.headings:
            column = data.get(f"column-{number}-{heading.place}", "")
            if column and column in first:
                told.append(
                    f"In {one.sheet}, “{first[column]}” and “{heading.written}” are both said to be {column};"
                    " accepted is one of them."
                )
            first.setdefault(column, heading.written)
    return told


def names_given(data: Mapping[str, str], guesses: Sequence[Guess], before: OwnNames) -> OwnNames:
    """Return what was said of each sheet and heading, beside what was said before of other files."""
    said = dict(before.sheets)
    for number, one in enumerate(guesses):
        form = BY_NAME.get(header(one.form))
        columns = {}
        for heading in one.headings if form else ():
            column = data.get(f"column-{number}-{heading.place}", "")
            columns[header(heading.written)] = column if form and column in form.by_name else ""
        said[header(one.sheet)] = OwnSheet(one.form, one.row, columns)
    return OwnNames(said)
