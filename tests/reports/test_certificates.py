"""Which certificates may be bound in."""

from io import BytesIO
from pathlib import Path
from random import Random

import pikepdf
import pytest

from reports.certificates import check_pdf, checked_pdf
from tests.reports.papers import certificate


def changed(words: str, change: object) -> bytes:
    """A certificate after `change(pdf)`."""
    out = BytesIO()
    with pikepdf.open(BytesIO(certificate(words))) as pdf:
        change(pdf)  # type: ignore[operator]
        pdf.save(out)
    return out.getvalue()


def with_script(pdf: pikepdf.Pdf) -> None:
    pdf.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS=pikepdf.String("app.alert(1)"))


def with_script_on_a_link(pdf: pikepdf.Pdf) -> None:
    action = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS=pikepdf.String("app.alert(1)"))
    link = pikepdf.Dictionary(Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Link, Rect=[0, 0, 9, 9], A=action)
    pdf.pages[0].Annots = pikepdf.Array([link])


def with_launch(pdf: pikepdf.Pdf) -> None:
    pdf.pages[0].AA = pikepdf.Dictionary(O=pikepdf.Dictionary(S=pikepdf.Name.Launch, F=pikepdf.String("calc.exe")))


def with_attachment(pdf: pikepdf.Pdf) -> None:
    pdf.attachments["a.txt"] = b"hello"


def with_link_out(pdf: pikepdf.Pdf) -> None:
    action = pikepdf.Dictionary(S=pikepdf.Name.URI, URI=pikepdf.String("http://elsewhere.example/"))
    link = pikepdf.Dictionary(Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Link, Rect=[0, 0, 9, 9], A=action)
    pdf.pages[0].Annots = pikepdf.Array([pdf.make_indirect(link)])


def without_pages(pdf: pikepdf.Pdf) -> None:
    del pdf.pages[0]


def locked(user: str) -> bytes:
    out = BytesIO()
    with pikepdf.open(BytesIO(certificate("locked"))) as pdf:
        pdf.save(out, encryption=pikepdf.Encryption(user=user, owner="owner"))
    return out.getvalue()


def test_a_plain_certificate_has_no_fault() -> None:
    assert check_pdf(certificate("MTR 4471", 3)) == []
    assert checked_pdf(certificate("MTR 4471", 3)).pages == 3


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (with_script, "It contains JavaScript."),
        (with_script_on_a_link, "It contains JavaScript."),
        (with_launch, "It starts other programs."),
        (with_attachment, "It has other files embedded in it."),
        (without_pages, "It has no pages."),
    ],
)
def test_active_content_is_named(change: object, sentence: str) -> None:
    assert check_pdf(changed("bad", change)) == [sentence]


def test_encryption_is_named_with_and_without_a_password() -> None:
    assert check_pdf(locked("secret")) == ["It is encrypted and needs a password."]
    assert check_pdf(locked("")) == ["It is encrypted; ask its sender for one that is not."]


@pytest.mark.parametrize("content", [b"", b"\x89PNG not a PDF", b"PK\x03\x04", b"<html>"])
def test_what_only_pretends_to_be_a_pdf_is_named(content: bytes) -> None:
    assert check_pdf(content) == ["It is not a PDF."]


@pytest.mark.parametrize("content", [b"%PDF-1.7\n", b"%PDF-1.7\n" + b"\x00" * 4000, certificate("cut")[:300]])
def test_a_broken_pdf_is_named_without_a_place_in_memory(content: bytes) -> None:
    (fault,) = check_pdf(content)
    assert fault.startswith(("It is not a readable PDF: ", "It has no pages."))
    assert "0x" not in fault


def test_a_file_that_is_gone_is_named(tmp_path: Path) -> None:
    assert check_pdf(tmp_path / "gone.pdf") == ["The file is not there."]
    assert check_pdf(str(tmp_path)) != []


def test_a_path_is_as_good_as_bytes(tmp_path: Path) -> None:
    path = tmp_path / "mtr.pdf"
    path.write_bytes(certificate("MTR", 2))
    assert checked_pdf(path).pages == checked_pdf(str(path)).pages == 2


def test_a_damaged_certificate_is_refused_or_bound_but_never_breaks_off(tmp_path: Path) -> None:
    whole = bytearray(changed("filled", with_link_out))
    dice = Random(8812)
    outcomes = set()
    for turn in range(300):
        damaged = bytearray(whole)
        for _ in range(dice.randint(1, 12)):
            damaged[dice.randrange(8, len(damaged))] = dice.randrange(256)
        clean = tmp_path / f"{turn}.pdf"
        found = checked_pdf(bytes(damaged), clean)
        assert all(fault.endswith(".") for fault in found.faults)
        outcomes.add(bool(found.faults))
        if not found.faults:
            with pikepdf.open(clean) as pdf:
                assert len(pdf.pages) == found.pages
    assert outcomes == {True, False}
