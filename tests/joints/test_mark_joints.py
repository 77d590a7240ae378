"""Joints marked on the client's drawing: uploaded, placed, carried over to a new revision, and who may."""

from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pypdfium2
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from joints.actions.mark_joints import Place, confirm_marks, mark_joints, take_off_marks
from joints.actions.upload_drawing import upload_drawing
from records.models import Job, Joint, JointMark, JournalEntry, SheetDrawing, User
from records.refusals import Implausible, NotAllowed
from records.stored_files import bad_files
from tests.builders import JointBuilder
from tests.conftest import SignIn
from tests.reports.test_marked_drawing import drawing, encrypted

pytestmark = pytest.mark.django_db
AT = (Decimal(100), Decimal(80))


@pytest.fixture(autouse=True)
def own_files(settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def client_drawing(job: Job, joint: Joint, foreman: User) -> SheetDrawing:
    """A drawing of revision A of the joint's sheet, 600 x 400 points."""
    return upload_drawing(joint.sheet, drawing(), "iso.pdf", revision="A", job=job, by=foreman).drawing


def entries(job: Job, kind: str) -> int:
    return JournalEntry.objects.filter(job=job, kind=kind).count()


def place(found: SheetDrawing, joint: Joint, by: User, **more: object) -> list[JointMark]:
    return mark_joints(found, [Place(joint.pk, **{"page": 1, "at": AT} | more)], job=found.job, by=by)  # type: ignore[arg-type]


def test_a_drawing_is_kept_as_it_was_sent_with_its_entry(job: Job, client_drawing: SheetDrawing) -> None:
    with client_drawing.file.open("rb") as stream:
        assert stream.read() == drawing()
    assert client_drawing.pages == [[600, 400]]
    assert entries(job, "sheetdrawing") == 1 and list(bad_files(job)) == []


def test_the_same_file_again_changes_nothing(
    job: Job, joint: Joint, client_drawing: SheetDrawing, foreman: User
) -> None:
    upload_drawing(joint.sheet, drawing(), "iso.pdf", revision="A", job=job, by=foreman)
    assert SheetDrawing.objects.count() == 1 and entries(job, "sheetdrawing") == 1


def test_another_file_for_the_same_revision_needs_a_reason(
    job: Job, joint: Joint, client_drawing: SheetDrawing, foreman: User
) -> None:
    other = drawing(words="BETTER COPY")
    with pytest.raises(Implausible, match="Revision A has a drawing already; say why"):
        upload_drawing(joint.sheet, other, "b.pdf", revision="A", job=job, by=foreman)
    done = upload_drawing(joint.sheet, other, "b.pdf", revision="A", job=job, by=foreman, reason="sharper scan")
    assert done.drawing.pk == client_drawing.pk and entries(job, "sheetdrawing") == 2


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"no", "It is no PDF, PNG or JPEG"), (encrypted(), "encrypted"), (drawing()[:400], "be the drawing")],
)
def test_what_is_no_drawing_is_refused_and_nothing_written(
    job: Job, joint: Joint, foreman: User, content: bytes, said: str
) -> None:
    with pytest.raises(Implausible, match=said):
        upload_drawing(joint.sheet, content, "a.pdf", revision="A", job=job, by=foreman)
    assert not SheetDrawing.objects.exists()


def test_a_joint_is_placed_moved_and_taken_off(
    job: Job, joint: Joint, client_drawing: SheetDrawing, foreman: User
) -> None:
    [mark] = place(client_drawing, joint, foreman)
    assert (mark.x_pt, mark.y_pt) == AT and mark.label_x_pt > 100 and mark.label_y_pt < 80
    # Twice is once.
    place(client_drawing, joint, foreman)
    assert entries(job, "jointmark") == 1
    apart = (Decimal(mark.label_x_pt) - 100, Decimal(mark.label_y_pt) - 80)
    [moved] = place(client_drawing, joint, foreman, at=(Decimal(200), Decimal(200)))
    assert (moved.label_x_pt, moved.label_y_pt) == (200 + apart[0], 200 + apart[1])
    assert take_off_marks(client_drawing, [joint.pk], job=job, by=foreman) == 1
    assert take_off_marks(client_drawing, [joint.pk], job=job, by=foreman) == 0
    assert JointMark.objects.get().page == 0 and entries(job, "jointmark") == 3


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"page": 2}, "The drawing has no page 2"),
        ({"page": 0}, "The drawing has no page 0"),
        ({"at": (Decimal(601), Decimal(1))}, "The place of the weld is not on page 1"),
        ({"label": (Decimal(1), Decimal(-1))}, "The place of the ring is not on page 1"),
    ],
)
def test_a_place_that_is_not_on_the_drawing_is_refused(
    joint: Joint, client_drawing: SheetDrawing, foreman: User, more: dict[str, object], said: str
) -> None:
    with pytest.raises(Implausible, match=said):
        place(client_drawing, joint, foreman, **more)
    assert not JointMark.objects.exists()


def test_a_joint_of_another_sheet_is_refused(client_drawing: SheetDrawing, other_joint: Joint, foreman: User) -> None:
    with pytest.raises(Implausible, match="not on the sheet of the drawing"):
        place(client_drawing, other_joint, foreman)


