"""The form by which the owner's inspector attends or waives points, or is told of them: many joints in a few taps."""

import re
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django import forms
from django.utils import timezone

from joints.forms.fact_form import OnceForm
from records.clock import local_time, zone_of
from records.models import Attendance, Job
from rules.points import ATTENDED, NOTIFIED, WAIVED

_KEY = re.compile(r"[0-9a-f]{32}\.[0-9a-f]{32}\.(0|[RW][1-9]\d?)")
WORDS = {ATTENDED: "attended", WAIVED: "waived in writing", NOTIFIED: "told of it"}


class PointsField(forms.MultipleChoiceField):
    """Points by joint, point and attempt; one that somebody else settled meanwhile is taken all the same."""

    def valid_value(self, value: str) -> bool:
        """Whether the text names a point of a joint; whether both are of the job, the action says."""
        return _KEY.fullmatch(value) is not None


class AttendanceForm(OnceForm):
    """The points that are meant, what was done about them, and by whom."""

    FAULTS = {"done_on": "date", "done_at": "time"}
    HALF = frozenset({"date", "time"})

    chosen = PointsField(
        label="Points",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "No point is chosen; tick at least one."},
    )
    result = forms.ChoiceField(label="What was done", widget=forms.RadioSelect)
    remark = forms.CharField(label="Remark", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))
    by = forms.CharField(label="Owner’s inspector", max_length=120)
    date = forms.DateField(label="Day", widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))
    time = forms.TimeField(label="Time", required=False, widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}))

    def __init__(
        self, data: Any = None, *, job: Job, choices: list[tuple[str, str]], name: str, may_attend: bool
    ) -> None:
        self.job = job
        now = local_time(job, timezone.now())
        first = {"date": now.date(), "time": now.time(), "by": name, "result": ATTENDED if may_attend else NOTIFIED}
        super().__init__(data, initial=first)
        results = (ATTENDED, WAIVED, NOTIFIED) if may_attend else (NOTIFIED,)
        self.fields["result"].choices = [(one, WORDS[one]) for one in results]  # type: ignore[attr-defined]
        self.fields["chosen"].choices = choices  # type: ignore[attr-defined]
        if not may_attend:
            self.fields["by"].label = "Told by"

    @property
    def front(self) -> list[forms.BoundField]:
        """The fields that are asked beside the points themselves."""
        return [self[name] for name in ("result", "remark", "by", "date", "time")]

    @property
    def ticked(self) -> frozenset[str]:
        """The points that are ticked."""
        return frozenset(self["chosen"].value() or ())

    def drafts(self) -> list[Attendance]:
        """One attendance for each point that is ticked."""
        clean = self.cleaned_data
        at = datetime.combine(clean["date"], clean["time"], tzinfo=zone_of(self.job)) if clean["time"] else None
        return [self._draft(key, at) for key in clean["chosen"]]

    def _draft(self, key: str, at: Any) -> Attendance:
        clean = self.cleaned_data
        joint, point, attempt = key.split(".")
        return Attendance(
            id=uuid5(clean["id"], key),
            joint_id=UUID(joint),
            point_id=UUID(point),
            attempt=attempt,
            result=clean["result"],
            remark=clean["remark"],
            done_on=clean["date"],
            done_at=at,
            by=clean["by"],
        )
