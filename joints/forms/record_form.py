"""What every form of a record has: an identity that makes a double click harmless, the attempt, day, time and name."""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, ClassVar, Generic, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from joints.forms.told_form import ToldForm, with_accepted
from joints.measures import Measure
from joints.queries.joint_history import clock_of
from records.clock import local_time, today_on, zone_of
from records.models import Job, Joint, User
from records.models.base import JointRecord, new_id
from records.recording import CLOCK_SLACK, common_faults
from records.refusals import Fault
from rules.units import figure

R = TypeVar("R", bound=JointRecord)


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


class OnceForm(ToldForm):
    """A form that carries the identity of what it will write."""

    id = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, initial: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial={"id": new_id(), **(initial or {})})

    def typed_faults(self) -> list[tuple[str, str]]:
        """What is wrong with what was typed, as label and sentence; a field still empty is not at fault."""
        return [
            (str(self.fields[name].label or name), str(sentence))
            for name, sentences in self.errors.items()
            if name in self.fields and str(self.data.get(name, "")).strip()
            for sentence in sentences
        ]


class RecordForm(OnceForm, Generic[R]):
    """A record on one attempt of a joint, new or as the correction of another.

    FRONT  names of the fields that are asked
    MORE   names of those one tap away
    HALF   names of those narrow enough to stand in pairs
    MEASURES  what is measured, each with its field
    MODEL, CHECK  the record, and what its action finds in it that can't be; with them all that is wrong shows at once
    STAND_INS  values of the record's columns that are to be read, while they can't be
    """

    FRONT: ClassVar[tuple[str, ...]] = ()
    MORE: ClassVar[tuple[str, ...]] = ()
    HALF: ClassVar[frozenset[str]] = frozenset({"date", "time"})
    MEASURES: ClassVar[tuple[Measure, ...]] = ()
    MODEL: ClassVar[type[JointRecord] | None] = None
    CHECK: ClassVar[tuple[Callable[[Any], Iterable[Fault]], ...]] = ()
    STAND_INS: ClassVar[Mapping[str, Any]] = {}

    device_at = DeviceTimeField()
    attempt = forms.CharField(max_length=6, widget=forms.HiddenInput)
    replaces = forms.UUIDField(required=False, widget=forms.HiddenInput)
    date = forms.DateField(label="Day", widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))
    time = forms.TimeField(label="Time", required=False, widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}))
    by = forms.CharField(label="By", max_length=120, help_text="Name or stamp of whoever did it")

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
        self.job, self.joint, self.user, self.name, self.replaced = job, joint, user, name, replaced
        now = local_time(job, timezone.now())
        first = {"attempt": joint.attempt, "date": now.date(), "time": now.time(), "by": name, **(initial or {})}
        if replaced is not None:
            first |= {"attempt": replaced.attempt, "replaces": replaced.id, **self.values_of(replaced)}
        super().__init__(data, initial=first)
        if replaced is not None:
            self.fields["reason"] = forms.CharField(
                label="What was wrong",
                help_text="The record stays; this one counts instead",
                widget=forms.Textarea(attrs={"rows": 3}),
            )

    def values_of(self, record: R) -> dict[str, Any]:
        """What a stored record says, as the fields of this form; subclasses add what is no measure."""
        at = local_time(self.job, record.done_at).time() if record.done_at else None
        typed: Mapping[str, str] = getattr(record, "typed", {})
        measured = {
            one.field: typed.get(one.word) or written(getattr(record, one.column), one.unit, self.job.units)
            for one in self.MEASURES
        }
        return {"date": record.done_on, "time": at, "by": record.by, **measured}

    def common(self) -> dict[str, Any]:
        """The columns that every record on a joint has."""
        clean = self.cleaned_data
        return {
            "id": clean["id"],
            "job": self.job,
            "joint": self.joint,
            "attempt": clean["attempt"],
            "done_on": clean.get("date") or today_on(self.job),
            "done_at": self._moment(),
            "by": clean.get("by") or self.name,
            "device_at": clean.get("device_at"),
            "replaces": self.replaced,
            "reason": clean.get("reason", ""),
        }

    def _moment(self) -> datetime | None:
        day, time = self.cleaned_data.get("date"), self.cleaned_data.get("time")
        return datetime.combine(day, time, tzinfo=zone_of(self.job)) if day and time else None

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
        return {**figures, "typed": {one.word: str(self.data[one.field]).strip() for one in given}}

    def draft(self) -> R:
        """The record that this form says, unsaved."""
        raise NotImplementedError

    @property
    def front(self) -> Iterable[forms.BoundField]:
        """The fields that are asked."""
        reason = ("reason",) if self.replaced is not None else ()
        return [self[name] for name in (*reason, *self.FRONT) if name in self.fields]

    @property
    def more(self) -> Iterable[forms.BoundField]:
        """The fields one tap away."""
        return [self[name] for name in self.MORE if name in self.fields]

    @property
    def is_more_open(self) -> bool:
        """Whether something one tap away is wrong, was changed, or is to be corrected."""
        if self.is_bound:
            return any(field.errors or field.name in self.changed_data for field in self.more)
        return self.replaced is not None


def hint(form: forms.Form, name: str, bounds: str, source: str = "") -> None:
    """Say beside a field what is asked of it, before anything is typed; the procedure stands above the form anyway."""
    if bounds and name in form.fields:
        form.fields[name].help_text = f"{bounds} · {source}" if source and not source.startswith("WPS") else bounds


def written(value: Decimal | None, unit: str, units: str) -> str:
    """A stored figure as somebody on this job would type it."""
    if value is None:
        return ""
    return clock_of(value) if unit == "clock" else figure(value, unit, units)
