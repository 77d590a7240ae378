"""What every form of a record of the shop has: an identity, the day, time and name, the place and a remark."""

from collections.abc import Iterable, Mapping
from typing import Any, ClassVar, Generic, TypeVar

from django import forms

from joints.forms.fact_form import FactForm
from records.models.base import ShopRecord

R = TypeVar("R", bound=ShopRecord)


class ShopForm(FactForm[R], Generic[R]):
    """A record of a piece, a spool or a filler lot, new or as the correction of another."""

    MORE: ClassVar[tuple[str, ...]] = ("date", "time", "remark")
    FAULTS: ClassVar[Mapping[str, str]] = {"done on": "date"}

    place = forms.CharField(label="Where", max_length=80, required=False, help_text="Rack, bay, truck or yard")
    remark = forms.CharField(label="Remark", required=False, widget=forms.Textarea(attrs={"rows": 3}))

    def values_of(self, record: R) -> dict[str, Any]:
        """What a stored record says, as the fields of this form; subclasses add their own."""
        return super().values_of(record) | {"place": record.place, "remark": record.remark}

    def common(self) -> dict[str, Any]:
        """The columns that every record of the shop has."""
        clean = self.cleaned_data
        return {
            "id": clean["id"],
            "job": self.job,
            "done_on": clean["date"],
            "done_at": self.moment(),
            "by": clean["by"],
            "place": clean["place"],
            "remark": clean["remark"],
            "replaces": self.replaced,
            "reason": clean.get("reason", ""),
        }


def picked(label: str, words: Iterable[tuple[str, str]], **options: Any) -> forms.ChoiceField:
    """A choice among a few words, as buttons for a gloved thumb."""
    return forms.ChoiceField(label=label, choices=list(words), widget=forms.RadioSelect, **options)
