"""Certificates as received: which PDFs can be bound into a package, and binding them without touching their content."""

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any, Final

from pikepdf import (
    AccessMode,
    Array,
    Dictionary,
    Name,
    ObjectStreamMode,
    PasswordError,
    Pdf,
    PdfError,
    Stream,
    StreamDecodeLevel,
)

# what pikepdf raises for objects that are not what they should be
BROKEN: Final = (PdfError, ValueError, RuntimeError, TypeError, KeyError, AttributeError)
DEEPEST = 40  # of direct objects inside one another
ACTING: Final = ("/OpenAction", "/AA", "/AcroForm", "/Names", "/Dests", "/Outlines", "/StructTreeRoot")
HARMFUL: Final = {
    "/JavaScript": "It contains JavaScript.",
    "/JS": "It contains JavaScript.",
    "/Launch": "It starts other programs.",
    "/EmbeddedFiles": "It has other files embedded in it.",
    "/EF": "It has other files embedded in it.",
    "/SubmitForm": "It sends what is in it over the network.",
    "/ImportData": "It takes in other files.",
    "/RichMedia": "It contains film or sound that needs a player.",
    "/XFA": "It is a form that only its own program can show.",
}
TOO_MUCH: Final = "It takes more memory or time to read than a paper does; print it to a new PDF."
# Where memory runs out, the reader leaves the object away and says so in a warning.
STARVED: Final = ("bad_alloc", "memory limit exceeded")
SAVE: Final[dict[str, Any]] = {
    "stream_decode_level": StreamDecodeLevel.none,
    "compress_streams": False,
    "object_stream_mode": ObjectStreamMode.preserve,
}


@dataclass(frozen=True, slots=True)
class Checked:
    """What a look into a PDF found: its pages, and why it cannot be bound in."""

    pages: int
    faults: tuple[str, ...] = ()


def check_pdf(content: bytes | str | Path) -> list[str]:
    """Why a PDF cannot be bound into a package, in sentences; an empty list if it can.

    content  the file, or the path to it
    """
    return list(checked_pdf(content).faults)


def checked_pdf(content: bytes | str | Path, clean: Path | None = None) -> Checked:
    """The pages of a PDF and its faults: unreadable, encrypted, without pages, or with active content.

    clean   where to write a copy that can be bound in, if there is no fault
    Raises  OSError if the copy cannot be written
    """
    try:
        if not _begins_as_pdf(content):
            return Checked(0, ("It is not a PDF.",))
        with opened_pdf(content) as pdf:
            if pdf.is_encrypted:
                return Checked(0, ("It is encrypted; ask its sender for one that is not.",))
            faults = tuple(sorted(_harmful(pdf))) if len(pdf.pages) else ("It has no pages.",)
            if any(sign in str(warning) for warning in pdf.get_warnings() for sign in STARVED):
                faults = (*faults, TOO_MUCH)
            if clean and not faults:
                _disarm(pdf)
                pdf.save(clean, **SAVE)
            return Checked(len(pdf.pages), faults)
    except PasswordError:
        return Checked(0, ("It is encrypted and needs a password.",))
    except FileNotFoundError:
        return Checked(0, ("The file is not there.",))
    except IsADirectoryError:
        return Checked(0, ("It is a folder, not a file.",))
    except BROKEN as error:
        return Checked(0, (f"It is not a readable PDF: {_reason(error)}.",))


def _disarm(pdf: Pdf) -> None:
    """Take off whatever acts: scripts, forms, links out; what is printed is not coded anew.

    Fields of forms, stamps and notes become part of their page, as a printer would print them.
    """
    if "/AcroForm" in pdf.Root:
        pdf.generate_appearance_streams()
    pdf.flatten_annotations("all")
    for key in ACTING:
        if key in pdf.Root:
            del pdf.Root[key]
    for page in pdf.pages:
        _disarm_page(page.obj)


def opened_pdf(content: bytes | str | Path) -> Pdf:
    """A PDF opened for reading piece by piece: mapped files would all be counted as memory."""
    return Pdf.open(BytesIO(content) if isinstance(content, bytes) else content, access_mode=AccessMode.stream)


def _disarm_page(page: Any) -> None:
    for key in ("/AA", "/StructParents", "/B"):
        if key in page:
            del page[key]
    annotations = page.get("/Annots")
    if not isinstance(annotations, Array):
        return
    for annotation in annotations:
        if isinstance(annotation, Dictionary):
            for key in ("/A", "/AA", "/PA", "/Dest"):
                if key in annotation:
                    del annotation[key]


def _harmful(pdf: Pdf) -> set[str]:
    """Sentences about active content anywhere in the file, in use or not."""
    return {fault for item in pdf.objects for fault in _harm_in(item, 0)}


def _harm_in(item: Any, depth: int) -> Iterator[str]:
    if depth > DEEPEST:
        yield "Its objects are nested too deeply to look through."
    elif isinstance(item, Dictionary | Stream):
        for key, value in item.items():
            if key in HARMFUL:
                yield HARMFUL[key]
            if key in {"/S", "/Subtype"} and isinstance(value, Name) and str(value) in HARMFUL:
                yield HARMFUL[str(value)]
            if not getattr(value, "is_indirect", False):
                yield from _harm_in(value, depth + 1)
    elif isinstance(item, Array):
        for value in item:
            if not getattr(value, "is_indirect", False):
                yield from _harm_in(value, depth + 1)


def _begins_as_pdf(content: bytes | str | Path) -> bool:
    """Whether the mark of a PDF stands within the first 1,024 bytes, where readers look for it."""
    if isinstance(content, bytes):
        return b"%PDF-" in content[:1024]
    with Path(content).open("rb") as stream:
        return b"%PDF-" in stream.read(1024)


def _reason(error: Exception) -> str:
    """The last part of the reader's message; what stands before is where the file lies."""
    text = str(error).splitlines()[0] if str(error) else type(error).__name__
    return text.rsplit(": ", 1)[-1].strip(" .")[:120]
