"""Make a sent drawing ready to mark up, in a process of its own: checked, images encoded anew, pages as pictures.

Run as `python -m reports.drawing_pages FOLDER`, with the file on standard input. It writes `drawing.pdf` and `1.png`,
`2.png`, ... into the folder, and answers with the sizes of the pages, or the faults, as JSON.
"""

import json
import os
import subprocess
import sys
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

import pypdfium2
from pikepdf import Dictionary, Name, Page, Pdf, Stream
from PIL import ExifTags, Image, ImageChops, ImageFilter, UnidentifiedImageError

from reports.certificates import TOO_MUCH
from reports.vetting import ROOT, confine, faults_of

MOST_BYTES: Final = 20 * 1024 * 1024
MOST_PAGES: Final = 20
MOST_PIXELS: Final = 40_000_000  # four bytes each in memory
STRIP_PX: Final = 256  # so many rows of an image are packed at a time
MOST_SECONDS: Final = 60
LONG_SIDE: Final = 2200  # px of a page on the screen
LONGEST_PT: Final = 3400.0  # A0 is 3,370 points long
PX_PER_POINT: Final = 150 / 72  # what a scan is taken to have where it does not say
FORMATS: Final = ("PNG", "JPEG")
ACCEPTED: Final = (
    "a PDF, PNG or JPEG of at most 20 MB and 20 pages, not encrypted, without scripts or other files in it"
)
# How an image is laid on a page of one by one, by the orientation that its camera wrote (TIFF 6.0, tag 274).
LAID: Final = {
    1: (1, 0, 0, 1, 0, 0), 2: (-1, 0, 0, 1, 1, 0), 3: (-1, 0, 0, -1, 1, 1), 4: (1, 0, 0, -1, 0, 1),
    5: (0, -1, -1, 0, 1, 1), 6: (0, -1, 1, 0, 0, 1), 7: (0, 1, 1, 0, 0, 0), 8: (0, 1, -1, 0, 1, 0),
}  # fmt: skip
COLORS: Final = {"RGB": Name.DeviceRGB, "L": Name.DeviceGray}
NOTHING_KNOWN: Final = "It is no PDF, PNG or JPEG."
# Ink that stands in one picture with none in the other within two pixels, so many pixels of it, is a change: a line of
# some three points more or less. A scan shifted by less, or its grain, is none.
INK: Final = 150
NEAR_PX: Final = 5  # side of the square in which the other picture's ink is looked for
CHANGED_PX: Final = 12
AROUND: Final = 28.0  # points on each side of a mark that are compared


@dataclass(frozen=True, slots=True)
class Ready:
    """A drawing ready to mark up: its PDF, width and height of its pages in points as they are seen, their pictures."""

    pdf: bytes
    pages: tuple[tuple[float, float], ...]
    pictures: tuple[bytes, ...]


def ready_drawing(content: bytes) -> Ready | list[str]:
    """Make a drawing ready, or say in sentences why it can't be.

    A PDF is kept as it is, byte for byte; of an image a PDF of one page is made from its pixels alone.
    """
    if not content:
        return ["The file is empty."]
    if len(content) > MOST_BYTES:
        return ["The file has more than 20 MB."]
    with TemporaryDirectory(prefix="spoolbook-") as folder:
        command = [sys.executable, "-m", "reports.drawing_pages", folder]
        environment = {"PYTHONPATH": str(ROOT), "PATH": os.defpath, "PYTHONDONTWRITEBYTECODE": "1"}
        try:
            ran = subprocess.run(
                command, input=content, capture_output=True, cwd=ROOT, env=environment, timeout=2 * MOST_SECONDS,
                check=False,
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            return [TOO_MUCH]
        if ran.returncode != 0:
            return [TOO_MUCH]
        told: dict[str, Any] = json.loads(ran.stdout)
        if told["faults"]:
            return [str(fault) for fault in told["faults"]]
        made = Path(folder)
        pages = tuple((float(wide), float(high)) for wide, high in told["pages"])
        pictures = tuple((made / f"{number}.png").read_bytes() for number in range(1, len(pages) + 1))
        return Ready((made / "drawing.pdf").read_bytes(), pages, pictures)


def changed_around(before: bytes, after: bytes, at: tuple[float, float], page: tuple[float, float]) -> bool:
    """Whether two pictures of a page differ around a place.

    at      from the top left corner of the page, in points
    page    its width and height in points, the same for both
    """
    with Image.open(BytesIO(before)) as one, Image.open(BytesIO(after)) as other:
        scale = one.width / page[0]
        box = tuple(round(part * scale) for part in (at[0] - AROUND, at[1] - AROUND, at[0] + AROUND, at[1] + AROUND))
        first = _ink(one.crop(box))  # type: ignore[arg-type]
        second = _ink(other.resize(one.size).crop(box))  # type: ignore[arg-type]
    lone = (
        ImageChops.subtract(a, b.filter(ImageFilter.MaxFilter(NEAR_PX))) for a, b in ((first, second), (second, first))
    )
    return sum(one.histogram()[255] for one in lone) > CHANGED_PX


def _ink(picture: Image.Image) -> Image.Image:
    """A picture with white where there is ink and black elsewhere."""
    return picture.convert("L").point([255] * INK + [0] * (256 - INK))


def seen_size(page: Page) -> tuple[float, float]:
    """Width and height of a PDF page as it is seen: cropped, and turned as it asks."""
    left, bottom, right, top = seen_box(page)
    wide, high = right - left, top - bottom
    return (high, wide) if turn_of(page) in (90, 270) else (wide, high)


def seen_box(page: Page) -> tuple[float, float, float, float]:
    """The part of a PDF page that is seen, in its own coordinates: its crop box within its media box."""
    media, crop = (sorted_box(page.mediabox), sorted_box(page.cropbox))
    box = (max(media[0], crop[0]), max(media[1], crop[1]), min(media[2], crop[2]), min(media[3], crop[3]))
    return box if box[0] < box[2] and box[1] < box[3] else media


def sorted_box(box: Any) -> tuple[float, float, float, float]:
    """A rectangle of a PDF, whose corners may come in any order."""
    x1, y1, x2, y2 = (float(part) for part in box)
    return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)


