"""The turnover package: one PDF that proves itself and that no certificate can break."""

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from reports.cover import draw_cover
from reports.data import CertificateFile, CertificateSet
from reports.package import REFUSED, package_pdf, write_package
from reports.page import CAUTION, Book
from tests.reports.papers import HASH, certificate, fonts_without_file, package, texts
from tests.reports.test_certificates import changed, locked, with_attachment, with_link_out, with_script


@pytest.fixture(scope="module")
def printed() -> bytes:
    return package_pdf(package())


def outline(pdf: bytes) -> list[tuple[int, str, int]]:
    """Depth, words and page number of every bookmark."""
    document = pypdfium2.PdfDocument(pdf)
    return [(item.level, item.get_title(), item.get_dest().get_index() + 1) for item in document.get_toc()]


def test_bookmarks_name_every_part_and_certificate(printed: bytes) -> None:
    words = [text for _, text, _ in outline(printed)]
    assert words[:4] == ["Cover", "Contents", "What is missing", "Weld maps"]
    assert words[-6:] == ["Material certificates", "MTR 4400", "MTR 4401", "MTR 4402", "MTR 4403", "MTR 4404"]
    for part in ("Weld log", "Findings", "Examinations", "Radiography", "Welder register", "Heat list"):
        assert part in words


def test_bookmarks_lead_to_the_right_pages(printed: bytes) -> None:
    pages = texts(printed)
    for depth, words, page in outline(printed):
        if words.startswith("MTR"):
            assert f"{words} sheet 1" in pages[page - 1]
        elif words in {"Weld log", "Findings", "Radiography", "Welder register", "Heat list", "What is missing"}:
            assert words in pages[page - 1]
            assert f"{page} of {len(pages)}" in pages[page - 1]
        assert depth <= 1


def test_the_contents_print_the_pages_that_the_bookmarks_lead_to(printed: bytes) -> None:
    contents = texts(printed)[1]
    for _, words, page in outline(printed)[2:]:
        assert f"{words.replace('  ', ' ')} {page}" in contents


def test_the_contents_are_linked_to_their_pages(printed: bytes) -> None:
    with pikepdf.open(BytesIO(printed)) as pdf:
        links = [link.Dest[0].objgen for link in pdf.pages[1].Annots]
        wanted = [pdf.pages[page - 1].obj.objgen for _, _, page in outline(printed)[2:]]
    assert links == wanted


def test_page_x_of_y_runs_through_certificates(printed: bytes) -> None:
    pages = texts(printed)
    drawn = [number for number, text in enumerate(pages, start=1) if CAUTION in text]
    assert len(pages) - len(drawn) == 1 + 2 + 3 + 1 + 2  # the pages of the five certificates
    for number in drawn:
        assert f"{number} of {len(pages)}" in pages[number - 1]


def test_the_cover_prints_the_journal_head_editions_and_scope(printed: bytes) -> None:
    cover = texts(printed)[0]
    for words in (f"12045:{HASH}", "ASME BPVC IX, 2021", "Line 1-CF-1101", "Brackwater Water Board", "Old Harbour"):
        assert words in cover


@pytest.mark.parametrize("count", [1, 12, 40, 90])
def test_a_cover_prints_every_remark_and_signs_beside_the_journal_head(count: int) -> None:
    remarks = tuple(
        f"Remark {n} says what it says of the {n}th table, which nobody has confirmed." for n in range(count)
    )
    cover = replace(package().cover, remarks=(*remarks, "Tables: " + ", ".join(f"table-{n}" for n in range(80))))
    book = Book("A4", cover.title)
    draw_cover(book, cover)
    pages = texts(book.finish())
    whole = " ".join(" ".join(pages).split())
    assert all(f"Remark {n} says" in whole for n in range(count)) and "table-79" in whole and "..." not in whole
    assert "Accepted for the client" in pages[-1] and "Journal head" in pages[-1]
    assert len(pages) == {1: 1, 12: 1, 40: 2, 90: 3}[count]


def test_a_divider_stands_before_each_set_of_certificates(printed: bytes) -> None:
    pages = texts(printed)
    divider = next(page for _, words, page in outline(printed) if words == "Material certificates")
    assert "Bound in as received" in pages[divider - 1] and "mtr-4.pdf" in pages[divider - 1]
    assert "MTR 4400 sheet 1" in pages[divider]


def test_only_fonts_of_certificates_are_not_ours(printed: bytes) -> None:
    assert set(fonts_without_file(printed)) <= {"/Helvetica"}  # what the invented mill used


