"""Somebody at a phone, a tablet or a desk, who looks closely at every page that opens."""

import re
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

from playwright.sync_api import ConsoleMessage, Locator, Page, Response

PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True}
TABLET = {"viewport": {"width": 820, "height": 1180}, "is_mobile": True, "has_touch": True}
DESK = {"viewport": {"width": 1280, "height": 800}}
PASSWORD = "spool-demo-2026"
AXE = (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")
STANDARD = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# A form that was refused answers with one of these; the browser writes the status of a page into its console. So it does
# where a test took its signal away, and that may come when the signal is back.
EXPECTED = re.compile(r"status of (422|409)\b|ERR_INTERNET_DISCONNECTED")
RUN_AXE = """async ({tags, rules}) => {
  const runOnly = rules ? {type: "rule", values: rules} : {type: "tag", values: tags};
  const found = await axe.run(document, {runOnly, resultTypes: ["violations"]});
  return found.violations.flatMap(one => one.nodes.map(node =>
    `${one.id}: ${node.html.slice(0, 160)} | ${(node.any[0] || node.all[0] || node.none[0] || {message: one.help}).message}`));
}"""
WIDER_THAN_THE_PAGE = """() => {
  const more = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  return more > 0 ? [`${more} px too wide`] : [];
}"""
# A link inside a sentence can't be taller than its line; everything else that is pressed must suit a glove.
TOO_SMALL = """least => [...document.querySelectorAll("a[href], button, summary, select, textarea, input:not([type=hidden])")]
  .filter(one => one.checkVisibility({visibilityProperty: true}) && !one.matches(".skip"))
  .filter(one => !(one.matches("a") && getComputedStyle(one).display === "inline" && one.parentElement.closest("p, dd, li, td")
      && one.parentElement.textContent.trim().length > one.textContent.trim().length))
  .map(one => [one, (one.matches("[type=radio], [type=checkbox]") ? one.closest("label") : one).getBoundingClientRect()])
  .filter(([one, box]) => box.height < least - 0.5 || box.width < least - 0.5)
  .map(([one, box]) => `${one.outerHTML.slice(0, 120)}: ${Math.round(box.width)} x ${Math.round(box.height)} px`)"""
LEAST_TOUCH_PX = 48
IN_THE_FIELD = ("welder", "hamish", "foreman", "inspector")
# What a page is made of: a page of the same kind and make, with other words, need not be looked at twice.
MAKE = """() => [...new Set([...document.querySelectorAll("*")].map(one =>
  `${one.localName}.${one.getAttribute("class") ?? ""}.${one.getAttribute("aria-invalid") ?? ""}.${one.disabled ?? ""}`))].sort().join()"""
UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f-]{27}")
# The page of one piece, spool or filler lot, and its forms, are used in the shop and the yard.
IN_THE_SHOP = re.compile(r"/(?:pieces|spools|filler-lots)/[0-9a-f]{8}-")