def turn_of(page: Page) -> int:
    """By how many degrees clockwise a page is turned to be seen; it may be inherited."""
    return int(page.get("/Rotate", 0) or 0) % 360


def _main(folder: Path) -> None:
    confine(MOST_SECONDS)
    content = sys.stdin.buffer.read()
    pdf, faults = (content, faults_of(content)) if b"%PDF-" in content[:1024] else _of_image(content)
    pages: list[tuple[float, float]] = []
    if not faults:
        (folder / "drawing.pdf").write_bytes(pdf)
        pages, faults = _rendered(pdf, folder)
    json.dump({"faults": faults, "pages": pages}, sys.stdout)


def _of_image(content: bytes) -> tuple[bytes, list[str]]:
    """A PDF of one page from an image's pixels, upright, with nothing else of the file kept."""
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    try:
        with Image.open(BytesIO(content), formats=FORMATS) as image:
            if image.width * image.height > MOST_PIXELS:
                return b"", [f"It has {image.width} x {image.height} pixels; {MOST_PIXELS:,} together are the most."]
            dots = float(image.info.get("dpi", (0, 0))[0] or 0)
            laid = LAID.get(image.getexif().get(ExifTags.Base.Orientation, 1), LAID[1])
            pixels, said = _encoded(image)
    except UnidentifiedImageError:
        return b"", [NOTHING_KNOWN]
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        return b"", [f"The image can't be read: {str(error)[:120]}."]
    points = 72 / dots if 50 <= dots <= 1200 else 1 / PX_PER_POINT
    points = min(points, LONGEST_PT / max(image.size))
    size = image.width * points, image.height * points
    del image  # its pixels make room for the page
    return _page_of(pixels, said, size if laid[0] else size[::-1], laid), []


def _encoded(image: Image.Image) -> tuple[bytes, dict[str, Any]]:
    """An image's pixels encoded anew, and how a PDF tells of them: a photo as a JPEG again, all else exactly."""
    said = {"Width": image.width, "Height": image.height, "BitsPerComponent": 8}
    image.load()  # saving copies what is not loaded yet
    if image.format == "JPEG" and image.mode in COLORS:
        out = BytesIO()
        image.save(out, "JPEG", quality=90, comment=b"")
        return out.getvalue(), said | {"ColorSpace": COLORS[image.mode], "Filter": Name.DCTDecode}
    packer = zlib.compressobj()
    pixels = b"".join(packer.compress(strip) for strip in _strips(image)) + packer.flush()
    return pixels, said | {"ColorSpace": Name.DeviceRGB, "Filter": Name.FlateDecode}


def _strips(image: Image.Image) -> Iterator[bytes]:
    """An image's pixels on white paper, some rows at a time: a second whole image would take too much memory."""
    for top in range(0, image.height, STRIP_PX):
        strip = image.crop((0, top, image.width, min(top + STRIP_PX, image.height))).convert("RGBA")
        paper = Image.new("RGB", strip.size, "white")
        paper.paste(strip, mask=strip.getchannel("A"))
        yield paper.tobytes()


def _page_of(pixels: bytes, said: dict[str, Any], size: tuple[float, float], laid: tuple[int, ...]) -> bytes:
    """A PDF of one page so many points wide and high, with nothing but these packed pixels laid on it."""
    matrix = " ".join(f"{part * size[place % 2]:.4f}" for place, part in enumerate(laid))
    with Pdf.new() as made:
        page = made.add_blank_page(page_size=size)
        image = Stream(made, pixels, Type=Name.XObject, Subtype=Name.Image, **said)
        page.Resources = Dictionary(XObject=Dictionary(Image=image))
        page.Contents = Stream(made, f"{matrix} cm /Image Do".encode())
        out = BytesIO()
        made.save(out, deterministic_id=True)
    return out.getvalue()


def _rendered(pdf: bytes, folder: Path) -> tuple[list[tuple[float, float]], list[str]]:
    """Put the picture of each page into the folder, and return the pages' sizes."""
    with Pdf.open(BytesIO(pdf)) as opened:
        sizes = [seen_size(page) for page in opened.pages]
    if len(sizes) > MOST_PAGES:
        return [], [f"It has {len(sizes)} pages; a drawing has at most {MOST_PAGES}."]
    try:
        return _drawn(pdf, sizes, folder)
    except pypdfium2.PdfiumError:
        return [], ["It is damaged: a part of it is missing or can't be read; send it again, or print it to a new PDF."]


def _drawn(pdf: bytes, sizes: list[tuple[float, float]], folder: Path) -> tuple[list[tuple[float, float]], list[str]]:
    document = pypdfium2.PdfDocument(pdf)
    for number, (page, (wide, high)) in enumerate(zip(document, sizes, strict=True), start=1):
        if not 20 < max(wide, high) < 4 * LONGEST_PT or min(wide, high) < 20:
            return [], [f"Page {number} is {wide:.0f} x {high:.0f} points; no sheet of paper is."]
        picture = page.render(scale=LONG_SIDE / max(page.get_size())).to_pil().convert("RGB")
        picture.quantize(64).save(folder / f"{number}.png", optimize=True)
    return sizes, []


if __name__ == "__main__":
    _main(Path(sys.argv[1]))