@pytest.fixture
def other_joint(job: Job, joint: Joint) -> Joint:
    return JointBuilder(sheet__line=joint.line, number="99")


def test_a_welder_and_a_client_may_not(job: Job, joint: Joint, client_drawing: SheetDrawing, welder: User) -> None:
    for act in (
        lambda: place(client_drawing, joint, welder),
        lambda: take_off_marks(client_drawing, [joint.pk], job=job, by=welder),
        lambda: confirm_marks(client_drawing, [joint.pk], job=job, by=welder),
        lambda: upload_drawing(joint.sheet, drawing(), "a.pdf", revision="B", job=job, by=welder),
    ):
        with pytest.raises(NotAllowed):
            act()


def test_a_new_revision_carries_the_marks_and_asks_where_it_changed(
    job: Job, joint: Joint, client_drawing: SheetDrawing, foreman: User
) -> None:
    second = JointBuilder(sheet=joint.sheet, line=joint.line, number="15")
    place(client_drawing, joint, foreman)
    place(client_drawing, second, foreman, at=(Decimal(310), Decimal(197)))  # beside the words, which change
    done = upload_drawing(joint.sheet, drawing(words="REVISED"), "b.pdf", revision="B", job=job, by=foreman)
    assert (done.carried, done.to_confirm, done.lost) == (2, 1, 0)
    on_new = {one.joint_id: one for one in JointMark.objects.filter(drawing=done.drawing)}
    assert not on_new[joint.pk].is_to_confirm and on_new[second.pk].is_to_confirm
    assert (on_new[joint.pk].x_pt, on_new[joint.pk].y_pt) == AT
    assert JointMark.objects.filter(drawing=client_drawing).count() == 2  # the old revision keeps its own
    assert confirm_marks(done.drawing, [second.pk], job=job, by=foreman) == 1
    assert not JointMark.objects.filter(is_to_confirm=True).exists()


def test_a_page_of_another_size_has_all_its_marks_confirmed_and_a_page_gone_loses_them(
    job: Job, joint: Joint, foreman: User
) -> None:
    first = upload_drawing(joint.sheet, drawing(pages=2), "a.pdf", revision="A", job=job, by=foreman).drawing
    place(first, joint, foreman, page=2)
    done = upload_drawing(joint.sheet, drawing(), "b.pdf", revision="B", job=job, by=foreman)
    assert (done.carried, done.lost) == (0, 1)
    turned = upload_drawing(
        joint.sheet, drawing(turn=90, pages=2), "c.pdf", revision="A", job=job, by=foreman, reason="c"
    )
    assert (turned.carried, turned.to_confirm) == (1, 1)


def test_the_page_shows_places_and_prints(
    job: Job, joint: Joint, client_drawing: SheetDrawing, foreman: User, sign_in: SignIn
) -> None:
    browser: Client = sign_in(foreman)
    page = reverse("drawing", args=[job.code, joint.sheet_id])
    shown = browser.get(page).content.decode()
    assert "1 joint is not on the drawing yet, of 1." in shown and "/pages/1.png" in shown
    # By the form alone, in the job's unit: 100 points are 100/72 in.
    sent = {"do": "place", "drawing": client_drawing.pk, "page": "1", "joint": joint.pk, "x": "1.3889", "y": "1.1111"}
    answer = browser.post(page, sent)
    assert answer.status_code == 303
    mark = JointMark.objects.get()
    assert (mark.x_pt, mark.y_pt) == (Decimal("100.00"), Decimal("80.00"))
    shown = browser.get(page).content.decode()
    assert reverse("joint", args=[job.code, joint.pk]) in shown and "0 joints are not on the drawing" in shown
    printed = browser.get(reverse("drawing-pdf", args=[job.code, client_drawing.pk])).content
    words = pypdfium2.PdfDocument(BytesIO(printed))[0].get_textpage().get_text_range()
    assert "CLIENT" in words and joint.number in words
    for name in ("drawing-original", "drawing-page"):
        more = [1] if name == "drawing-page" else []
        assert browser.get(reverse(name, args=[job.code, client_drawing.pk, *more])).status_code == 200
    refused = browser.post(page, sent | {"x": "far"})
    assert refused.status_code == 422 and "is no distance from the left" in refused.content.decode()


def test_the_page_takes_a_drawing_and_says_what_came_over(
    job: Job, joint: Joint, client_drawing: SheetDrawing, foreman: User, sign_in: SignIn
) -> None:
    place(client_drawing, joint, foreman)
    page = reverse("drawing", args=[job.code, joint.sheet_id])
    file = SimpleUploadedFile("b.pdf", drawing(words="REVISED"), "application/pdf")
    shown = sign_in(foreman).post(page, {"do": "upload", "revision": "B", "file": file}, follow=True).content.decode()
    assert "b.pdf is the drawing of revision B." in shown and "1 mark came over" in shown
    refused = sign_in(foreman).post(page, {"do": "upload", "revision": "C", "file": SimpleUploadedFile("c.pdf", b"no")})
    assert refused.status_code == 422 and "It is no PDF, PNG or JPEG." in refused.content.decode()
