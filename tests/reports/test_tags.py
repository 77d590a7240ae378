"""Tags on sheets of labels: every code read back by a reader of its own, every text on its own label."""

import pypdfium2
import pytest
import zxingcpp

from reports.page import SIZES
from reports.tags import LABELS, Tag, tags_pdf

ADDRESS = "https://spools.example.org/jobs/HW-7/joints/0f8fad5b-d9cb-469f-a165-7086772895{:02d}/"


def tags(count: int) -> list[Tag]:
    lines = ("CW-1101 sheet 1", "socket, field-fit", "NPS 1-1/2 Sch 80", "Spool BR-101-2A / BR-101-2B", "Line CW-1101")
    return [Tag(f"Joint {number}", lines, ADDRESS.format(number)) for number in range(count)]


@pytest.mark.parametrize("name", LABELS)
def test_labels_lie_on_the_paper_and_not_on_each_other(name: str) -> None:
    labels = LABELS[name]
    wide, high = SIZES[labels.paper]
    corners = [labels.corner(place) for place in range(labels.count)]
    for left, top in corners:
        assert left >= 0 and top >= 0 and left + labels.wide <= wide + 0.01 and top + labels.high <= high + 0.01
    for one, (left, top) in enumerate(corners):
        for other_left, other_top in corners[one + 1 :]:
            assert abs(left - other_left) >= labels.wide - 0.01 or abs(top - other_top) >= labels.high - 0.01


@pytest.mark.parametrize("name", LABELS)
def test_every_text_stands_whole_on_its_own_label(name: str) -> None:
    labels = LABELS[name]
    document = pypdfium2.PdfDocument(tags_pdf("Tags", tags(3), labels, first=2))
    page = document[0].get_textpage()
    for number in range(3):
        left, top = labels.corner(number + 1)
        high = SIZES[labels.paper][1]
        box = page.get_text_bounded(left, high - top - labels.high, left + labels.wide, high - top)
        assert f"Joint {number}" in box and "NPS 1-1/2 Sch 80" in box
        assert "Spool BR-101-2A / BR-101-2B" in box
        assert box.count("Joint") == 1
    left, top = labels.corner(0)
    assert not page.get_text_bounded(left, high - top - labels.high, left + labels.wide, high - top).strip()


def test_what_does_not_fit_on_one_sheet_goes_on_to_the_next() -> None:
    labels = LABELS["a4-8"]
    assert len(pypdfium2.PdfDocument(tags_pdf("Tags", tags(8), labels))) == 1
    assert len(pypdfium2.PdfDocument(tags_pdf("Tags", tags(8), labels, first=2))) == 2


def test_refuses_no_tags_and_a_label_that_the_sheet_lacks() -> None:
    with pytest.raises(ValueError, match="no tag"):
        tags_pdf("Tags", [], LABELS["a4-8"])
    with pytest.raises(ValueError, match="1 to 8; 9"):
        tags_pdf("Tags", tags(1), LABELS["a4-8"], first=9)


@pytest.mark.parametrize("name", LABELS)
def test_an_independent_reader_finds_each_address_on_its_label(name: str) -> None:
    labels = LABELS[name]
    page = pypdfium2.PdfDocument(tags_pdf("Tags", tags(labels.count), labels))[0]
    image = page.render(scale=300 / 72).to_pil()
    for place in range(labels.count):
        left, top = labels.corner(place)
        box = [round(edge * 300 / 72) for edge in (left, top, left + labels.wide, top + labels.high)]
        (read,) = zxingcpp.read_barcodes(image.crop(tuple(box)))
        assert read.text == ADDRESS.format(place)
