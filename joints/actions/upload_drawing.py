"""Upload the client's drawing of a sheet's revision, and carry the marks of the drawing before over to it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction

from joints.actions.save_plan import save_plan
from joints.attached_files import kept, plain_name
from records.batch import together
from records.models import Job, JointMark, Sheet, SheetDrawing, User
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried
from reports.drawing_pages import ACCEPTED, Ready, changed_around, ready_drawing

VERB = "mark drawing"
LONGEST_REVISION = 16


@dataclass(frozen=True, slots=True)
class Uploaded:
    """What came of it: the drawing, how many marks came over, how many of them to confirm, how many were lost."""

    drawing: SheetDrawing
    carried: int = 0
    to_confirm: int = 0
    lost: int = 0


@dataclass(frozen=True, slots=True)
class _Before:
    """The drawing whose marks are carried over, as it was: its marks, its pages' sizes and the sum of its bytes."""

    marks: Sequence[JointMark]
    pages: Sequence[Sequence[float]]
    sha256: str


@retried
def upload_drawing(
    sheet: Sheet, content: bytes, file_name: str, *, revision: str, job: Job, by: User, reason: str = ""
) -> Uploaded:
    """Store a drawing of a sheet's revision; the same file sent again changes nothing.

    content  a PDF, kept as it is, or a PNG or JPEG, of which only the pixels are kept
    Marks of the drawing before come with it: where the pictures differ around one, or its page has another size, it is
    to be confirmed; one whose page is gone is lost. The drawing of an earlier revision keeps its own.
    Raises   NotAllowed, Implausible (what can't be such a drawing, in a sentence; replacing one without a reason)
    """
    require(by, job, VERB)
    revision = " ".join(revision.split())
    ready = ready_drawing(content)
    if isinstance(ready, list):
        raise Implausible.of(Fault("file", f"This can't be the drawing: {' '.join(ready)}", ACCEPTED))
    name, sha256 = kept(ready.pdf, "drawings")
    with transaction.atomic():
        Sheet.objects.select_for_update(no_key=True).get(job=job, pk=sheet.pk)
        stands = SheetDrawing.objects.filter(sheet=sheet, revision=revision).first()
        if stands and stands.sha256 == sha256:
            return Uploaded(stands)
        if faults := _faults(revision, stands, reason):
            raise Implausible.of(*faults)
        before = _before(stands or SheetDrawing.objects.filter(sheet=sheet).order_by("-id").first())
        for number, picture in enumerate(ready.pictures, start=1):
            _keep_picture(sha256, number, picture)
        row = stands or SheetDrawing(sheet=sheet, revision=revision)
        row.file.name, row.sha256, row.size = name, sha256, len(ready.pdf)
        row.file_name, row.pages = plain_name(file_name, ""), [list(page) for page in ready.pages]
        marks = list(_carried(before, row, ready, is_same=stands is not None)) if before else []
        with together(job):
            save_plan([row], job=job, by=by, reason=reason, verb=VERB)
            save_plan(marks, job=job, by=by, reason=reason, verb=VERB)
    there = [mark for mark in marks if mark.page]
    lost = len(before.marks) - len(there) if before else 0
    return Uploaded(row, len(there), sum(mark.is_to_confirm for mark in there), lost)


def picture_name(sha256: str, page: int) -> str:
    """Where the picture of a page lies in the storage."""
    return f"drawings/{sha256}-{page}.png"


def picture_of(sha256: str, page: int) -> bytes:
    """The picture of a page. Raises FileNotFoundError where the storage has lost it."""
    with default_storage.open(picture_name(sha256, page)) as stored:
        return bytes(stored.read())


def _faults(revision: str, stands: SheetDrawing | None, reason: str) -> list[Fault]:
    faults = []
    if len(revision) > LONGEST_REVISION:
        told = f"The revision {revision[:40]!r} has more than {LONGEST_REVISION} signs."
        faults.append(Fault("revision", told, "for example B or 3"))
    if stands and not reason.strip():
        told = f"Revision {revision or 'without a name'} has a drawing already; say why this one replaces it."
        faults.append(Fault("reason", told, "a few words"))
    return faults


def _before(drawing: SheetDrawing | None) -> _Before | None:
    if drawing is None:
        return None
    marks = JointMark.objects.filter(drawing=drawing, page__gt=0).exclude(joint__state="withdrawn")
    return _Before(list(marks.order_by("id")), drawing.pages, drawing.sha256)


def _keep_picture(sha256: str, page: int, picture: bytes) -> None:
    name = picture_name(sha256, page)
    if not default_storage.exists(name):
        default_storage.save(name, ContentFile(picture))


def _carried(before: _Before, row: SheetDrawing, ready: Ready, *, is_same: bool) -> Iterator[JointMark]:
    """The marks on the new drawing: those of a file that is replaced themselves, else new ones beside the old."""
    pictures: dict[int, bytes] = {}
    for old in before.marks:
        mark = old if is_same else JointMark(drawing=row, joint_id=old.joint_id)
        if old.page > len(ready.pages):
            if is_same:
                mark.page = 0
                yield mark
            continue
        size = ready.pages[old.page - 1]
        mark.page = old.page
        mark.x_pt, mark.y_pt, mark.label_x_pt, mark.label_y_pt = (
            min(value, row.page(old.page)[place % 2])
            for place, value in enumerate((old.x_pt, old.y_pt, old.label_x_pt, old.label_y_pt))
        )
        if old.page not in pictures:
            pictures[old.page] = picture_of(before.sha256, old.page)
        is_other_size = [round(part) for part in size] != [round(part) for part in before.pages[old.page - 1]]
        mark.is_to_confirm = (
            old.is_to_confirm
            or is_other_size
            or changed_around(
                pictures[old.page], ready.pictures[old.page - 1], (float(old.x_pt), float(old.y_pt)), size
            )
        )
        yield mark
