"""What every form of a record has: an identity that makes a double click harmless, the attempt, day, time and name."""

import json
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, ClassVar, Generic, TypeVar
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from joints.forms.carried import Lots, carried
from joints.forms.fact_form import FactForm
from joints.forms.quantities import with_point
from joints.forms.told_form import with_accepted
from joints.measures import Measure
from joints.queries.joint_asks import Plan, asked_of_people
from records.clock import today_on
from records.models import Job, Joint, User
from records.models.base import JointRecord
from records.recording import CLOCK_SLACK, common_faults
from records.refusals import Fault
from rules.dial import clock_of
from rules.units import figure

R = TypeVar("R", bound=JointRecord)
# What could end a tag or begin one, in JSON's own spelling.
_NO_TAGS = {ord(sign): f"\\u{ord(sign):04X}" for sign in "<>&"}


class DeviceTimeField(forms.DateTimeField):
    """What the device's clock said when the form was sent; nothing where it said nothing that can be read."""

    def __init__(self) -> None:
        super().__init__(required=False, widget=forms.HiddenInput(attrs={"data-now": ""}))

    def clean(self, value: Any) -> datetime | None:
        """Read the time; nobody typed it, so that nobody is bothered with it."""
        try:
            return super().clean(value)  # type: ignore[no-any-return]
        except ValidationError:
            return None


class RecordForm(FactForm[R], Generic[R]):
    """A record on one attempt of a joint, new or as the correction of another.

    MEASURES  what is measured, each with its field
    KIND, TEXTS, crew  of a record that a device judges without signal: its kind, by column the field that says it, and
        the stamps whose qualification it knows
    MODEL, CHECK  the record, and what its action finds in it that can't be; with them all that is wrong shows at once
    STAND_INS  values of the record's columns that are to be read, while they can't be
    """

    MEASURES: ClassVar[tuple[Measure, ...]] = ()
    KIND: ClassVar[str] = ""
    TEXTS: ClassVar[Mapping[str, str]] = {}
    MODEL: ClassVar[type[JointRecord] | None] = None
    CHECK: ClassVar[tuple[Callable[[Any], Iterable[Fault]], ...]] = ()
    STAND_INS: ClassVar[Mapping[str, Any]] = {}

    plan: Plan
    crew: frozenset[UUID] = frozenset()
    device_at = DeviceTimeField()
    attempt = forms.CharField(max_length=6, widget=forms.HiddenInput)

    def __init__(
        self,
        data: Any = None,
        *,
        job: Job,
        joint: Joint,
        user: User,
        name: str,
        replaced: R | None = None,
        initial: Mapping[str, Any] | None = None,
    ) -> None:
        self.joint, self.user, self.name = joint, user, name
        first = {"attempt": joint.attempt, **(initial or {})}
        super().__init__(data, job=job, name=name, replaced=replaced, initial=first)

    def carried(self) -> SafeString:
        """What a device without signal judges this form by, as JSON that can stand between tags."""
        measures = [one for one in self.MEASURES if one.field in self.fields]
        people = asked_of_people(self.job, self.plan, set(self.crew))
        told = carried(self.plan, self.KIND, measures, self.TEXTS, self.lots(), people)
        return mark_safe(json.dumps(told).translate(_NO_TAGS))

    def lots(self) -> Lots:
        """The filler lots that can be chosen, by key."""
        return {}

    def values_of(self, record: R) -> dict[str, Any]:
        """What a stored record says, as the fields of this form; subclasses add what is no measure."""
        typed: Mapping[str, str] = getattr(record, "typed", {})
        measured = {
            one.field: typed.get(one.word) or written(getattr(record, one.column), one.unit, self.job.units)
            for one in self.MEASURES
        }
        return super().values_of(record) | {"attempt": record.attempt} | measured

    def common(self) -> dict[str, Any]:
        """The columns that every record on a joint has."""
        clean = self.cleaned_data
        return {
            "id": clean["id"],
            "job": self.job,
            "joint": self.joint,
            "attempt": clean["attempt"],
            "done_on": clean.get("date") or today_on(self.job),
            "done_at": self.moment(),
            "by": clean.get("by") or self.name,
            "device_at": clean.get("device_at"),
            "replaces": self.replaced,
            "reason": clean.get("reason", ""),
        }

    def _post_clean(self) -> None:
        """Where something can't be read, say at once what of the rest can't be: the action would say it only then."""
        super()._post_clean()  # type: ignore[misc]  # Django's own hook after `clean`
        if not self.errors or self.MODEL is None or not {"id", "attempt"} <= self.cleaned_data.keys():
            return
        draft = self._readable(self.MODEL)
        now = timezone.now()
        common = common_faults(draft, self.job, today=today_on(self.job), latest=now + CLOCK_SLACK)
        for fault in (*common, *(fault for check in self.CHECK for fault in check(draft))):
            name = self._place(fault.field)
            if name and name not in self.errors:
                self.add_error(name, with_accepted(fault))

    def _readable(self, model: type[JointRecord]) -> JointRecord:
        """The record as far as it can be read."""
        columns = {field.name for field in model._meta.concrete_fields}
        named = {name: value for name, value in self.cleaned_data.items() if name in columns and value is not None}
        measures = self.measures() if self.MEASURES else {}
        return model(**{**self.STAND_INS, **named, **measures, **self.common()})

    def measures(self) -> dict[str, Any]:
        """The measured columns, and under `typed` each as it was typed, by the workbook's word."""
        clean = self.cleaned_data
        given = [one for one in self.MEASURES if clean.get(one.field) is not None]
        figures = {one.column: clean[one.field] for one in given}
        return {**figures, "typed": {one.word: with_point(str(self.data[one.field]).strip()) for one in given}}


def hint(form: forms.Form, name: str, bounds: str, source: str = "") -> None:
    """Say beside a field what is asked of it, before anything is typed; the procedure stands above the form anyway."""
    if bounds and name in form.fields:
        form.fields[name].help_text = f"{bounds} · {source}" if source and not source.startswith("WPS") else bounds


def written(value: Decimal | None, unit: str, units: str) -> str:
    """A stored figure as somebody on this job would type it."""
    if value is None:
        return ""
    return clock_of(value) if unit == "clock" else figure(value, unit, units)
