"""The tours of the documents: their numbered steps, read as a stranger reads them, and walked in a browser.

Words in bold are what the screen shows; words in `backquotes` are typed, or name somebody, a joint or a file.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import Locator, expect

from tests.journeys.visitor import Visitor

ROOT = Path(__file__).resolve().parents[2]
STEP = re.compile(r"^\d+\. (.*(?:\n   .*)*)", re.MULTILINE)
MARKED = re.compile(r"\*\*[^*]+\*\*|`[^`]+`")
PAGES_READY_MS = 60_000


@dataclass(frozen=True, slots=True)
class Step:
    """One numbered step of a document, on one line."""

    number: int
    words: str


def steps(document: str, heading: str) -> list[Step]:
    """Return the numbered steps under a heading of a document."""
    said = (ROOT / document).read_text(encoding="utf-8")
    part = re.split(r"^## ", said.split(f"\n## {heading}\n", 1)[1], maxsplit=1, flags=re.MULTILINE)[0]
    return [Step(number, " ".join(words.split())) for number, words in enumerate(STEP.findall(part), start=1)]


class Walker:
    """Somebody who does what a tour says, and nothing else; `meet` signs people in by name."""

    def __init__(self, meet: Callable[[str], Visitor]) -> None:
        self.meet = meet
        self.person: Visitor
        self.place: Locator | None = None

    def walk(self, step: Step) -> None:
        """Do what a step says, in its order.

        Raises AssertionError where something in bold or backquotes is no deed, or is not on the screen
        """
        deeds = sorted(
            (found.start(), found.end(), does, found) for form, does in DEEDS for found in form.finditer(step.words)
        )
        for marked in MARKED.finditer(step.words):
            assert any(start <= marked.start() and marked.end() <= end for start, end, _, _ in deeds), (
                f"step {step.number} does not tell what to do with {marked[0]}: {step.words}"
            )
        for _, _, does, found in deeds:
            try:
                does(self, **found.groupdict())
            except Exception as error:
                error.add_note(f'step {step.number}, at "{found[0]}", on {self.person.page.url}')
                raise

    def be(self, name: str) -> None:
        """Sign in as somebody."""
        self.person, self.place = self.meet(name), None

    def under(self, heading: str) -> None:
        """Keep to the part of the page with this heading, for the next deed."""
        page = self.person.page
        named = page.get_by_role("heading", name=_begins(heading))
        self.place = page.locator("main section, main nav").filter(has=named).last
        expect(self.place, f"a part called {heading}").to_be_visible()

    def press(self, words: str, joint: str | None, row: str | None) -> None:
        """Press a button, follow a link or open what is folded, in the row of a joint (`1 of DRAWING/SHEET`) or of a text."""
        page = self.person.page
        place = self.place or page.locator("body")
        if joint:
            number, drawing = joint.split(" of ")
            place = place.locator("li, tr").filter(has_text=drawing)
            named: Any = re.compile(rf"^{re.escape(words)}\s+joint {re.escape(number)}$")
        else:
            place = place.locator("li, tr").filter(has_text=row) if row else place
            named = _begins(words)
        self._open_ways(words)
        target = place.get_by_role("button", name=named).or_(place.get_by_role("link", name=named))
        folded = place.locator("summary").filter(has_text=named)
        expect(target.or_(folded).first, f"something to press called {words}").to_be_visible()
        self.place = None
        if target.count() == 0:
            folded.first.click()
            return
        inner = (
            place.locator("main")
            .get_by_role("button", name=named)
            .or_(place.locator("main").get_by_role("link", name=named))
        )
        chosen = inner.first if inner.count() else target.first
        self.person.leave_by(chosen.click)

    def type(self, value: str, field: str) -> None:
        """Type into a field."""
        self._field(field).fill(value)

    def choose(self, choice: str, field: str | None) -> None:
        """Choose a radio button or tick a box by its words, or one of a list by its field."""
        page, named = self.person.page, _begins(choice)
        listed = page.locator("main select").and_(page.get_by_label(_begins(field))) if field else None
        if listed and listed.count():
            option = listed.locator("option").filter(has_text=named).first
            listed.first.select_option(value=option.get_attribute("value"))
            return
        place = page.get_by_role("group", name=_begins(field)) if field else page.locator("main")
        place.get_by_role("radio", name=named).or_(place.get_by_role("checkbox", name=named)).first.check()

    def send(self, file: str, field: str) -> None:
        """Choose a file of the project in a field."""
        self._field(field).set_input_files(ROOT / file)

    def find(self, text: str) -> None:
        """Type into the box at the top the name of one thing, and come to its page."""
        page = self.person.page
        page.keyboard.press("/")
        expect(page.locator("#find")).to_be_focused()
        page.keyboard.type(text)
        self.person.leave_by(lambda: page.keyboard.press("Enter"))

    def see(self, text: str) -> None:
        """Find words on the page."""
        shown = (self.place or self.person.page.locator("main")).get_by_text(text).locator("visible=true")
        expect(shown.first, f"{text} on the page").to_be_visible(timeout=PAGES_READY_MS)
        self.place = None

    def take(self, words: str) -> None:
        """Take a file off the page."""
        page = self.person.page
        with page.expect_download() as saved:
            (self.place or page.locator("main")).get_by_role("link", name=_begins(words)).first.click()
        assert saved.value.path().stat().st_size > 0
        self.place = None

    def _open_ways(self, words: str) -> None:
        """Unfold the part of the way round the job that leads to a page of this name, where it is folded."""
        link = self.person.page.locator("a", has_text=re.compile(rf"^\s*{re.escape(words)}\s*$"))
        folded = self.person.page.locator("nav.places details:not([open])").filter(has=link)
        for place in folded.locator("visible=true").all():
            place.locator("summary").click()

    def _field(self, label: str) -> Locator:
        page = self.person.page
        field = page.locator("main").locator("input, select, textarea").and_(page.get_by_label(_begins(label)))
        expect(field.first, f"a field called {label}").to_be_visible()
        return field.first


def _begins(words: str) -> re.Pattern[str]:
    """What begins with these words, as whole words: a label may go on with its unit or with `needed`."""
    return re.compile(rf"^\s*{re.escape(words)}(?![\w-])")


_BOLD, _TYPED = r"\*\*(?P<{0}>[^*]+)\*\*", r"`(?P<{0}>[^`]+)`"
_BESIDE = rf"(?: beside (?:joint (?P<joint>\S+ of [^\s.,;:]+)|{_TYPED.format('row')}))?"
DEEDS: tuple[tuple[re.Pattern[str], Callable[..., None]], ...] = (
    (re.compile(rf"\b[Aa]s {_TYPED.format('name')}"), Walker.be),
    (re.compile(rf"\b[Uu]nder {_BOLD.format('heading')}"), Walker.under),
    (re.compile(rf"\b(?:[Pp]ress|[Oo]pen|and then) {_BOLD.format('words')}{_BESIDE}"), Walker.press),
    (re.compile(rf"(?:\b[Tt]ype|,|and) {_TYPED.format('value')} as (?:the )?{_BOLD.format('field')}"), Walker.type),
    (re.compile(rf"\b[Cc]hoose {_BOLD.format('choice')}(?: as (?:the )?{_BOLD.format('field')})?"), Walker.choose),
    (re.compile(rf"\b[Cc]hoose {_TYPED.format('file')} as (?:the )?{_BOLD.format('field')}"), Walker.send),
    (re.compile(rf"\b[Ff]ind {_TYPED.format('text')}"), Walker.find),
    (re.compile(rf"\b(?:says?|shows?|see|stands?) {_BOLD.format('text')}"), Walker.see),
    (re.compile(rf"\b[Tt]ake {_BOLD.format('words')}"), Walker.take),
)
