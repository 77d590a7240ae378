"""Binding a package: drawn sheets and certificate pages in order of their numbers, with bookmarks and links."""

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from io import BytesIO
from pathlib import Path

from pikepdf import Array, Dictionary, Name, OutlineItem, Pdf, String

from reports.certificates import SAVE
from reports.contents import Entry, Spot
from reports.page import Book


def assemble(book: Book, bound: Iterator[Path], entries: Sequence[Entry], spots: Sequence[Spot], target: Path) -> None:
    """Close the book and write it with the bound files to `target`; each sheet goes where its number says."""
    with ExitStack() as opened, Pdf.new() as whole:
        drawn = opened.enter_context(Pdf.open(BytesIO(book.finish())))
        sheets = dict(zip(book.numbers, drawn.pages, strict=True))
        foreign = (page for path in bound for page in opened.enter_context(Pdf.open(path)).pages)
        for number in range(1, book.page_count + 1):
            whole.pages.append(sheets[number] if number in sheets else next(foreign))
        _link(whole, spots)
        _bookmark(whole, entries, spots[0].sheet)
        for name in ("/Title", "/Author", "/Subject", "/Creator", "/Producer", "/CreationDate", "/ModDate"):
            whole.docinfo[name] = str(drawn.docinfo[name])
        whole.Root.Lang = String("en")
        whole.Root.PageMode = Name.UseOutlines
        whole.save(target, deterministic_id=True, **SAVE)


def _link(whole: Pdf, spots: Sequence[Spot]) -> None:
    """Make each line of the contents lead to its page."""
    for spot in spots:
        link = Dictionary(
            Type=Name.Annot,
            Subtype=Name.Link,
            Rect=Array([round(edge, 2) for edge in spot.box]),
            Border=Array([0, 0, 0]),
            Dest=Array([whole.pages[spot.page - 1].obj, Name.Fit]),
        )
        page = whole.pages[spot.sheet - 1]
        if "/Annots" not in page:
            page.Annots = Array()
        page.Annots.append(whole.make_indirect(link))


def _bookmark(whole: Pdf, entries: Sequence[Entry], contents: int) -> None:
    """Bookmarks as the contents have them, after the cover and the contents themselves."""
    with whole.open_outline() as outline:
        outline.root += [OutlineItem("Cover", 0), OutlineItem("Contents", contents - 1)]
        for entry in entries:
            item = OutlineItem(entry.words, entry.page - 1)
            if entry.depth and outline.root:
                outline.root[-1].is_closed = True
                outline.root[-1].children.append(item)
            else:
                outline.root.append(item)
