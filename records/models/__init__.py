"""What is known: every noun of the job, one file each."""

from records.models.attachment import Attachment
from records.models.decision import Confirmation, Override, Release, Withdrawal
from records.models.drawing import JointMark, SheetDrawing
from records.models.examination import Examination, Examiner, ExamPlan, ExamRule, Pick
from records.models.finding import Finding
from records.models.job import Job, Membership
from records.models.joint import Joint
from records.models.journal import JournalEntry, JournalHead
from records.models.line import Line, Sheet, Spool
from records.models.lot import LotPlace, SampleLot
from records.models.material import Certificate, FillerLot, Heat, Material, Piece
from records.models.point import Attendance, HoldPoint
from records.models.procedure import Procedure, ProcedurePass
from records.models.route import Route
from records.models.shop import LotMove, PieceEvent, SpoolStep
from records.models.specification import OwnerLimit
from records.models.token import ApiToken
from records.models.user import User
from records.models.webhook import Webhook, WebhookAttempt, WebhookDelivery, WebhookEvent
from records.models.welder import ContinuityEntry, Qualification, Stamp, Welder
from records.models.welding import Assignment, FitUp, Pass, RepairDecision
from records.models.work import Package, Work

RECORDS = (
    Assignment, FitUp, Pass, Examination, RepairDecision, Release, Override, Confirmation, PieceEvent, SpoolStep,
    LotMove, Pick, Attendance, Withdrawal, Package,
)  # fmt: skip
# Each after those it refers to, so that rows written in this order never refer to one that is still to come.
MASTERS = (
    ExamPlan, ExamRule, Line, Sheet, Route, Spool, Material, Certificate, Heat, FillerLot, Piece, Procedure,
    ProcedurePass, Welder, Stamp, Qualification, Attachment, ContinuityEntry, Examiner, OwnerLimit, HoldPoint, Joint,
    SheetDrawing, JointMark,
)  # fmt: skip

__all__ = [
    "MASTERS", "RECORDS", "ApiToken", "Assignment", "Attachment", "Attendance", "Certificate", "Confirmation",
    "ContinuityEntry", "ExamPlan", "ExamRule", "Examination", "Examiner", "FillerLot", "Finding", "FitUp", "Heat",
    "HoldPoint", "Job", "Joint", "JointMark", "JournalEntry", "JournalHead", "Line", "LotMove", "LotPlace",
    "Material", "Membership", "Override", "OwnerLimit", "Package", "Pass", "Pick", "Piece", "PieceEvent", "Procedure",
    "ProcedurePass", "Qualification", "Release", "RepairDecision", "Route", "SampleLot", "Sheet", "SheetDrawing",
    "Spool", "SpoolStep", "Stamp", "User", "Webhook", "WebhookAttempt", "WebhookDelivery", "WebhookEvent", "Welder",
    "Withdrawal", "Work",
]  # fmt: skip