class Visitor:
    """One person with one browser; `page` is where they are.

    is_touched  whether they use the screen with a thumb
    is_looking  whether pages are held against the standards; without scripts nothing can look
    seen        a folder with a mark of each make of page that anybody looked at, in whatever process
    complaints  what the browser's console said against the site
    """

    def __init__(
        self, page: Page, site: str, *, is_touched: bool, is_looking: bool = True, seen: Path | None = None
    ) -> None:
        self.page, self.site, self.seen = page, site, seen
        self.is_touched, self.is_looking = is_touched, is_looking
        self.name = ""
        self.complaints: list[str] = []
        page.on("console", self._hear)
        page.on("pageerror", lambda error: self.complaints.append(f"{page.url}: {error}"))
        page.on("response", self._see)

    def _hear(self, said: ConsoleMessage) -> None:
        if said.type in ("error", "warning") and not EXPECTED.search(said.text):
            self.complaints.append(f"{self.page.url}: {said.text}")

    def _see(self, answer: Response) -> None:
        if answer.status >= 500:
            self.complaints.append(f"{answer.url}: status {answer.status}")

    def sign_in(self, name: str) -> "Visitor":
        """Come in by the door, to the start page of the one job."""
        self.open("/sign-in/")
        self.page.get_by_label("Name you sign in with").fill(name)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.name = name
        return self.press("Sign in")

    def drag(self, start: tuple[float, float], by: tuple[float, float]) -> None:
        """Drag from a place of the window, with a thumb where they use one, else with the mouse."""
        page, steps = self.page, 4
        places = [(start[0] + by[0] * step / steps, start[1] + by[1] * step / steps) for step in range(steps + 1)]
        if not self.is_touched:
            page.mouse.move(*start)
            page.mouse.down()
            for place in places[1:]:
                page.mouse.move(*place)
            page.mouse.up()
            return
        thumb = page.context.new_cdp_session(page)
        for kind, place in zip(["touchStart", *["touchMove"] * steps], places, strict=True):
            thumb.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": place[0], "y": place[1]}]})
        thumb.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        thumb.detach()

    def tap(self, place: tuple[float, float]) -> None:
        """Tap a place of the window, or click it."""
        (self.page.touchscreen.tap if self.is_touched else self.page.mouse.click)(*place)

    def open(self, path: str) -> "Visitor":
        """Go to an address and look at the page."""
        self.page.goto(path if path.startswith("http") else self.site + path)
        return self.look()

    def press(self, words: str | re.Pattern[str], within: Locator | None = None) -> "Visitor":
        """Press the button or follow the link with these words, and look at the page that opens."""
        place = within or self.page.locator("main")
        button = place.get_by_role("button", name=words).or_(place.get_by_role("link", name=words))
        return self.leave_by(button.first.click)

    def leave_by(self, act: Callable[[], Any]) -> "Visitor":
        """Do what opens another page, wait for that page and look at it."""
        with self.page.expect_navigation():
            act()
        return self.look()

    def look(self) -> "Visitor":
        """Look at the page as closely as this visitor does."""
        return self.look_closely() if self.is_looking else self

    def look_closely(self) -> "Visitor":
        """Hold the page against WCAG 2.2 AA in light and dark, the width of the screen and the size of a gloved thumb."""
        page = self.page
        self._hold("a quiet console", self.complaints)
        if not self._is_new(f"{self.wide} {UUID.sub('ID', page.url.removeprefix(self.site))} {page.evaluate(MAKE)}"):
            return self
        page.evaluate(AXE)
        # At the end of the page nothing lies under the main action, which sticks to the edge of the screen.
        page.evaluate("scrollTo(0, document.body.scrollHeight)")
        page.emulate_media(color_scheme="light")
        self._hold("WCAG 2.2 AA in light", page.evaluate(RUN_AXE, {"tags": STANDARD, "rules": None}))
        page.emulate_media(color_scheme="dark")
        self._hold("WCAG 2.2 AA in dark", page.evaluate(RUN_AXE, {"tags": STANDARD, "rules": ["color-contrast"]}))
        page.emulate_media(color_scheme="light")
        self._hold("no scrolling sideways", page.evaluate(WIDER_THAN_THE_PAGE))
        if self.is_touched and self.is_in_the_field:
            self._hold("targets for a gloved thumb", page.evaluate(TOO_SMALL, LEAST_TOUCH_PX))
        return self

    def _is_new(self, make: str) -> bool:
        """Whether nobody has looked at such a page yet; somebody does now."""
        assert self.seen, "who looks closely remembers what they saw"
        try:
            (self.seen / sha256(make.encode()).hexdigest()).touch(exist_ok=False)
        except FileExistsError:
            return False
        return True

    def _hold(self, what: str, faults: list[str]) -> None:
        assert not faults, "\n  ".join([f"{self.page.url}, {what}:", *faults])

    def box(self, label: str) -> Locator:
        """The field with this label; buttons beside it bear the label too."""
        return self.page.locator("input, select, textarea").and_(self.page.get_by_label(label))

    @property
    def wide(self) -> int:
        """How wide the screen is, in px."""
        return (self.page.viewport_size or {"width": 0})["width"]

    @property
    def is_in_the_field(self) -> bool:
        """Whether this is a page used at the joint: the card, its forms, calculators, the start page of who goes there."""
        is_start = re.search(r"/jobs/[^/]+/$", self.page.url) is not None
        is_there = (
            "/joints/" in self.page.url or "/calculators/" in self.page.url or bool(IN_THE_SHOP.search(self.page.url))
        )
        return is_there or (is_start and self.name in IN_THE_FIELD)

    @property
    def words(self) -> str:
        """What stands on the page."""
        return self.page.locator("main").inner_text()
