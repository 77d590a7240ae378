"""Confirm a table or a row of it, or withdraw that."""

from typing import Any

from django import forms
from django.utils import timezone

from joints.forms.fact_form import OnceForm
from records.clock import local_time
from records.models import Confirmation, Job


class _SignedForm(OnceForm):
    """Who, and the day."""

    by = forms.CharField(label="By", max_length=120)
    date = forms.DateField(label="Day", widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))

    def __init__(self, data: Any = None, *, job: Job, name: str) -> None:
        self.job, self.today = job, local_time(job, timezone.now()).date()
        super().__init__(data, initial={"by": name, "date": self.today})

    def clean_date(self) -> Any:
        """A day up to today."""
        day = self.cleaned_data["date"]
        if day > self.today:
            told = f"The date {day.isoformat()} is in the future. Accepted: a day up to {self.today.isoformat()}."
            raise forms.ValidationError(told)
        return day

    def signed(self) -> dict[str, Any]:
        """The columns that both have."""
        clean = self.cleaned_data
        return {"id": clean["id"], "job": self.job, "done_on": clean["date"], "by": clean["by"]}


class ConfirmForm(_SignedForm):
    """The edition that was read, and a remark."""

    edition = forms.CharField(
        label="Edition read", max_length=40, help_text="Of the contract’s own copy of the standard"
    )
    remark = forms.CharField(label="Remark", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))
    field_order = ("edition", "remark", "by", "date")

    def draft(self, table: str, row: str) -> Confirmation:
        """The confirmation that this form says, unsaved."""
        clean = self.cleaned_data
        return Confirmation(
            **self.signed(), table=table, row=row, edition=clean["edition"].strip(), remark=clean["remark"]
        )


class WithdrawConfirmationForm(_SignedForm):
    """Why it holds no more."""

    reason = forms.CharField(label="Why it is withdrawn", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))
    field_order = ("reason", "by", "date")

    def draft(self, confirmation: Confirmation) -> Confirmation:
        """The withdrawal that this form says, unsaved."""
        return Confirmation(**self.signed(), replaces=confirmation, reason=self.cleaned_data["reason"])
