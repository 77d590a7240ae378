"""Withdraw a record of a piece, a spool or a filler lot that was made in error."""

from typing import Any

from django import forms

from joints.forms.fact_form import OnceForm
from records.models import Job, Withdrawal
from records.models.base import ShopRecord


class WithdrawShopForm(OnceForm):
    """The reason; what is withdrawn stands in the address."""

    reason = forms.CharField(
        label="Why it is withdrawn",
        help_text="For example: recorded on the wrong piece. The record stays to be seen, struck through",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, data: Any = None, *, job: Job, record: ShopRecord) -> None:
        self.job, self.record = job, record
        super().__init__(data)

    @property
    def front(self) -> list[forms.BoundField]:
        """The fields that are asked."""
        return [self["reason"]]

    def draft(self) -> Withdrawal:
        """The withdrawal that this form says, unsaved."""
        clean, kind = self.cleaned_data, str(self.record._meta.model_name)
        return Withdrawal(id=clean["id"], job=self.job, kind=kind, record=self.record.id, reason=clean["reason"])
