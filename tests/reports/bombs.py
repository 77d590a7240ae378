"""PDFs that are small to send and huge to read, made by hand: no writer of PDFs would make them."""

import zlib
from collections.abc import Callable, Iterator

MEGABYTE = 1 << 20
Filtered = tuple[bytes, bytes]


def deflated(pieces: Iterator[bytes]) -> bytes:
    """Pieces, packed as tightly as deflate can."""
    packer = zlib.compressobj(9)
    return b"".join(packer.compress(piece) for piece in pieces) + packer.flush()


def blanks(megabytes: int) -> Iterator[bytes]:
    """An object stream that begins well and goes on with blanks."""
    yield b"5 0 << /A 1 >> "
    for _ in range(megabytes):
        yield b" " * MEGABYTE


def brackets(megabytes: int) -> Iterator[bytes]:
    """An object stream whose one object is an array of as many empty arrays as fit."""
    yield b"5 0 ["
    for _ in range(megabytes):
        yield b"[]" * (MEGABYTE // 2)
    yield b"]"


def object_stream(content: Callable[[int], Iterator[bytes]], megabytes: int, *, twice: bool = False) -> bytes:
    """A PDF of one page whose fifth object stands in a packed stream of so many megabytes."""
    packed, filters = deflated(content(megabytes)), b"/FlateDecode"
    if twice:
        packed, filters = deflated(iter([packed])), b"[/FlateDecode /FlateDecode]"
    stream = b"<< /Type /ObjStm /N 1 /First 4 /Filter %s /Length %d >>\nstream\n" % (filters, len(packed))
    page = b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 10 10] /X 5 0 R >>"
    objects = {
        1: b"<< /Type /Catalog /Pages 2 0 R >>",
        2: b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        3: page,
        4: stream + packed + b"\nendstream",
    }
    written, places = b"%PDF-1.5\n", {}
    for number, said in objects.items():
        places[number] = len(written)
        written += b"%d 0 obj\n%s\nendobj\n" % (number, said)
    rows = [b"\0" * 7, *(_row(1, places[number]) for number in range(1, 5)), _row(2, 4), _row(1, len(written))]
    return _closed(written, b"/Size 7", b"".join(rows))


def cross_references(megabytes: int) -> bytes:
    """A PDF whose list of places is packed zeros."""
    written = (
        b"%PDF-1.5\n1 0 obj\n<< /Type /Catalog /Pages 2 0 R >>\nendobj\n2 0 obj\n<< /Kids [] /Count 0 >>\nendobj\n"
    )
    return _closed(written, b"/Size %d" % (megabytes * MEGABYTE // 7), b"\0" * megabytes * MEGABYTE)


def _row(kind: int, place: int) -> bytes:
    return bytes([kind]) + place.to_bytes(4, "big") + b"\0\0"


def _closed(written: bytes, size: bytes, rows: bytes) -> bytes:
    packed = zlib.compress(rows, 9)
    head = b"<< /Type /XRef %s /W [1 4 2] /Root 1 0 R /Filter /FlateDecode /Length %d >>" % (size, len(packed))
    return written + b"6 0 obj\n%s\nstream\n%s\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % (
        head,
        packed,
        len(written),
    )
