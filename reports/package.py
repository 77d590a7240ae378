"""The turnover package: every paper and certificate of a scope in one PDF, with contents, bookmarks, page numbers."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain
from pathlib import Path
from tempfile import TemporaryDirectory

from reports.binding import assemble
from reports.certificates import checked_pdf
from reports.contents import Entry, contents_title, draw_contents, sheets_of_contents
from reports.cover import draw_cover
from reports.data import CertificateFile, MarkedSheet, MissingItem, PackageData, WeldMapData
from reports.divider import draw_divider
from reports.examinations import draw_examinations
from reports.findings import draw_findings
from reports.heats import draw_heats
from reports.isometric.drawn import Isometric
from reports.isometric.paper import draw_isometric
from reports.list_paper import draw_list_paper
from reports.missing import draw_missing
from reports.page import Book
from reports.weld_log import draw_weld_log
from reports.weld_map import draw_weld_map
from reports.welders import draw_welders

REFUSED = "Papers that could not be bound in"


@dataclass(frozen=True, slots=True)
class PackageResult:
    """What came out: how many pages, and the certificates that are listed as missing instead of bound in."""

    pages: int
    bound: int
    refused: tuple[MissingItem, ...]


@dataclass(frozen=True, slots=True)
class _Step:
    """One entry of the contents: something to draw, `pages` that come from a file, or neither (a heading)."""

    words: str
    depth: int = 0
    draw: Callable[[Book], None] | None = None
    pages: int = 0
    clean: Path | None = None  # the copy of a certificate that is bound in


def package_pdf(data: PackageData, *, paper: str = "A4") -> bytes:
    """The package as bytes; for a large one use `write_package`."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "package.pdf"
        write_package(data, path, paper=paper)
        return path.read_bytes()


def write_package(
    data: PackageData, target: Path, *, paper: str = "A4", progress: Callable[[str], None] | None = None
) -> PackageResult:
    """Write the package to a file, the same bytes for the same data.

    target    where to write; what is there is replaced
    progress  told in a few words what is being done
    A certificate that cannot be read, is encrypted or has active content is named on the missing page with the reason;
    it never stops the package.
    """
    tell = progress or (lambda words: None)
    with TemporaryDirectory(dir=target.parent) as made:
        folder = Path(made)
        tell("looking into the certificates")
        certificates, refused = _certificates(data, folder)
        steps = [*_papers(data, refused), *certificates]
        title = contents_title(data.cover.title)
        book = Book(paper, data.cover.title)
        draw_cover(book, data.cover)
        front = book.page
        book.leave(sheets_of_contents(paper, title, [Entry(step.words, 0, step.depth) for step in steps]))
        entries = list(_drawn(book, steps, tell))
        book.pages = book.page
        book.turn_back(front)
        spots = draw_contents(book, title, entries)
        tell("binding")
        files = [(step.clean, step.pages) for step in steps if step.clean]
        assemble(book, files, entries, spots, folder, target)
    return PackageResult(book.page_count, len(files), tuple(refused))


def _drawn(book: Book, steps: Sequence[_Step], tell: Callable[[str], None]) -> Iterator[Entry]:
    """Draw step by step, leave room for the pages of files, and yield the entries with the pages they begin on."""
    for step in steps:
        yield Entry(step.words, book.page + 1, step.depth)
        if step.draw:
            tell(f"drawing {step.words}")
            step.draw(book)
        book.leave(step.pages)


def _papers(data: PackageData, refused: Sequence[MissingItem]) -> Iterator[_Step]:
    """What is drawn, in the order in which it is bound."""
    missing = replace(data.missing, items=chain(data.missing.items, refused))
    yield _Step("What is missing", draw=partial(draw_missing, data=missing))
    if data.weld_maps:
        yield _Step("Weld maps")
    for weld_map in data.weld_maps:
        title = weld_map.title
        sheet = f"sheet {title.sheet}" if title.sheet else ""
        words = "  ·  ".join(part for part in (title.number, sheet, title.supplement) if part)
        if isinstance(weld_map, MarkedSheet):
            yield _Step(f"{words}  ·  marked drawing", 1, pages=weld_map.pages, clean=Path(weld_map.content))
        else:
            yield _Step(words or title.title, 1, partial(_draw_map, data=weld_map))
    if data.weld_log:
        yield _Step("Weld log", draw=partial(draw_weld_log, data=data.weld_log))
    for log in data.logs:
        yield _Step(log.title.title, draw=partial(draw_list_paper, data=log))
    if data.findings:
        yield _Step("Findings", draw=partial(draw_findings, data=data.findings))
    if data.examinations:
        yield _Step("Examinations")
    for examinations in data.examinations:
        yield _Step(examinations.title.title, 1, partial(draw_examinations, data=examinations))
    if data.welders:
        yield _Step("Welder register", draw=partial(draw_welders, data=data.welders))
    if data.heats:
        yield _Step("Heat list", draw=partial(draw_heats, data=data.heats))
    if data.releases:
        yield _Step("Spool releases")
    for release in data.releases:
        yield _Step(release.title.title, 1, partial(draw_list_paper, data=release))


def _draw_map(book: Book, data: WeldMapData | Isometric) -> None:
    if isinstance(data, Isometric):
        draw_isometric(book, data)
    else:
        draw_weld_map(book, data)


def _certificates(data: PackageData, folder: Path) -> tuple[list[_Step], list[MissingItem]]:
    """A divider and its certificates for each set, and those that cannot be bound in as missing items."""
    steps: list[_Step] = []
    refused: list[MissingItem] = []
    for group in data.certificates:
        good: list[_Step] = []
        listed: list[tuple[CertificateFile, int]] = []
        for file in group.files:
            clean = folder / f"{len(steps) + len(good)}.pdf"
            found = checked_pdf(file.content, clean)
            if found.faults:
                refused.append(MissingItem(REFUSED, f"{file.label} ({file.name})", " ".join(found.faults)))
            else:
                good.append(_Step(file.label, 1, pages=found.pages, clean=clean))
                listed.append((file, found.pages))
        if group.files:
            draw = partial(draw_divider, title=data.cover.title, group=group, listed=listed)
            steps += [_Step(group.title, draw=draw), *good]
    return steps, refused
