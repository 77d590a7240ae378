"""A form that says of an empty field which one it is, and shows a refusal where it belongs."""

from collections.abc import Mapping
from typing import ClassVar

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS

from records.refusals import Fault, Refusal
from records.templatetags.spoolbook import written


class ToldForm(forms.Form):
    """What every form of a job has in common: whatever is wrong is said at its field and above the form."""

    # A fault's word -> the field of this form, where they differ.
    FAULTS: ClassVar[Mapping[str, str]] = {}

    def full_clean(self) -> None:
        """Say of an empty field which one it is, before the fields are read."""
        for name, field in self.fields.items():
            if field.error_messages.get("required") == forms.Field.default_error_messages["required"]:
                field.error_messages["required"] = f"{field.label or name.capitalize()}: this is missing."
        super().full_clean()

    def take(self, refusal: Refusal) -> None:
        """Show why nothing was recorded, at the fields at fault and in the summary."""
        placed = [(self._place(fault.field), fault) for fault in refusal.faults]
        for name, fault in placed:
            self.add_error(name, with_accepted(fault))
        if not placed or all(name is None for name, _ in placed):
            self.errors.pop(NON_FIELD_ERRORS, None)
            self.add_error(None, refusal.message)

    def _place(self, word: str) -> str | None:
        name = self.FAULTS.get(word) or word.replace(" ", "_").replace("-", "_").lower()
        return name if name in self.fields else None


def with_accepted(fault: Fault) -> str:
    """A fault with what is accepted instead, as one text; days as the pages write them."""
    return written(f"{fault.message} Accepted: {fault.accepted}." if fault.accepted else fault.message)
