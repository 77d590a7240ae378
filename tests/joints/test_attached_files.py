"""The name of a file that somebody attaches, as it is kept."""

import pytest

from joints.attached_files import plain_name


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("../../../etc/cron.d/mill.pdf", "mill.pdf"),
        ("..\\..\\windows\\mill.pdf", "mill.pdf"),
        ("/etc/passwd", "passwd.pdf"),
        ("mill.html", "mill.html.pdf"),
        ("mill.pdf.exe", "mill.pdf.exe.pdf"),
        ("mill\u202efdp.exe", "millfdp.exe.pdf"),
        ("a\r\nSet-Cookie: b=c.pdf", "aSet-Cookie: b=c.pdf"),
        ("a\x00b.pdf", "ab.pdf"),
        ("....", ".pdf"),
        ("Prüfzeugnis 3.1.PDF", "Prüfzeugnis 3.1.PDF"),
        ("x" * 300 + ".pdf", "x" * 196 + ".pdf"),
    ],
)
def test_keeps_of_a_name_what_can_do_no_harm(sent: str, kept: str) -> None:
    assert plain_name(sent) == kept
