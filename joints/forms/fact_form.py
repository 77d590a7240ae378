"""What every form of a fact has, on a joint or in the shop: day, time and name, and why where it corrects another."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, ClassVar, Generic, TypeVar

from django import forms
from django.utils import timezone

from joints.forms.told_form import ToldForm
from records.clock import local_time, zone_of
from records.models import Job
from records.models.base import JointRecord, ShopRecord, new_id

R = TypeVar("R", bound=JointRecord | ShopRecord)


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


class FactForm(OnceForm, Generic[R]):
    """A fact, new or as the correction of another.

    FRONT  names of the fields that are asked
    MORE   names of those one tap away
    HALF   names of those narrow enough to stand in pairs
    """

    FRONT: ClassVar[tuple[str, ...]] = ()
    MORE: ClassVar[tuple[str, ...]] = ()
    HALF: ClassVar[frozenset[str]] = frozenset({"date", "time"})

    replaces = forms.UUIDField(required=False, widget=forms.HiddenInput)
    date = forms.DateField(label="Day", widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))
    time = forms.TimeField(label="Time", required=False, widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}))
    by = forms.CharField(label="By", max_length=120, help_text="Name or stamp of whoever did it")

    def __init__(
        self,
        data: Any = None,
        *,
        job: Job,
        name: str,
        replaced: R | None = None,
        initial: Mapping[str, Any] | None = None,
    ) -> None:
        self.job, self.replaced = job, replaced
        now = local_time(job, timezone.now())
        first = {"date": now.date(), "time": now.time(), "by": name, **(initial or {})}
        if replaced is not None:
            first |= {"replaces": replaced.id, **self.values_of(replaced)}
        super().__init__(data, initial=first)
        if replaced is not None:
            self.fields["reason"] = forms.CharField(
                label="What was wrong",
                help_text="The record stays; this one counts instead",
                widget=forms.Textarea(attrs={"rows": 3}),
            )

    def values_of(self, record: R) -> dict[str, Any]:
        """What a stored record says, as the fields of this form; subclasses add their own."""
        at = local_time(self.job, record.done_at).time() if record.done_at else None
        return {"date": record.done_on, "time": at, "by": record.by}

    def moment(self) -> datetime | None:
        """The time at which it was done, where one was given."""
        day, time = self.cleaned_data.get("date"), self.cleaned_data.get("time")
        return datetime.combine(day, time, tzinfo=zone_of(self.job)) if day and time else None

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
