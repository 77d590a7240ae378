"""An examination: what was measured and seen, and the examiner's verdict, which is the one that counts."""

from typing import Any

from django import forms

from inspection.actions.record_examinations import faults
from joints.forms.quantities import length_field
from joints.forms.record_form import RecordForm, hint
from joints.measures import EXAMINATION
from joints.queries.joint_asks import Plan
from joints.queries.joint_section import FILLET_KINDS
from records.models import Examination
from records.models.examination import RESULTS
from rules.indications import left_open

WORDS = {"accepted": "accepted", "rejected": "rejected", "re-shoot": "film to repeat"}
ON_FILM = ("RT",)


class ExaminationForm(RecordForm[Examination]):
    """One method on one attempt; a visual examination measures, a film is read and may have to be repeated."""

    MODEL = Examination
    CHECK = (faults,)
    MEASURES = EXAMINATION
    KIND = "examination"
    is_presumed = False
    HALF = frozenset({"leg_a", "leg_b", "report", "report_line", "date", "time"})

    report = forms.CharField(label="Report number", required=False, max_length=80)
    report_line = forms.CharField(label="Line of the report", required=False, max_length=20)
    indications = forms.CharField(
        label="Indications",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, data: Any = None, *, plan: Plan, method: str, **about: Any) -> None:
        self.method, self.plan = method, plan
        if data and "preview" in data and not data.get("result"):
            data, self.is_presumed = data.copy(), True
            data["result"] = "accepted"  # what is measured is held against its limits before a verdict is chosen
        super().__init__(data, **about)
        self.fields["by"].label, self.fields["by"].help_text = (
            "Examiner",
            f"The name that the {method} certificate bears",
        )
        self.fields["by"].widget.attrs["list"] = "examiners"
        seen = "undercut 1/32 in at 6, 1 in long" if self.job.units == "US" else "undercut 0.8 mm at 6, 25 mm long"
        self.fields["indications"].help_text = f"What was seen and where, one a line: {seen}"
        results = RESULTS if method in ON_FILM else RESULTS[:2]
        self.fields["result"] = forms.ChoiceField(
            label="Result",
            choices=[(one, WORDS[one]) for one in results],
            widget=forms.RadioSelect,
            error_messages={"required": "Say the result."},
        )
        self._add_measures(about["joint"].kind)
        for name, id in (("leg_a", "leg"), ("leg_b", "leg"), ("undercut", "undercut")):
            if ask := plan.ask(id):
                hint(self, name, ask.bounds, ask.source)

    def _add_measures(self, kind: str) -> None:
        if self.method == "VT":
            if kind in FILLET_KINDS or kind not in ("butt",):
                self.fields["leg_a"] = length_field(self.job, "Leg A")
                self.fields["leg_b"] = length_field(self.job, "Leg B")
            self.fields["undercut"] = length_field(self.job, "Undercut")
        elif self.method in ON_FILM and kind == "socket":
            self.fields["gap_on_film"] = length_field(self.job, "Gap on film")

    FRONT = ("leg_a", "leg_b", "undercut", "gap_on_film", "result", "indications", "report", "by")
    MORE = ("report_line", "date", "time")

    def clean(self) -> dict[str, Any]:
        """A reject says what was seen: whoever mends it must know."""
        clean = self.cleaned_data
        if clean.get("result") == "rejected" and not clean.get("indications") and "indications" not in self.errors:
            self.add_error("indications", "Say why it is rejected: what was seen, and where.")
        return clean

    def left_open(self) -> tuple[str, ...]:
        """What of the indications no limit decides, while they are typed."""
        typed = self.cleaned_data.get("indications", "") if self.is_bound and self.is_valid() else ""
        return left_open(typed, self.plan.joint, self.plan.job, self.method)

    def values_of(self, record: Examination) -> dict[str, Any]:
        """What a stored examination says."""
        named = {name: getattr(record, name) for name in ("result", "report", "report_line", "indications")}
        return super().values_of(record) | named

    def draft(self) -> Examination:
        """The examination that this form says, unsaved."""
        clean = self.cleaned_data
        named = {name: clean[name] for name in ("result", "report", "report_line", "indications")}
        stage = self.replaced.stage if self.replaced else "final"
        return Examination(**self.common(), **self.measures(), **named, method=self.method, stage=stage)
