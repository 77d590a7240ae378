"""One limit of the owner's specification, as an engineer types it."""

from typing import Any

from django import forms

from joints.actions.set_owner_limits import JOINT_KINDS, SERVICES
from joints.forms.fact_form import OnceForm
from records.models import Job, OwnerLimit
from rules.specification import LIMITS, REPLACED, TIGHTENED, WITHDRAWN, parse_limit
from rules.units import UnitError

MODES = (
    (TIGHTENED, "tightened: the stricter of both governs"),
    (REPLACED, "replaced: the owner’s figure governs, even where it is looser"),
    (WITHDRAWN, "withdrawn: it holds no more"),
)
_KINDS = {"": "every kind", "groove": "groove welds: butt, branch, olet"}
_FIXED = ("limit", "joint_kind", "service")


class OwnerLimitForm(OnceForm):
    """A limit with its figure, specification and clause; on a change also why."""

    limit = forms.ChoiceField(label="Limit", choices=[(one.name, one.words) for one in LIMITS.values()])
    joint_kind = forms.ChoiceField(
        label="Kind of joint", required=False, choices=[(kind, _KINDS.get(kind, kind)) for kind in JOINT_KINDS]
    )
    service = forms.ChoiceField(
        label="Fluid service", required=False, choices=[(one, one or "every service") for one in SERVICES]
    )
    value = forms.CharField(
        label="Figure", max_length=40, help_text="With its unit as you like: 1/8 in, 3 mm, 200 F, 30 deg, 10 %, 2"
    )
    specification = forms.CharField(label="Specification", max_length=80, help_text="For example PS-110")
    clause = forms.CharField(label="Clause", max_length=40, required=False, help_text="For example 6.3")
    mode = forms.ChoiceField(label="Beside code and procedure", widget=forms.RadioSelect, choices=MODES)

    def __init__(self, data: Any = None, *, job: Job, row: OwnerLimit | None = None) -> None:
        self.job, self.row = job, row
        names = (*_FIXED, "specification", "clause", "mode")
        first = {name: getattr(row, name) for name in names} if row else {"mode": TIGHTENED}
        super().__init__(data, initial=first | ({"id": row.id, "value": row.typed} if row else {}))
        if row is None:
            self.fields["mode"].choices = MODES[:2]  # type: ignore[attr-defined]
            return
        for name in _FIXED:
            self.fields[name].disabled = True
        self.fields["reason"] = forms.CharField(
            label="Why it changes", required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 3})
        )

    def clean(self) -> dict[str, Any]:
        """Read the figure in the unit of its limit."""
        clean = super().clean() or {}
        if clean.get("limit") and clean.get("value"):
            try:
                clean["figure"] = parse_limit(clean["limit"], clean["value"], self.job.units)
            except UnitError as error:
                self.add_error("value", str(error))
        return clean

    @property
    def reason(self) -> str:
        """Why the limit changes."""
        return str(self.cleaned_data.get("reason", ""))

    def draft(self) -> OwnerLimit:
        """The limit that this form says, unsaved."""
        clean = self.cleaned_data
        key = self.row.id if self.row else clean["id"]
        named = {name: clean[name] for name in (*_FIXED, "specification", "clause", "mode")}
        return OwnerLimit(id=key, job=self.job, value=clean["figure"], typed=clean["value"].strip(), **named)
