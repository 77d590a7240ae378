"""A client's drawing: what is taken, how its pages are seen, and marks that lie where they were put on any page."""

import math
import re
import sys
from io import BytesIO
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from PIL import ExifTags, Image, ImageChops, ImageDraw, ImageOps
from reportlab.pdfgen.canvas import Canvas

from reports.data import Ring
from reports.drawing_pages import MOST_PAGES, MOST_PIXELS, Ready, changed_around, ready_drawing, seen_size
from reports.marked_drawing import Marked, marked_pdf, marked_svg
from reports.vetting import MOST_MEMORY

WIDE, HIGH = 600.0, 400.0


def drawing(*, turn: int = 0, crop: tuple[float, ...] | None = None, pages: int = 1, words: str = "CLIENT") -> bytes:
    out = BytesIO()
    canvas = Canvas(out, pagesize=(WIDE, HIGH), invariant=1)
    for _ in range(pages):
        canvas.drawString(300, 200, words)
        canvas.showPage()
    canvas.save()
    with pikepdf.open(BytesIO(out.getvalue())) as pdf:
        for page in pdf.pages:
            if turn:
                page.obj.Rotate = turn
            if crop:
                page.obj.CropBox = pikepdf.Array([*crop])
        made = BytesIO()
        pdf.save(made, deterministic_id=True)
    return made.getvalue()


def image(kind: str = "PNG", size: tuple[int, int] = (800, 600), mode: str = "RGB", **more: object) -> bytes:
    out = BytesIO()
    Image.new(mode, size, 0 if mode == "CMYK" else "white").save(out, kind, **more)
    return out.getvalue()


def ready(content: bytes) -> Ready:
    found = ready_drawing(content)
    assert isinstance(found, Ready), found
    return found


@pytest.mark.parametrize(
    ("turn", "crop", "seen"),
    # Worked by hand: a quarter turn swaps the sides; of a crop box only what lies in the media box counts.
    [
        (0, None, (600, 400)),
        (90, None, (400, 600)),
        (180, None, (600, 400)),
        (270, None, (400, 600)),
        (0, (50, 30, 450, 330), (400, 300)),
        (90, (50, 30, 450, 330), (300, 400)),
        (270, (50, 30, 900, 330), (300, 550)),
    ],
)
def test_a_mark_lies_where_it_was_put_however_the_page_is_turned_and_cropped(
    turn: int, crop: tuple[float, ...] | None, seen: tuple[float, float]
) -> None:
    original = drawing(turn=turn, crop=crop)
    with pikepdf.open(BytesIO(original)) as pdf:
        assert seen_size(pdf.pages[0]) == pytest.approx(seen)
    # Far from the middle, so that no turn takes the place to itself.
    at = (seen[0] * 0.2, seen[1] * 0.15)
    made = marked_pdf(original, {1: [Marked("7", Ring("planned"), at, (at[0] + 60, at[1] + 40))]})
    page = pypdfium2.PdfDocument(made)[0]
    assert page.get_size() == pytest.approx(seen)
    picture = page.render(scale=2).to_pil().convert("L")
    dark = [(x, y) for x in range(picture.width) for y in range(picture.height) if picture.getpixel((x, y)) < 100]
    near = [(x, y) for x, y in dark if abs(x / 2 - at[0]) < 2 and abs(y / 2 - at[1]) < 2]
    assert len(near) > 8, "the dot on the weld is not where it was put"
    # What is drawn beside the client's own words all lies around the mark.
    plain = pypdfium2.PdfDocument(original)[0].render(scale=2).to_pil().convert("L")
    added = [(x, y) for x, y in dark if plain.getpixel((x, y)) >= 100]
    assert added and all(at[0] - 4 < x / 2 < at[0] + 90 and at[1] - 4 < y / 2 < at[1] + 60 for x, y in added)


def test_the_clients_own_streams_stay_byte_for_byte() -> None:
    original = drawing(turn=90)
    made = marked_pdf(original, {1: [Marked("7", Ring("welded"), (50, 60), (90, 60))]})
    with pikepdf.open(BytesIO(original)) as before, pikepdf.open(BytesIO(made)) as after:
        own = before.pages[0].obj.Contents.read_raw_bytes()
        assert own in [one.read_raw_bytes() for one in after.pages[0].obj.Contents]
        assert int(after.pages[0].obj.Rotate) == 90
    words = pypdfium2.PdfDocument(made)[0].get_textpage().get_text_range()
    assert "CLIENT" in words and "7" in words


def test_the_same_marks_give_the_same_bytes() -> None:
    marks = {1: [Marked("7", Ring("welded"), (50, 60), (90, 60))]}
    assert marked_pdf(drawing(), marks) == marked_pdf(drawing(), marks)


