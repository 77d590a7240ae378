"""The fit-up: what is set and checked before welding."""

from typing import Any
from uuid import UUID

from django import forms

from joints.actions.record_fit_ups import faults
from joints.forms.quantities import StampField, length_field
from joints.forms.record_form import RecordForm, hint
from joints.measures import FIT_UP
from joints.queries.joint_asks import Plan
from joints.queries.joint_section import gap_limits
from records.models import FitUp
from rules.specification import gap_called


class FitUpForm(RecordForm[FitUp]):
    """Gap, squareness, high-low, tack and the heats as read off the pieces; only what was measured need be typed."""

    MODEL = FitUp
    CHECK = (faults,)
    FRONT = ("gap", "tack_stamp", "heat_a_read", "heat_b_read", "by")
    MORE = ("gap_12", "gap_3", "gap_6", "gap_9", "squareness", "high_low", "accepted_by", "revision", "date", "time")
    MEASURES = FIT_UP
    KIND = "fit-up"
    TEXTS = {name: name for name in ("heat_a_read", "heat_b_read", "revision", "tack_stamp")} | {"done_on": "date"}
    HALF = frozenset({one.field for one in FIT_UP[1:]} | {"heat_a_read", "heat_b_read", "date", "time"})

    heat_a_read = forms.CharField(label="Heat read on side A", required=False, max_length=80)
    heat_b_read = forms.CharField(label="Heat read on side B", required=False, max_length=80)
    accepted_by = forms.CharField(label="Accepted by", required=False, max_length=120)
    revision = forms.CharField(label="Drawing revision worked from", required=False, max_length=16)

    def __init__(self, data: Any = None, *, plan: Plan, crew: frozenset[UUID], **about: Any) -> None:
        joint, self.plan, self.crew = about["joint"], plan, crew
        first = {"revision": joint.sheet.revision, **(about.pop("initial", None) or {})}
        super().__init__(data, initial=first, **about)
        word = gap_called(joint.kind)
        self.fields["gap"] = length_field(self.job, word.capitalize())
        for clock in ("12", "3", "6", "9"):
            label = f"{word.removeprefix('root ').capitalize()} at {clock} o’clock"
            self.fields[f"gap_{clock}"] = length_field(self.job, label)
        self.fields["squareness"] = length_field(self.job, "Out of square")
        self.fields["high_low"] = length_field(self.job, "High-low")
        self.fields["tack_stamp"] = StampField(self.job, label="Tacked by (stamp)", required=False)
        self._say_limits(plan)

    def _say_limits(self, plan: Plan) -> None:
        gap = plan.ask("gap") or plan.ask("gap:greatest")
        if gap:
            hint(self, "gap", gap_limits(plan), gap.source)
        for field, id in (("squareness", "squareness"), ("high_low", "high-low")):
            if ask := plan.ask(id):
                hint(self, field, ask.bounds, ask.source)
        for side in ("a", "b"):
            if ask := plan.ask(f"heat-{side}"):
                hint(self, f"heat_{side}_read", f"Planned: {ask.bounds}")

    def values_of(self, record: FitUp) -> dict[str, Any]:
        """What a stored fit-up says."""
        return super().values_of(record) | {
            "heat_a_read": record.heat_a_read,
            "heat_b_read": record.heat_b_read,
            "accepted_by": record.accepted_by,
            "revision": record.revision,
            "tack_stamp": record.tack_stamp.code if record.tack_stamp else "",
        }

    def draft(self) -> FitUp:
        """The fit-up that this form says, unsaved."""
        clean = self.cleaned_data
        named = {name: clean[name] for name in ("heat_a_read", "heat_b_read", "accepted_by", "revision")}
        return FitUp(**self.common(), **self.measures(), **named, tack_stamp=clean["tack_stamp"])
