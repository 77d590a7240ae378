"""What every form of a record of the shop has: an identity, the day, time and name, the place and a remark."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, ClassVar, Generic, TypeVar

from django import forms
from django.utils import timezone

from joints.forms.record_form import OnceForm
from records.clock import local_time, zone_of
from records.models import Job
from records.models.base import ShopRecord

R = TypeVar("R", bound=ShopRecord)


class ShopForm(OnceForm, Generic[R]):
    """A record of a piece, a spool or a filler lot, new or as the correction of another.

    FRONT  names of the fields that are asked     MORE  names of those one tap away
    """

    FRONT: ClassVar[tuple[str, ...]] = ()
    MORE: ClassVar[tuple[str, ...]] = ("date", "time", "remark")
    HALF: ClassVar[frozenset[str]] = frozenset({"date", "time"})
    FAULTS: ClassVar[Mapping[str, str]] = {"done on": "date"}

    replaces = forms.UUIDField(required=False, widget=forms.HiddenInput)
    date = forms.DateField(label="Day", widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))
    time = forms.TimeField(label="Time", required=False, widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}))
    by = forms.CharField(label="By", max_length=120, help_text="Name or stamp of whoever did it")
    place = forms.CharField(label="Where", max_length=80, required=False, help_text="Rack, bay, truck or yard")
    remark = forms.CharField(label="Remark", required=False, widget=forms.Textarea(attrs={"rows": 3}))

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
        return {
            "date": record.done_on, "time": at, "by": record.by, "place": record.place, "remark": record.remark,
        }  # fmt: skip

    def common(self) -> dict[str, Any]:
        """The columns that every record of the shop has."""
        clean = self.cleaned_data
        return {
            "id": clean["id"],
            "job": self.job,
            "done_on": clean["date"],
            "done_at": self._moment(),
            "by": clean["by"],
            "place": clean["place"],
            "remark": clean["remark"],
            "replaces": self.replaced,
            "reason": clean.get("reason", ""),
        }

    def _moment(self) -> datetime | None:
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
        """Whether something one tap away is wrong, or is to be corrected."""
        return self.replaced is not None or (self.is_bound and any(field.errors for field in self.more))


def picked(label: str, words: Iterable[tuple[str, str]], **options: Any) -> forms.ChoiceField:
    """A choice among a few words, as buttons for a gloved thumb."""
    return forms.ChoiceField(label=label, choices=list(words), widget=forms.RadioSelect, **options)
