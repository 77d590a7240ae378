"""The form of a new webhook: where, and what it hears."""

from django import forms

from joints.forms.fact_form import OnceForm
from records.models.webhook import EVENTS


class WebhookForm(OnceForm):
    """An address and the kinds of event."""

    address = forms.CharField(
        label="Address",
        max_length=500,
        help_text="For example https://example.com/spoolbook; https only, and none within a network",
        widget=forms.TextInput(attrs={"inputmode": "url", "autocomplete": "off", "spellcheck": "false"}),
    )
    kinds = forms.MultipleChoiceField(
        label="It is told when",
        choices=list(EVENTS.items()),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one kind of event."},
    )

    @property
    def front(self) -> list[forms.BoundField]:
        """The fields that are asked."""
        return [self["address"], self["kinds"]]
