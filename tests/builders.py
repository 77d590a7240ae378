"""Builders of what a test needs, with the values of an ordinary small job: one socket-welded line in carbon steel."""

from datetime import timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

import factory
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone
from factory.django import DjangoModelFactory
from reportlab.pdfgen.canvas import Canvas

from joints.actions.upload_drawing import picture_name
from records.journal import open_journal
from records.models import (
    Attachment,
    Certificate,
    Confirmation,
    Examiner,
    ExamPlan,
    ExamRule,
    FillerLot,
    Heat,
    HoldPoint,
    Job,
    Joint,
    Line,
    Membership,
    OwnerLimit,
    Piece,
    Procedure,
    ProcedurePass,
    Qualification,
    Sheet,
    SheetDrawing,
    Spool,
    Stamp,
    User,
    Welder,
)
from records.sorting import natural_key


def days_ago(days: int) -> Any:
    """The day so many days before today, as the site's clock has it."""
    return timezone.localdate() - timedelta(days=days)


class JobBuilder(DjangoModelFactory[Job]):
    """A US job under B31.3 that records each pass."""

    class Meta:
        model = Job
        skip_postgeneration_save = True

    code = factory.Sequence(lambda n: f"J-{n + 1}")
    name = "Cooling water tie-in"
    client = "Harbour Works"
    units = "US"
    recording = "pass"

    @factory.post_generation
    def journal(self, create: bool, extracted: None, **_: Any) -> None:
        """Every job has its journal from the first day."""
        open_journal(self)


class UserBuilder(DjangoModelFactory[User]):
    """A person with a sign-in."""

    class Meta:
        model = User

    username = factory.Sequence(lambda n: f"person{n + 1}")


class MembershipBuilder(DjangoModelFactory[Membership]):
    """A role of a person on a job."""

    class Meta:
        model = Membership

    job = factory.SubFactory(JobBuilder)
    user = factory.SubFactory(UserBuilder)
    role = "welder"


class ExamPlanBuilder(DjangoModelFactory[ExamPlan]):
    """A plan that asks VT of every joint."""

    class Meta:
        model = ExamPlan
        skip_postgeneration_save = True

    job = factory.SubFactory(JobBuilder)
    name = factory.Sequence(lambda n: f"Plan {n + 1}")

    @factory.post_generation
    def methods(self, create: bool, extracted: tuple[str, ...] | None, **_: Any) -> None:
        """One rule of 100 % for each method, VT if none is named."""
        for method in extracted or ("VT",):
            ExamRule.objects.create(job=self.job, plan=self, joint_kind="all", method=method, share_percent=100)


class LineBuilder(DjangoModelFactory[Line]):
    """A line in NPS 1 Schedule 80 carbon steel."""

    class Meta:
        model = Line

    job = factory.SubFactory(JobBuilder)
    number = factory.Sequence(lambda n: f"1-CW-{1101 + n}")
    nps = "1"
    schedule = "80"
    material = "A106 Gr B"
    exam_plan = factory.SubFactory(ExamPlanBuilder, job=factory.SelfAttribute("..job"))


class SheetBuilder(DjangoModelFactory[Sheet]):
    """A sheet of the line's drawing."""

    class Meta:
        model = Sheet

    job = factory.SelfAttribute("line.job")
    line = factory.SubFactory(LineBuilder)
    drawing = factory.Sequence(lambda n: f"ISO-{1101 + n}")
    number = "1"
    revision = "B"


class SpoolBuilder(DjangoModelFactory[Spool]):
    """A spool of the line."""

    class Meta:
        model = Spool

    job = factory.SelfAttribute("line.job")
    line = factory.SubFactory(LineBuilder)
    mark = factory.Sequence(lambda n: f"SP-{n + 1}")
    sort_key = factory.LazyAttribute(lambda one: natural_key(one.line.number, one.mark))


