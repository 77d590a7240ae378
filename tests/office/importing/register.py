"""A weld register as shops keep it, and the form of the page that says what its headings mean."""

from datetime import date
from html.parser import HTMLParser
from typing import Any

from django.test import Client

from records.models import Work
from tests.office.importing.pages import do
from tests.office.importing.test_own_names import names_page

# Two lines of headings: of the second, three are called Date, and what stands above them tells which.
REGISTER: list[list[object]] = [
    ["Weld register", None],
    [*[None] * 9, "Welding", None, None, "VT", None, None, "RT", None, None, None],
    ["Line", "Iso", "Sht", "Weld", "Type", "Size", "Sch", "S/F", "WPS", "Date", "Root", "Cap", "Date", "By", "Result",
     "Date", "By", "Report", "Result"],
    ["L-100", "ISO-1", "1", "21", "SW", "2", "80", "S", "P-1", date(2026, 9, 1), "A1", "A1", date(2026, 9, 2), "Ina Moe",
     "ACC", None, None, None, None],
    ["L-100", "ISO-1", "1", "22", "BW", "2", "80", "F", "P-2", date(2026, 9, 3), "A1", "B2", date(2026, 9, 4), "Ina Moe",
     "ACC", date(2026, 9, 5), "Ray Dahl", "R-7", "REJ"],
    ["L-100", "ISO-1", "1", "23", "SW", "2", "80", "S", "P-1", *[None] * 10],
]  # fmt: skip


class _Form(HTMLParser):
    """What a page's form would send: every input and select as it stands."""

    def __init__(self) -> None:
        super().__init__()
        self.sends: dict[str, str] = {}
        self.select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "select":
            self.select = said["name"]
            self.sends[self.select] = ""
            self.is_first = True
        elif tag == "option" and self.select:
            self.value = said.get("value")
            self.is_chosen = "selected" in said
            if self.is_chosen and self.value is not None:
                self.sends[self.select] = self.value
        elif tag == "input" and "name" in said:
            self.sends[said["name"]] = said.get("value", "")

    def handle_data(self, data: str) -> None:
        if self.select and getattr(self, "is_chosen", False) and self.value is None:
            self.sends[self.select] = data
            self.is_chosen = False

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self.select = ""


def form_of(page: str) -> dict[str, str]:
    """Return what the form of the names would send, as the page shows it."""
    reader = _Form()
    reader.feed(page[page.index('id="names"') :])
    return reader.sends


def texts(rows: list[list[object]]) -> list[list[str]]:
    return [["" if cell is None else str(cell) for cell in row] for row in rows]


def named(desk: Client, check: Work, said: dict[str, Any], *, is_anew: bool = False) -> Work:
    answer = desk.post(names_page(check), said)
    if is_anew:
        answer = desk.post(names_page(check), form_of(answer.content.decode()))
    assert answer.status_code == 302, answer.content.decode()
    return do(Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2]))
