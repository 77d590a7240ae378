"""The names of a person's own sheets and headings, as the page sends back what each means."""

from collections.abc import Iterator, Mapping, Sequence

from office.importing.columns import SheetForm, header
from office.importing.forms import BY_NAME
from office.importing.further import MOST_FURTHER, begun
from office.importing.guessing import Guess
from office.importing.own_names import MOST_ABOVE, OwnNames, OwnPart, OwnSheet

Given = dict[str, tuple[str, int]]
_LONGEST_FIXED = 200


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
    """Say whether anything was chosen for which the page showed no columns yet."""
    for number, (form, row) in enumerate(given.values()):
        if data.get(f"shown-{number}", "") != f"{form}/{row}" or _form(data.get(f"add-{number}", "")):
            return True
        if any(form and form.name != shown for form, shown, _ in _further(data, number)):
            return True
    return False


def unchanged(data: Mapping[str, str], given: Given) -> set[str]:
    """Return the sheets that stay what the page showed, so that what was chosen of their columns is kept."""
    return {
        sheet
        for number, (sheet, (form, row)) in enumerate(given.items())
        if data.get(f"shown-{number}", "") == f"{form}/{row}"
    }


def doubled(data: Mapping[str, str], guesses: Sequence[Guess]) -> list[str]:
    """Return a sentence for each column that was said twice: two headings of one sheet, or a heading and a text."""
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
        told += _read_and_said(data, number, one)
    return told


def _read_and_said(data: Mapping[str, str], number: int, one: Guess) -> Iterator[str]:
    """A sentence for each column that is read from a heading and is the same in every row too."""
    written = {heading.key: heading.written for heading in one.headings}
    for part in _also(data, number, one):
        for column, text in part.fixed.items():
            if column in part.read:
                yield (
                    f"In {one.sheet}, {column} of {part.form} is read from “{written[part.read[column]]}”, and “{text}”"
                    " is written for every row too; accepted is one of them."
                )


def names_given(data: Mapping[str, str], guesses: Sequence[Guess], before: OwnNames) -> OwnNames:
    """Return what was said of each sheet and heading, beside what was said before of other files."""
    said = dict(before.sheets)
    for number, one in enumerate(guesses):
        form = _form(one.form)
        columns: dict[str, str] = {}
        for heading in one.headings if form else ():
            column = data.get(f"column-{number}-{heading.place}", "")
            columns[heading.key] = column if form and column in form.by_name else ""
        also = _also(data, number, one) if form else ()
        said[header(one.sheet)] = OwnSheet(one.form, one.row, columns, also=also)
    return OwnNames(said)


def _also(data: Mapping[str, str], number: int, one: Guess) -> tuple[OwnPart, ...]:
    """What the rows of a sheet were said to be besides; a kind that was only now chosen is guessed."""
    keys = {str(heading.place): heading.key for heading in one.headings}
    found: list[OwnPart] = []
    for form, shown, place in _further(data, number):
        if form is None:
            continue
        if form.name != shown:
            found.append(begun(form, one, found))
            continue
        read: dict[str, str] = {}
        fixed: dict[str, str] = {}
        for index, column in enumerate(form.columns):
            key = keys.get(data.get(f"from-{number}-{place}-{index}", ""))
            text = data.get(f"fixed-{number}-{place}-{index}", "").strip()[:_LONGEST_FIXED]
            if key is not None:
                read[column.name] = key
            if text:
                fixed[column.name] = text
        found.append(OwnPart(form.name, read, fixed))
    if added := _form(data.get(f"add-{number}", "")):
        found.append(begun(added, one, found))
    return tuple(found[:MOST_FURTHER])


def _further(data: Mapping[str, str], number: int) -> list[tuple[SheetForm | None, str, int]]:
    """What a sheet's rows were said to be besides: the kind, the kind whose columns were shown, and its place."""
    places = (place for place in range(MOST_FURTHER) if f"also-{number}-{place}" in data)
    return [
        (_form(data[f"also-{number}-{place}"]), data.get(f"also-shown-{number}-{place}", ""), place) for place in places
    ]


def _form(name: str) -> SheetForm | None:
    return BY_NAME.get(header(name)) if name else None
