"""The form of a new token: what for, how much, and which job."""

from typing import Any

from django import forms

from joints.forms.fact_form import OnceForm
from records.models import User
from records.permissions import jobs_of


class TokenForm(OnceForm):
    """A name, reading alone or writing too, one job or all."""

    name = forms.CharField(label="What it is for", max_length=80, help_text="For example: tablet of the night shift")
    scope = forms.ChoiceField(
        label="It may",
        choices=[("read", "read"), ("write", "read, and write what you may write")],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one."},
    )
    job: Any = forms.ModelChoiceField(None, label="On", required=False, empty_label="all jobs that you are on")

    def __init__(self, data: Any = None, *, user: User) -> None:
        super().__init__(data, initial={"scope": "read"})
        self.fields["job"].queryset = jobs_of(user)  # type: ignore[attr-defined]

    @property
    def front(self) -> list[forms.BoundField]:
        """The fields that are asked."""
        return [self[name] for name in ("name", "scope", "job")]