class ProcedureBuilder(DjangoModelFactory[Procedure]):
    """A GTAW procedure for carbon steel with a root and a cap, its gap 1/32 to 1/8 in."""

    class Meta:
        model = Procedure
        skip_postgeneration_save = True

    job = factory.SubFactory(JobBuilder)
    number = factory.Sequence(lambda n: f"W-{11 + n}")
    revision = "2"
    p_numbers = ["1"]
    processes = ["GTAW"]
    preheat_min_c = Decimal(10)
    interpass_max_c = Decimal(175)
    gap_min_mm = Decimal("0.79375")
    gap_max_mm = Decimal("3.175")
    passes_min = 2

    @factory.post_generation
    def passes(self, create: bool, extracted: None, **_: Any) -> None:
        """Its root and cap, GTAW with ER70S-6 at 80 to 150 A."""
        for role in ("root", "cap"):
            ProcedurePass.objects.create(
                job=self.job,
                procedure=self,
                role=role,
                process="GTAW",
                filler="ER70S-6",
                f_number="6",
                amps_min=80,
                amps_max=150,
            )


class ConfirmationBuilder(DjangoModelFactory[Confirmation]):
    """The pipe table, confirmed today against the edition of 2018."""

    class Meta:
        model = Confirmation

    job = factory.SubFactory(JobBuilder)
    recorded_by = factory.SubFactory(UserBuilder)
    recorded_at = factory.LazyFunction(timezone.now)
    table = "pipe"
    edition = "2018"
    done_on = factory.LazyFunction(lambda: days_ago(0))
    by = "Edda Mroz"


class OwnerLimitBuilder(DjangoModelFactory[OwnerLimit]):
    """A gap of 3/32 in at most, by clause 6.3 of the specification PS-110."""

    class Meta:
        model = OwnerLimit

    job = factory.SubFactory(JobBuilder)
    limit = "gap max"
    value = Decimal("2.38125")
    typed = "3/32 in"
    specification = "PS-110"
    clause = "6.3"


class HoldPointBuilder(DjangoModelFactory[HoldPoint]):
    """The owner's inspector holds each fit-up."""

    class Meta:
        model = HoldPoint

    name = factory.Sequence(lambda number: f"4.{number + 1}")
    step = "fit-up"
    kind = "hold"
    document = "ITP-07"


class AttachmentBuilder(DjangoModelFactory[Attachment]):
    """The WPS of a procedure, on file."""

    class Meta:
        model = Attachment

    job = factory.SubFactory(JobBuilder)
    procedure = factory.SubFactory(ProcedureBuilder, job=factory.SelfAttribute("..job"))
    kind = "WPS"
    file = factory.LazyFunction(lambda: default_storage.save("attachments/a.pdf", ContentFile(b"%PDF-1.4\n")))
    file_name = "a.pdf"
    size = 9
    sha256 = "0" * 64


class SheetDrawingBuilder(DjangoModelFactory[SheetDrawing]):
    """A client's drawing of one A3 page, with the picture of the page."""

    class Meta:
        model = SheetDrawing
        skip_postgeneration_save = True

    sheet = factory.SubFactory(SheetBuilder)
    job = factory.SelfAttribute("sheet.job")
    revision = "A"
    file = factory.LazyFunction(lambda: default_storage.save("drawings/a.pdf", ContentFile(blank_pdf())))
    file_name = "a.pdf"
    size = 9
    sha256 = "0" * 64
    pages = [[1190.55, 841.89]]

    @factory.post_generation
    def picture(self, create: bool, extracted: object, **said: object) -> None:
        """Put the picture of its page where the page looks for it."""
        if not default_storage.exists(picture_name(self.sha256, 1)):  # type: ignore[arg-type]
            default_storage.save(picture_name(self.sha256, 1), ContentFile(b"PNG"))  # type: ignore[arg-type]


def blank_pdf() -> bytes:
    """A PDF of one empty A3 page."""
    out = BytesIO()
    canvas = Canvas(out, pagesize=(1190.55, 841.89), invariant=1)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


class CertificateBuilder(DjangoModelFactory[Certificate]):
    """A certificate's number, its file not yet attached."""

    class Meta:
        model = Certificate

    job = factory.SubFactory(JobBuilder)
    number = factory.Sequence(lambda n: f"MC-{n + 1}")


