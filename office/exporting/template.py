"""The empty job workbook: every sheet with its heads, and on each what it takes, with an example."""

from pathlib import Path

from office.exporting.examples import EXAMPLES
from office.importing.accepts import accepts_of
from office.importing.columns import Column, SheetForm, field_of
from office.importing.forms import FORMS
from reports.spreadsheet import Book, Head


def write_template(target: Path, units: str) -> None:
    """Write the template of a unit system, US or SI, as an .xlsx workbook. Raises OSError."""
    book = Book(target)
    for form in FORMS:
        book.sheet(form.name, [_head(form, column, units) for column in form.columns], is_template=True)
    book.close()


def example(form: SheetForm, column: Column) -> str:
    """Return what somebody could type into a column, an empty text where none is known."""
    own, any_sheet = EXAMPLES.get((form.name, column.name), ""), EXAMPLES.get(("", column.name), "")
    return own or accepts_of(column.parse).example or any_sheet


def _head(form: SheetForm, column: Column, units: str) -> Head:
    """A column that must be there says so in its own head: what stands in parentheses is ignored."""
    name = f"{column.name} (needed)" if column.needed else column.name
    choices = accepts_of(column.parse).choices
    # A list of words in a sheet holds 255 characters.
    return Head(
        name, column.needed, _note(form, column, units), choices if sum(map(len, choices)) + len(choices) < 255 else ()
    )


def _note(form: SheetForm, column: Column, units: str) -> str:
    accepted = accepts_of(column.parse)
    lines = [_asked(form, column)]
    if column.names:
        lines.append(f"The {column.names} as its own sheet has it.")
    elif words := accepted.in_units(units):
        lines.append(f"Accepted: {words}.")
    else:
        field = field_of(form, column)
        longest = getattr(field, "max_length", None)
        lines.append(f"Accepted: a text of up to {longest} characters." if longest else "Accepted: a text.")
    if said := example(form, column):
        lines.append(f"Example: {said}")
    return "\n".join(lines)


def _asked(form: SheetForm, column: Column) -> str:
    if column.filled:
        asked = "Needed in every row."
    elif column.needed:
        asked = "The column is needed; a cell may be blank."
    else:
        asked = "May be left out."
    is_one_of_several = column.name in form.identity and len(form.identity) > 1
    return f"{asked} With others it names the row." if is_one_of_several else asked
