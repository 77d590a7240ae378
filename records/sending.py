"""A list sent as a file: .csv as it is read, .xlsx once it is written; memory is flat."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile

from django.http import FileResponse, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase

from records.refusals import Implausible
from reports.spreadsheet import Cell, Head, TooLong, csv_lines, write_xlsx

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@dataclass(frozen=True, slots=True)
class ListTable:
    """A list as a table: its name, the heads of its columns, and its rows, which are read when they are asked for."""

    name: str
    heads: tuple[Head, ...]
    rows: Iterator[Sequence[Cell]]


def heads(*names: str) -> tuple[Head, ...]:
    """Return heads without notes."""
    return tuple(Head(name, is_bold=True) for name in names)


def send_list(table: ListTable, code: str, form: str) -> HttpResponseBase:
    """Send a list of a job as a file of a form, xlsx or csv. Raises Implausible where it is too long for a sheet."""
    name = f"{safe_name(f'{code} {table.name}')}.{form}"
    if form == "csv":
        return sent(csv_lines(table.heads, table.rows), name, "text/csv; charset=utf-8")
    with NamedTemporaryFile(prefix="spoolbook-", suffix=".xlsx") as file:
        try:
            write_xlsx(Path(file.name), table.name, table.heads, table.rows)
        except TooLong as error:
            raise Implausible(f"{error} Narrow the list, or take it as .csv.") from error
        # The name goes when this ends; what is open stays to be read.
        return send_file(Path(file.name), name)


def send_file(path: Path, name: str) -> FileResponse:
    """Send an .xlsx file to be saved."""
    response = FileResponse(path.open("rb"), as_attachment=True, filename=name, content_type=XLSX)
    response["X-Content-Type-Options"] = "nosniff"
    return response


def send_pdf(content: bytes, name: str) -> HttpResponse:
    """Send a PDF to be saved, under a name that every computer can write."""
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{safe_name(name)}.pdf"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def sent(pieces: Iterable[bytes], name: str, kind: str) -> StreamingHttpResponse:
    """Send pieces as a file to be saved, each as it comes."""
    response = StreamingHttpResponse(pieces, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def safe_name(name: str) -> str:
    """Return a name as every computer can write it."""
    return re.sub(r"[^A-Za-z0-9._-]+", "-", name).strip("-")
