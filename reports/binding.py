"""Binding a package: drawn sheets and certificate pages in order of their numbers, with bookmarks and links."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from pikepdf import Array, Dictionary, Job, Name, OutlineItem, Pdf, String

from reports.certificates import SAVE, opened_pdf
from reports.contents import Entry, Spot
from reports.page import Book

Stack = list[tuple[Path, str]]  # files with the pages to take, "1-3"


def assemble(
    book: Book,
    certificates: Sequence[tuple[Path, int]],
    entries: Sequence[Entry],
    spots: Sequence[Spot],
    folder: Path,
    target: Path,
) -> None:
    """Close the book and write it with the certificates to `target`, each sheet where its number says.

    certificates  clean copies in the order of their pages, each with how many it has
    folder        for files that are made on the way; the pages go from file to file, so that memory stays small
    """
    drawn, whole = folder / "drawn.pdf", folder / "whole.pdf"
    drawn.write_bytes(book.finish())
    _join(list(_stack(book, drawn, certificates)), whole)
    with opened_pdf(whole) as pdf, opened_pdf(drawn) as own:
        _link(pdf, spots)
        _bookmark(pdf, entries, spots[0].sheet)
        for name in ("/Title", "/Author", "/Subject", "/Creator", "/Producer", "/CreationDate", "/ModDate"):
            pdf.docinfo[name] = str(own.docinfo[name])
        pdf.Root.Lang = String("en")
        pdf.Root.PageMode = Name.UseOutlines
        pdf.save(target, deterministic_id=True, **SAVE)


def _stack(book: Book, drawn: Path, certificates: Sequence[tuple[Path, int]]) -> Iterator[tuple[Path, str]]:
    """Files and page ranges in the order of the package."""
    sheets = {number: place for place, number in enumerate(book.numbers, start=1)}
    waiting = iter(certificates)
    number = 1
    while number <= book.page_count:
        if number in sheets:
            yield drawn, str(sheets[number])
            number += 1
        else:
            path, pages = next(waiting)
            yield path, f"1-{pages}"
            number += pages


def _join(stack: Stack, target: Path) -> None:
    """Join pages of files; qpdf reads each page's content only when it writes it."""
    pages = [{"file": str(path), "range": pages} for path, pages in stack]
    plain = {"compressStreams": "n", "decodeLevel": "none", "objectStreams": "preserve", "staticId": "", "noWarn": ""}
    Job({"empty": "", "outputFile": str(target), "pages": pages, **plain}).run()


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
            if entry.depth:
                outline.root[-1].is_closed = True
                outline.root[-1].children.append(item)
            else:
                outline.root.append(item)
