"""Which tags of a line, on which labels."""

from typing import Any

from django import forms

from joints.forms.told_form import ToldForm
from reports.tags import LABELS

OF = (("spools", "its spools"), ("joints", "its joints"))


class TagsForm(ToldForm):
    """What the tags are for, the sheet of labels, and where on it to begin."""

    of = forms.ChoiceField(label="Tags for", choices=OF, widget=forms.RadioSelect)
    labels = forms.ChoiceField(label="Sheet of labels", choices=[(name, one.words) for name, one in LABELS.items()])
    first = forms.IntegerField(
        label="First free label",
        min_value=1,
        help_text="1 for a new sheet; counted row by row on one partly used",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )

    def __init__(self, data: Any = None, *, units: str) -> None:
        super().__init__(data, initial={"of": "spools", "labels": "letter-10" if units == "US" else "a4-8", "first": 1})

    def clean(self) -> dict[str, Any]:
        """Hold the first label against the sheet chosen."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        labels, first = LABELS.get(typed.get("labels", "")), typed.get("first")
        if labels and first and first > labels.count:
            self.add_error("first", f"This sheet has {labels.count} labels; give 1 to {labels.count}.")
        return typed
