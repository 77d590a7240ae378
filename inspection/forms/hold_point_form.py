"""One hold or witness point, as an engineer types it."""

from typing import Any

from django import forms

from inspection.actions.set_hold_points import STEPS
from joints.forms.fact_form import OnceForm
from records.models import HoldPoint, Job, Line
from records.models.joint import KINDS
from rules.points import HOLD, WITNESS

_KINDS = (
    (HOLD, "hold: the next step waits until the owner’s inspector has attended or waived"),
    (WITNESS, "witness: the owner’s inspector is told in time and may come"),
)
_WORDS = {"fit-up": "fit-up, before the first pass", "root": "root, before the pass after it", "release": "release"}
_STEPS = [(one, _WORDS.get(one, f"{one}, before the release")) for one in STEPS]
_FORCE = (("yes", "in force"), ("no", "not in force any more"))


class HoldPointForm(OnceForm):
    """A point with its step and the joints that it speaks of; on a change also why."""

    FAULTS = {"joint kind": "joint_kind"}

    name = forms.CharField(label="Item of the plan", max_length=40, help_text="For example 4.2")
    kind = forms.ChoiceField(label="Kind", widget=forms.RadioSelect, choices=_KINDS)
    step = forms.ChoiceField(
        label="Step", choices=[(one, _WORDS.get(one, f"{one}, before the release")) for one in STEPS]
    )
    line = forms.CharField(label="Line", required=False, max_length=80, help_text="Left empty: every line")
    piping_class = forms.CharField(
        label="Piping class", required=False, max_length=40, help_text="Left empty: every class"
    )
    joint_kind = forms.ChoiceField(
        label="Kind of joint", required=False, choices=[("", "every kind"), *((one, one) for one in KINDS)]
    )
    document = forms.CharField(
        label="Document", required=False, max_length=80, help_text="The inspection and test plan, for example ITP-07"
    )

    def __init__(self, data: Any = None, *, job: Job, row: HoldPoint | None = None) -> None:
        self.job, self.row = job, row
        names = ("name", "kind", "step", "piping_class", "joint_kind", "document")
        first: dict[str, Any] = {name: getattr(row, name) for name in names} if row else {"kind": HOLD}
        if row:
            first |= {"id": row.id, "line": row.line.number if row.line else ""}
            first["in_force"] = "yes" if row.in_force else "no"
        super().__init__(data, initial=first)
        if row is None:
            return
        self.fields["in_force"] = forms.ChoiceField(label="Does it hold", widget=forms.RadioSelect, choices=_FORCE)
        self.fields["reason"] = forms.CharField(
            label="Why it changes", required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 3})
        )

    def clean_line(self) -> Line | None:
        """Find the line by its number."""
        number = self.cleaned_data["line"].strip()
        if not number:
            return None
        line = Line.objects.filter(job=self.job, number=number).first()
        if line is None:
            raise forms.ValidationError(f"There is no line {number} on this job; accepted is a line of it, or nothing.")
        return line

    @property
    def reason(self) -> str:
        """Why the point changes."""
        return str(self.cleaned_data.get("reason", ""))

    def draft(self) -> HoldPoint:
        """The point that this form says, unsaved."""
        clean = self.cleaned_data
        named = {name: clean[name] for name in ("kind", "step", "line", "piping_class", "joint_kind", "document")}
        key = self.row.id if self.row else clean["id"]
        in_force = clean.get("in_force", "yes") == "yes"
        return HoldPoint(id=key, job=self.job, name=clean["name"].strip(), in_force=in_force, **named)
