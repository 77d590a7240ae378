"""The form by which an inspector chooses joints of a lot: drawn at random, or by hand."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID, uuid5

from django import forms
from django.utils import timezone

from inspection.actions.pick_joints import drawn, open_welds
from joints.forms.fact_form import OnceForm
from records.clock import local_time
from records.models import Job, Pick
from rules.lots import EXTRA, SAMPLE, Lot, LotWeld

HOW = (("random", "draw at random"), ("by hand", "choose below"))


class PickForm(OnceForm):
    """How many are drawn or which are chosen, for the sample or as the extras of a welder."""

    FAULTS = {"done_on": "date"}

    how = forms.ChoiceField(label="How", choices=HOW, widget=forms.RadioSelect, initial="random")
    count = forms.IntegerField(label="How many to draw", min_value=1, required=False)
    chosen = forms.MultipleChoiceField(
        label="Joints to choose from", required=False, widget=forms.CheckboxSelectMultiple
    )
    remark = forms.CharField(
        label="Why these", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
    by = forms.CharField(label="Picked by", max_length=120)
    date = forms.DateField(label="Day", widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))

    def __init__(self, data: Any = None, *, job: Job, lot: Lot, name: str, welder: str = "") -> None:
        self.job, self.lot, self.welder = job, lot, welder
        due = next((one.due for one in lot.extras if one.welder == welder), 0)
        first: Mapping[str, Any] = {
            "count": due or lot.to_pick or 1, "by": name, "date": local_time(job, timezone.now()).date(),
        }  # fmt: skip
        super().__init__(data, initial=first)
        self.offered = open_welds(lot, welder)
        choices = [(one.id, f"{one.name} · {', '.join(one.welders) or 'no stamp'}") for one in self.offered]
        self.fields["chosen"].choices = choices  # type: ignore[attr-defined]

    @property
    def purpose(self) -> str:
        """What the joints are picked for."""
        return EXTRA if self.welder else SAMPLE

    @property
    def front(self) -> list[forms.BoundField]:
        """The fields that are asked."""
        return [self[name] for name in ("how", "count", "chosen", "remark", "by", "date")]

    def clean(self) -> dict[str, Any]:
        """Ask for the number of a draw, or for the joints of a choice."""
        clean = super().clean() or self.cleaned_data
        how, count = clean.get("how"), clean.get("count")
        if how == "random" and "count" not in self.errors:
            if not count:
                self.add_error("count", "How many joints to draw is missing; accepted are whole numbers from 1.")
            elif count > len(self.offered):
                self.add_error("count", f"Only {len(self.offered)} joints can be picked; accepted are up to so many.")
        if how == "by hand" and "chosen" not in self.errors and not clean.get("chosen"):
            self.add_error("chosen", "No joint is chosen; tick at least one.")
        return clean

    def seed(self) -> str:
        """What the draw is made from: the identity of this form, so that sending it twice draws once."""
        return str(self.cleaned_data["id"])[-12:]

    def drafts(self) -> list[Pick]:
        """One pick for each joint that is drawn or chosen."""
        clean = self.cleaned_data
        if clean["how"] == "random":
            some = drawn(self.lot, self.seed(), self.purpose, clean["count"], self.welder)
            draw = f"seed {self.seed()}, {clean['count']} of {len(self.offered)} by SHA-256 of seed and joint"
        else:
            some, draw = [one for one in self.offered if one.id in set(clean["chosen"])], ""
        return [self._draft(one, draw) for one in some]

    def _draft(self, weld: LotWeld, draw: str) -> Pick:
        clean, rule = self.cleaned_data, self.lot.rule
        return Pick(
            id=uuid5(clean["id"], weld.id),
            joint_id=UUID(weld.id),
            attempt=weld.attempt,
            method=rule.method,
            stage=rule.stage,
            purpose=self.purpose,
            how=clean["how"],
            lot=f"{rule.plan} {rule.method}, {self.lot.name}"[:200],
            draw=draw,
            remark=clean["remark"],
            done_on=clean["date"],
            by=clean["by"],
        )
