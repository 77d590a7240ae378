"""The drawing of a sheet as the client sent it: seen with its joints on it, uploaded, marked, and sent as a PDF."""

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.safestring import mark_safe

from joints.actions.mark_joints import Place, confirm_marks, mark_joints, take_off_marks
from joints.actions.upload_drawing import picture_of, upload_drawing
from joints.views.record_page import SeeOther
from office.queries.marked_drawing import drawing_pdf, drawing_shown, per_point
from records.access import JobRequest, on_job
from records.models import Sheet, SheetDrawing
from records.paging import clean
from records.refusals import Fault, Implausible, Refusal
from records.sending import send_pdf
from reports.drawing_pages import ACCEPTED, MOST_BYTES

TWO_PLACES = Decimal("0.01")


@on_job(get="read", post="mark drawing")
def show_drawing(request: JobRequest, sheet: UUID) -> HttpResponse:
    """Show a sheet's drawing with its joints; take a new one, or place, confirm or take off joints."""
    found = get_object_or_404(Sheet.objects.select_related("line", "job"), job=request.job, id=sheet)
    refusal: Refusal | None = None
    if request.method == "POST":
        try:
            return _done(request, found)
        except Refusal as refused:
            refusal = refused
    asked = request.POST if request.method == "POST" else request.GET
    is_open = "mark drawing" in request.verbs
    shown = drawing_shown(found, page=_page(asked.get("page")), wanted=_id(asked.get("drawing")), is_open=is_open)
    context: dict[str, Any] = {
        "sheet": found,
        "shown": shown,
        # The pen escapes every text; nothing else in it was written by a person.
        "svg": mark_safe(shown.svg),
        "refusal": refusal,
        "revision": clean(asked.get("revision"), 40) or found.revision,
        "reason": clean(asked.get("reason"), 200),
        "chosen": clean(asked.get("joint"), 40),
        "accepted": ACCEPTED,
        "factor": per_point(request.job)[0],
        "is_open": is_open,
    }
    return render(request, "office/marked_drawing.html", context, status=refusal.status if refusal else 200)


@on_job(get="read")
def send_page(request: JobRequest, drawing: UUID, page: int) -> HttpResponse:
    """Send the picture of a page, which Spoolbook drew from the file."""
    found = get_object_or_404(SheetDrawing, job=request.job, id=drawing)
    try:
        content = picture_of(found.sha256, page)
    except FileNotFoundError as error:
        raise Http404("There is no such page.") from error
    response = HttpResponse(content, content_type="image/png")
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, max-age=3600"
    return response


@on_job(get="read")
def send_original(request: JobRequest, drawing: UUID) -> FileResponse:
    """Send the drawing as it was sent, as something to save and never as something to run."""
    found = get_object_or_404(SheetDrawing.objects.select_related("sheet"), job=request.job, id=drawing)
    name = f"{found.sheet.drawing}-{found.sheet.number}-rev-{found.revision or 'none'}.pdf"
    response = FileResponse(found.file.open("rb"), as_attachment=True, filename=name)
    response["Content-Type"] = "application/pdf"
    response["X-Content-Type-Options"] = "nosniff"
    return response


@on_job(get="read")
def send_marked(request: JobRequest, drawing: UUID) -> HttpResponse:
    """Send the drawing with its joints marked on it."""
    found = get_object_or_404(SheetDrawing.objects.select_related("sheet"), job=request.job, id=drawing)
    return send_pdf(drawing_pdf(found), f"{request.job.code} {found.sheet} rev {found.revision} joints")


def _done(request: JobRequest, sheet: Sheet) -> HttpResponse:
    """Do what was asked, and lead back to where it shows."""
    do, by = request.POST.get("do", ""), request.user
    if do == "upload":
        return _upload(request, sheet)
    wanted = _id(request.POST.get("drawing"))
    drawing = SheetDrawing.objects.filter(sheet=sheet, id=wanted).first() if wanted else None
    if drawing is None:
        raise Implausible.of(Fault("drawing", "This sheet has no such drawing any more; open the page again."))
    page = _page(request.POST.get("page"))
    joints = [key for text in request.POST.getlist("joint") if (key := _id(text))]
    if do == "place":
        mark_joints(drawing, [_place(request, joints, page)], job=request.job, by=by)
    elif do == "confirm":
        count = confirm_marks(drawing, joints, job=request.job, by=by)
        messages.success(request, f"{count} {'mark is' if count == 1 else 'marks are'} confirmed.")
    elif do == "off":
        take_off_marks(drawing, joints, job=request.job, by=by)
    else:
        raise Implausible.of(Fault("do", "Choose what to do.", "place, confirm, take off or upload"))
    return _back(request, sheet, drawing, page)


def _upload(request: JobRequest, sheet: Sheet) -> HttpResponse:
    """Read no more than can be accepted: one byte too many is enough to refuse it."""
    sent = request.FILES.get("file")
    content = sent.read(MOST_BYTES + 1) if sent else b""
    name = clean(sent.name, 200) if sent and sent.name else "drawing"
    said = {"revision": request.POST.get("revision", ""), "reason": clean(request.POST.get("reason"), 200)}
    done = upload_drawing(sheet, content, name, job=request.job, by=request.user, **said)
    told = f"{done.drawing.file_name} is the drawing of revision {done.drawing.revision or 'without a name'}."
    if done.carried:
        told += f" {done.carried} {'mark' if done.carried == 1 else 'marks'} came over from the drawing before"
        told += f", {done.to_confirm} to confirm." if done.to_confirm else "; nothing changed around them."
    if done.lost:
        told += f" {done.lost} {'is' if done.lost == 1 else 'are'} lost: the page is gone."
    messages.success(request, told)
    return _back(request, sheet, done.drawing, 1)


def _place(request: JobRequest, joints: Sequence[UUID], page: int) -> Place:
    if len(joints) != 1:
        raise Implausible.of(Fault("joint", "Choose the joint to place.", "one joint of this sheet"))
    at = [_points(request, name) for name in ("x", "y")]
    label = None
    if request.POST.get("label_x", "").strip() and request.POST.get("label_y", "").strip():
        label = _points(request, "label_x"), _points(request, "label_y")
    return Place(joints[0], page, (at[0], at[1]), label)


def _points(request: JobRequest, name: str) -> Decimal:
    """A place as it was typed, in the job's unit, as points."""
    text = clean(request.POST.get(name), 20).replace(",", ".")
    factor, unit = per_point(request.job)
    try:
        typed = Decimal(text)
        if not typed.is_finite() or abs(typed) > 100_000:
            raise InvalidOperation
    except InvalidOperation:
        side = "from the left" if name.endswith("x") else "from the top"
        raise Implausible.of(
            Fault(name, f'"{text}" is no distance {side}.', f"a number of {unit}, for example 120")
        ) from None
    return (typed / Decimal(str(factor))).quantize(TWO_PLACES)


def _back(request: JobRequest, sheet: Sheet, drawing: SheetDrawing, page: int) -> HttpResponse:
    asked = urlencode({"drawing": drawing.pk, "page": page})
    return SeeOther(f"{reverse('drawing', args=[request.job.code, sheet.pk])}?{asked}")


def _page(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 5 else 1


def _id(text: str | None) -> UUID | None:
    try:
        return UUID(text or "")
    except ValueError:
        return None
