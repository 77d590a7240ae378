"""The signature that a joint may go on."""

from django import forms

from joints.forms.record_form import RecordForm
from records.models import Release


class ReleaseForm(RecordForm[Release]):
    """Who releases the joint, and a remark."""

    MODEL = Release
    FRONT = ("by", "remark")
    MORE = ("date", "time")

    remark = forms.CharField(label="Remark", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))

    def draft(self) -> Release:
        """The release that this form says, unsaved."""
        return Release(**self.common(), remark=self.cleaned_data["remark"])