def test_certificates_are_not_coded_anew(printed: bytes) -> None:
    with pikepdf.open(BytesIO(certificate("MTR 4400"))) as mill, pikepdf.open(BytesIO(printed)) as pdf:
        raw = mill.pages[0].Contents.read_raw_bytes()
        page = next(page for _, words, page in outline(printed) if words == "MTR 4400")
        assert pdf.pages[page - 1].Contents.read_raw_bytes() == raw


def test_bad_certificates_are_listed_with_reasons_and_break_nothing(tmp_path: Path) -> None:
    files = (
        CertificateFile("good.pdf", "MTR good", certificate("good")),
        CertificateFile("script.pdf", "MTR with script", changed("script", with_script)),
        CertificateFile("attached.pdf", "MTR with attachment", changed("attached", with_attachment)),
        CertificateFile("locked.pdf", "MTR locked", locked("secret")),
        CertificateFile("picture.pdf", "MTR picture", b"\x89PNG"),
        CertificateFile("gone.pdf", "MTR gone", str(tmp_path / "gone.pdf")),
    )
    target = tmp_path / "package.pdf"
    result = write_package(package(files), target)
    pages = texts(target.read_bytes())
    assert result.bound == 1 and len(result.refused) == 5 and result.pages == len(pages)
    missing = next(text for text in pages if REFUSED in text)
    for words in (
        "MTR with script (script.pdf)",
        "JavaScript",
        "other files embedded",
        "needs a password",
        "not a PDF",
    ):
        assert words in missing
    assert "The file is not there." in missing
    assert b"app.alert" not in target.read_bytes()
    assert list(tmp_path.iterdir()) == [target]


def test_links_out_of_a_certificate_are_taken_off() -> None:
    pdf = package_pdf(package((CertificateFile("link.pdf", "MTR link", changed("link", with_link_out)),)))
    assert b"elsewhere.example" not in pdf


def test_a_filled_form_and_a_stamp_are_printed_as_they_were_seen() -> None:
    def fill(pdf: pikepdf.Pdf) -> None:
        font = pikepdf.Dictionary(Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1, BaseFont=pikepdf.Name.Helvetica)
        look = pdf.make_stream(b"BT /F1 12 Tf 2 5 Td (heat 8812 passed) Tj ET")
        look.Type, look.Subtype, look.BBox = pikepdf.Name.XObject, pikepdf.Name.Form, [0, 0, 200, 20]
        look.Resources = pikepdf.Dictionary(Font=pikepdf.Dictionary(F1=font))
        field = pikepdf.Dictionary(
            Type=pikepdf.Name.Annot,
            Subtype=pikepdf.Name.Widget,
            FT=pikepdf.Name.Tx,
            T=pikepdf.String("result"),
            V=pikepdf.String("heat 8812 passed"),
            Rect=[100, 600, 300, 620],
            F=4,
            AP=pikepdf.Dictionary(N=look),
        )
        held = pdf.make_indirect(field)
        pdf.pages[0].Annots = pikepdf.Array([held])
        pdf.Root.AcroForm = pikepdf.Dictionary(Fields=pikepdf.Array([held]))

    files = (CertificateFile("form.pdf", "MTR form", changed("form", fill)),)
    assert "heat 8812 passed" in texts(package_pdf(package(files)))[-1]


def test_contents_of_many_certificates_take_more_sheets_and_still_count_right() -> None:
    files = tuple(
        CertificateFile(f"{n}.pdf", f"MTR number {n:03d}", certificate(f"MTR number {n:03d}")) for n in range(230)
    )
    pdf = package_pdf(package(files))
    pages = texts(pdf)
    assert "Contents" in pages[1] and "Turnover package" in pages[2]
    for _, words, page in outline(pdf)[-230:]:
        assert f"{words} sheet 1" in pages[page - 1]


def test_a_set_without_files_gets_no_divider() -> None:
    data = package(())
    assert data.certificates == (CertificateSet("Material certificates", ()),)
    assert "Material certificates" not in [words for _, words, _ in outline(package_pdf(data))]


def test_progress_is_told_in_words(tmp_path: Path) -> None:
    told: list[str] = []
    write_package(package(), tmp_path / "package.pdf", progress=told.append)
    assert "drawing Weld log" in told and told[-1] == "binding"


def test_the_same_data_gives_the_same_file(printed: bytes) -> None:
    assert package_pdf(package()) == printed


def test_properties_carry_title_and_date_of_issue(printed: bytes) -> None:
    with pikepdf.open(BytesIO(printed)) as pdf:
        assert str(pdf.docinfo["/Title"]) == "Turnover package CW-7-WL-01"
        assert str(pdf.docinfo["/CreationDate"]) == "D:20261124000000Z"
        assert str(pdf.Root.Lang) == "en"
