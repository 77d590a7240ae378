"""Make the pictures of the documents from the demonstration job; `make screenshots` runs it.

It serves a copy of the demonstration, opens the pages in Chromium and writes PNG files into docs/screenshots/.
Look at each before you commit it.
"""

import io
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pypdfium2
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from tests.journeys.deeds import JOB, open_joint
from tests.journeys.demonstration import BROWSER_FLAGS, browser_path, prepare, served
from tests.journeys.visitor import Visitor

PICTURES = Path(__file__).parent / "screenshots"
MOST_BYTES = 150_000
COLOURS = 200
PHONE = {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "is_mobile": True, "has_touch": True}
DESK = {"viewport": {"width": 1180, "height": 860}, "device_scale_factor": 1.5}
PDF_PIXELS_A_POINT = 1.6


@dataclass(frozen=True, slots=True)
class Picture:
    """A page as one person sees it; `joint` is the card it starts from, `press` what is pressed there."""

    name: str
    who: str
    device: dict[str, Any]
    path: str = ""
    joint: str = ""
    press: str = ""
    height: int = 0


WANTED = (
    Picture("joint-card", "welder", DESK, joint="OB-GL-203/2/4", height=900),
    Picture("joint-card-phone", "welder", PHONE, joint="OB-GL-203/2/4"),
    Picture("record-pass-phone", "welder", PHONE, joint="OB-GL-203/2/4", press="Record pass"),
    Picture("start-foreman", "foreman", DESK),
    Picture("assign", "foreman", DESK, joint="OB-BR-102/2/2", press="Assign a welder"),
    Picture("weld-log", "inspector", DESK, path="weld-log/"),
    Picture("progress", "engineer", DESK, path="progress/"),
    Picture("packages", "engineer", DESK, path="packages/"),
)
WELD_MAP = "GL-203"


def main() -> None:
    """Make every picture anew. Exits 1 where Chromium is missing or a picture is too large."""
    path = browser_path()
    if path is None:
        sys.exit("No Chromium: apt-get install chromium, or set SPOOLBOOK_CHROMIUM to one.")
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        prepare(Path(folder, "prepared"))
        with served(Path(folder, "prepared"), Path(folder, "site")) as site:
            browser = playwright.chromium.launch(executable_path=path, args=BROWSER_FLAGS)
            for picture in WANTED:
                keep(picture.name, taken(picture, browser, site))
            keep("weld-map", weld_map(browser, site))
            browser.close()


def taken(picture: Picture, browser: Browser, site: str) -> bytes:
    """Open the page and take its picture."""
    with somebody(picture.who, picture.device, browser, site) as person:
        page = person.page
        if picture.joint:
            open_joint(person, picture.joint)
        else:
            person.open(JOB + picture.path)
        if picture.press:
            with page.expect_navigation():
                page.locator("main").get_by_role("link", name=picture.press).first.click()
        if picture.height:
            page.set_viewport_size({"width": picture.device["viewport"]["width"], "height": picture.height})
        return settled(page).screenshot(animations="disabled")


def weld_map(browser: Browser, site: str) -> bytes:
    """The first sheet of a line's weld map, as it prints."""
    with somebody("engineer", DESK, browser, site) as person:
        person.open(f"{JOB}papers/")
        row = person.page.get_by_role("row", name=WELD_MAP)
        address = row.get_by_role("link", name="Weld map").get_attribute("href")
        paper_sent = person.page.request.get(f"{site}{address}").body()
    with pypdfium2.PdfDocument(paper_sent) as paper:
        drawn = paper[0].render(scale=PDF_PIXELS_A_POINT).to_pil()
    picture = io.BytesIO()
    drawn.save(picture, "PNG")
    return picture.getvalue()


@contextmanager
def somebody(who: str, device: dict[str, Any], browser: Browser, site: str) -> Iterator[Visitor]:
    """Somebody of the demonstration who has signed in."""
    context = browser.new_context(**device)
    yield Visitor(context.new_page(), site, is_touched=False, is_looking=False).sign_in(who)
    context.close()


def settled(page: Page) -> Page:
    """The page with its letters loaded, at its top, and nothing in focus."""
    page.evaluate("document.fonts.ready.then(() => { document.activeElement?.blur(); scrollTo(0, 0); })")
    return page


def keep(name: str, content: bytes) -> None:
    """Write a picture with few colours, which is all that ink on paper needs."""
    picture = Image.open(io.BytesIO(content)).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    path = PICTURES / f"{name}.png"
    picture.save(path, optimize=True)
    size = path.stat().st_size
    print(f"{path.name:<24} {picture.width} x {picture.height}  {size / 1000:.0f} kB")
    if size > MOST_BYTES:
        sys.exit(f"{path.name} has {size} bytes; at most {MOST_BYTES} are kept.")


if __name__ == "__main__":
    main()