class HeatBuilder(DjangoModelFactory[Heat]):
    """A heat of A106 pipe with its certificate."""

    class Meta:
        model = Heat

    job = factory.SubFactory(JobBuilder)
    number = factory.Sequence(lambda n: f"K{41001 + n}")
    material = "A106 Gr B"
    certificate = factory.SubFactory(CertificateBuilder, job=factory.SelfAttribute("..job"))


class FillerLotBuilder(DjangoModelFactory[FillerLot]):
    """A lot of ER70S-6."""

    class Meta:
        model = FillerLot

    job = factory.SubFactory(JobBuilder)
    number = factory.Sequence(lambda n: f"F-{2209 + n}")
    classification = "ER70S-6"


class PieceBuilder(DjangoModelFactory[Piece]):
    """A length of pipe of the sheet, planned."""

    class Meta:
        model = Piece

    job = factory.SelfAttribute("sheet.job")
    sheet = factory.SubFactory(SheetBuilder)
    mark = factory.Sequence(lambda n: f"{n + 1}")
    kind = "pipe"
    nps = "1"
    schedule = "80"
    material = "A106 Gr B"
    heat = factory.SubFactory(HeatBuilder, job=factory.SelfAttribute("..sheet.job"))
    sort_key = factory.LazyAttribute(lambda one: natural_key(one.sheet.drawing, one.sheet.number, one.mark))


class JointBuilder(DjangoModelFactory[Joint]):
    """A planned shop socket weld, NPS 1 Schedule 80, with its procedure and both heats."""

    class Meta:
        model = Joint

    job = factory.SelfAttribute("line.job")
    line = factory.SelfAttribute("sheet.line")
    sheet = factory.SubFactory(SheetBuilder)
    number = factory.Sequence(lambda n: f"{n + 101}")
    sort_key = factory.LazyAttribute(lambda one: f"{one.sheet.drawing}/{one.sheet.number}/{one.number:>06}")
    kind = "socket"
    location = "shop"
    nps = "1"
    schedule = "80"
    od_mm = Decimal("33.401")
    wall_mm = Decimal("4.5466")
    socket_class = "3000"
    spool = factory.SubFactory(SpoolBuilder, line=factory.SelfAttribute("..sheet.line"))
    procedure = factory.SubFactory(ProcedureBuilder, job=factory.SelfAttribute("..sheet.line.job"))
    heat_a = factory.SubFactory(HeatBuilder, job=factory.SelfAttribute("..sheet.line.job"))
    heat_b = factory.SubFactory(HeatBuilder, job=factory.SelfAttribute("..sheet.line.job"))
    material_a = "A106 Gr B"
    material_b = "A106 Gr B"


class WelderBuilder(DjangoModelFactory[Welder]):
    """A person who welds, without a sign-in."""

    class Meta:
        model = Welder

    job = factory.SubFactory(JobBuilder)
    name = "Arne Lindqvist"


class StampBuilder(DjangoModelFactory[Stamp]):
    """A welder's stamp, valid without end."""

    class Meta:
        model = Stamp

    job = factory.SelfAttribute("welder.job")
    welder = factory.SubFactory(WelderBuilder)
    code = factory.Sequence(lambda n: f"A{n + 1}")


class QualificationBuilder(DjangoModelFactory[Qualification]):
    """A GTAW test on NPS 1 pipe in 6G, two months ago: it covers every joint of the ordinary line."""

    class Meta:
        model = Qualification

    job = factory.SelfAttribute("stamp.job")
    stamp = factory.SubFactory(StampBuilder)
    wpq = factory.Sequence(lambda n: f"WPQ-{n + 1}")
    process = "GTAW"
    tested_on = factory.LazyFunction(lambda: days_ago(60))
    p_number = "1"
    f_number = "6"
    positions = ["6G"]
    coupon = "pipe"
    coupon_diameter_mm = Decimal("33.401")
    deposit_mm = Decimal("6.35")


class ExaminerBuilder(DjangoModelFactory[Examiner]):
    """A person certified for VT for another year."""

    class Meta:
        model = Examiner

    job = factory.SubFactory(JobBuilder)
    name = "Ines Carrow"
    method = "VT"
    level = "II"
    valid_until = factory.LazyFunction(lambda: days_ago(-365))