def test_four_hundred_joints_stand_on_a_sheet() -> None:
    marks = [
        Marked(str(n), Ring("planned"), (10 + n % 20 * 29, 10 + n // 20 * 19), (20 + n % 20 * 28, 10 + n // 20 * 19))
        for n in range(400)
    ]
    made = marked_pdf(drawing(), {1: marks})
    words = pypdfium2.PdfDocument(made)[0].get_textpage().get_text_range()
    assert set(re.findall(r"\d+", words)) >= {str(n) for n in range(400)}


def test_a_pdf_is_kept_as_it_is_and_each_page_has_a_picture() -> None:
    content = drawing(turn=90, pages=2)
    found = ready(content)
    assert found.pdf == content and len(found.pictures) == 2
    assert found.pages[0] == pytest.approx((400, 600))
    with Image.open(BytesIO(found.pictures[0])) as picture:
        assert picture.width / picture.height == pytest.approx(400 / 600, rel=0.01)


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_of_an_image_only_its_pixels_are_kept(kind: str) -> None:
    content = image(kind, dpi=(100, 100)) + b"PK\x03\x04 something behind it"
    found = ready(content)
    assert b"something behind it" not in found.pdf
    # 800 x 600 pixels at 100 to the inch are 8 x 6 in.
    assert found.pages == (pytest.approx((576, 432), abs=1),)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_an_image_stands_upright_however_the_camera_was_held(orientation: int) -> None:
    wide = Image.new("RGB", (300, 200), "white")
    ImageDraw.Draw(wide).rectangle((20, 10, 120, 60), fill="black")
    ImageDraw.Draw(wide).rectangle((20, 10, 40, 150), fill="black")
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    out = BytesIO()
    wide.save(out, "PNG", exif=exif)
    found = ready(out.getvalue())
    with Image.open(BytesIO(out.getvalue())) as sent, Image.open(BytesIO(found.pictures[0])) as shown:
        upright = ImageOps.exif_transpose(sent).convert("L")
        apart = ImageChops.difference(upright, shown.convert("L").resize(upright.size))
    assert found.pages[0][0] / found.pages[0][1] == pytest.approx(upright.width / upright.height)
    # Only the edges, where a pixel is half ink and half paper, may differ.
    assert sum(apart.histogram()[128:]) < 20


@pytest.mark.skipif(sys.platform != "linux", reason="the limit of memory is one of Linux")
@pytest.mark.parametrize("mode", ["RGB", "RGBA", "CMYK"])
def test_the_largest_image_is_taken_within_its_memory_and_a_larger_one_named(mode: str) -> None:
    kind = "JPEG" if mode == "CMYK" else "PNG"
    side = math.isqrt(MOST_PIXELS)
    assert MOST_MEMORY <= 256 * 1024 * 1024
    assert ready(image(kind, (side, side), mode)).pages
    assert "40,000,000 together are the most" in str(ready_drawing(image(kind, (side + 1, side + 1), mode)))


def encrypted() -> bytes:
    out = BytesIO()
    with pikepdf.open(BytesIO(drawing())) as pdf:
        pdf.save(out, encryption=pikepdf.Encryption(owner="a", user="b"))
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "The file is empty."),
        (b"hello", "It is no PDF, PNG or JPEG."),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", "It is no PDF, PNG or JPEG."),
        (image("GIF"), "It is no PDF, PNG or JPEG."),
        (image()[:200], "The image can't be read"),
        (encrypted(), "encrypted"),
        (drawing()[:300], ""),
        (drawing(pages=MOST_PAGES + 1), f"It has {MOST_PAGES + 1} pages; a drawing has at most {MOST_PAGES}."),
    ],
)
def test_what_is_no_drawing_is_refused_in_a_sentence(content: bytes, said: str) -> None:
    found = ready_drawing(content)
    assert isinstance(found, list) and found and said in " ".join(found)


def test_half_a_pdf_is_told_as_cut_off_and_a_damaged_one_as_damaged() -> None:
    whole = drawing()
    assert ready_drawing(whole[: len(whole) // 2]) == [
        "Its end is missing, as of a file that was cut off on its way; send it again, or print it to a new PDF."
    ]
    assert ready_drawing(whole[: len(whole) // 2] + b"%%EOF") == [
        "It is damaged: a part of it is missing or can't be read; send it again, or print it to a new PDF."
    ]


def test_a_change_near_a_mark_is_seen_and_one_far_from_it_is_not() -> None:
    before, after = ready(drawing()), ready(drawing(words="REVISED"))
    assert changed_around(before.pictures[0], after.pictures[0], (310, 195), before.pages[0])
    assert not changed_around(before.pictures[0], after.pictures[0], (60, 60), before.pages[0])


def test_a_thin_line_more_at_a_mark_is_seen_and_a_scan_shifted_by_a_pixel_is_not() -> None:
    def scan(x: int, *, more: bool = False) -> bytes:
        picture = Image.new("L", (600, 400), "white")
        drawn = ImageDraw.Draw(picture)
        drawn.line((x, 100, x, 300), 0, 2)
        if more:
            drawn.line((x, 200, x + 30, 200), 0, 1)
        out = BytesIO()
        picture.save(out, "PNG")
        return out.getvalue()

    assert changed_around(scan(200), scan(200, more=True), (200, 200), (600, 400))
    assert not changed_around(scan(200), scan(201), (200, 200), (600, 400))
    assert changed_around(scan(200), scan(210), (200, 200), (600, 400))


def test_the_page_on_the_screen_has_a_link_for_each_joint() -> None:
    mark = Marked("7<", Ring("rejected"), (50, 60), (90, 60), "/j/7/", "id-7", is_to_confirm=True)
    drawn = marked_svg([mark], picture="/p/1.png", wide=600, high=400, name="Drawing", is_open=lambda one: True)
    assert 'href="/j/7/"' in drawn and "Joint 7&lt;, rejected, to confirm" in drawn
    assert "style=" not in drawn and 'href="/p/1.png"' in drawn and Path("/p/1.png").name in drawn
