"""A pass: who welded which run, with what, and within which range."""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Case, QuerySet, When
from django.utils.choices import BaseChoiceIterator

from joints.actions.record_passes import faults
from joints.forms.carried import Lots
from joints.forms.quantities import QuantityField, StampField, length_field, temperature_field, travel_field
from joints.forms.record_form import RecordForm, hint
from joints.measures import PASS, PLACES
from joints.queries.joint_asks import Plan
from records.models import FillerLot, Job, Pass
from records.models.procedure import PASS_ROLES, PROCESSES
from rules.units import parse_clock, parse_current, parse_duration, parse_voltage, shown

PARAMETERS = ("amps", "volts", "travel", "preheat", "interpass")
CLOCK_HINT = "Clock face, 12 on top, seen with the flow"
POSITIONS = ("", "flat", "horizontal", "vertical", "overhead", "1G", "2G", "5G", "6G", "1F", "2F", "4F", "5F")


class LotField(forms.ModelChoiceField):
    """A filler lot of the job; those of the fillers that the procedure asks for stand first."""

    def __init__(self, job: Job, asked: Iterable[str] = ()) -> None:
        first = Case(When(classification__in=list(asked), then=0), default=1)
        lots = FillerLot.objects.filter(job=job).order_by(first, "number")
        super().__init__(lots, label="Filler lot", required=False)
        self.rows = lots.values_list("id", "number", "classification", "diameter_mm")
        self.choices = LotChoices(self.rows, job.units)


class LotChoices(BaseChoiceIterator):
    """Lots by number, classification and the size of the wire or electrode, by which a welder reaches for it."""

    def __init__(self, lots: QuerySet[FillerLot, Any], units: str) -> None:
        self.lots, self.units = lots, units

    def __iter__(self) -> Iterator[tuple[Any, str]]:
        yield "", "not known"
        for key, number, classification, mm in self.lots:
            yield key, f"{number} · {classification}{'' if mm is None else ' ' + shown(mm, 'mm', self.units)}"


class PassForm(RecordForm[Pass]):
    """One segment of a pass; the procedure's ranges stand beside, and last values are offered again."""

    MODEL = Pass
    CHECK = (faults,)
    STAND_INS = {"order": 1}
    FAULTS = {"pass": "role"}
    MEASURES = (*PASS, *PLACES)
    KIND = "pass"
    TEXTS = {"role": "role", "process": "process", "stamp": "stamp", "done_on": "date"}
    HALF = frozenset({one.field for one in MEASURES} | {"order", "position", "shift", "date", "time"})

    order = forms.IntegerField(
        label="Pass number",
        min_value=1,
        max_value=99,
        widget=forms.NumberInput(attrs={"class": "measure", "inputmode": "numeric"}),
        show_hidden_initial=True,  # whether somebody changed it is held against what this page proposed
    )
    role = forms.ChoiceField(
        label="Kind of pass", choices=[(role, role) for role in PASS_ROLES], widget=forms.RadioSelect
    )
    position = forms.ChoiceField(
        label="Position", required=False, choices=[(one, one or "not recorded") for one in POSITIONS]
    )
    shift = forms.CharField(label="Shift", required=False, max_length=20)

    def __init__(
        self,
        data: Any = None,
        *,
        plan: Plan,
        crew: frozenset[UUID],
        offered: Mapping[str, str],
        before: Sequence[Pass],
        **about: Any,
    ) -> None:
        self.plan, self.crew, self.offered, self.before = plan, crew, offered, before
        super().__init__(data, **about)
        self._add_measures()
        self.fields["stamp"] = StampField(self.job, label="Welded by (stamp)")
        del self.fields["by"]  # whoever welded it is the stamp
        choices = [(one, one) for one in self._processes()]
        self.fields["process"] = forms.ChoiceField(label="Process", choices=choices, widget=forms.RadioSelect)
        procedure = self.plan.joint.procedure
        self.fields["filler_lot"] = LotField(self.job, {one.filler for one in procedure.passes} if procedure else ())
        self._say_limits()
        self._offer(offered)

    def _offer(self, offered: Mapping[str, str]) -> None:
        """Offer last values again; a measurement is never set beforehand."""
        for name, value in offered.items():
            field = self.fields[name]
            field.widget.attrs |= {"data-last": value, "list": f"last-{name}"}
            field.help_text = f"{field.help_text} · last {value}" if field.help_text else f"last {value}"

    def _add_measures(self) -> None:
        job = self.job
        self.fields["amps"] = QuantityField(parse_current, step="5", label="Amps")
        self.fields["volts"] = QuantityField(parse_voltage, step="1", label="Volts")
        self.fields["travel"] = travel_field(job, "Travel")
        self.fields["length"] = length_field(job, "Length of the run")
        self.fields["arc_time"] = QuantityField(parse_duration, keypad="text", label="Arc time (s)")
        self.fields["preheat"] = temperature_field(job, "Preheat")
        self.fields["interpass"] = temperature_field(job, "Interpass")
        self.fields["start"] = QuantityField(parse_clock, label="Started at", help_text=CLOCK_HINT)
        self.fields["stop"] = QuantityField(
            parse_clock, label="Stopped at", help_text="Clockwise; where it started is all round"
        )

    def _processes(self) -> Iterable[str]:
        """The procedure's processes first; whatever else was done can be told as well."""
        procedure = self.plan.joint.procedure
        planned = list(procedure.processes) if procedure else []
        return [*planned, *(one for one in PROCESSES if one not in planned)]

    def _say_limits(self) -> None:
        role = self["role"].value() or "root"
        for name in PARAMETERS:
            if ask := self.plan.ask(f"{name}:{role}") or self.plan.ask(name):
                hint(self, name, f"{ask.bounds} for the {role}" if ask.id != name else ask.bounds, ask.source)

    def lots(self) -> Lots:
        """The filler lots that can be chosen, by key; read once, with the choices of the field."""
        field = self.fields["filler_lot"]
        assert isinstance(field, LotField)
        return {str(key): (classification, mm) for key, _, classification, mm in field.rows}

    @property
    def asked_names(self) -> tuple[str, ...]:
        """What is asked at this job's level of recording, with the clock where stops must lie apart."""
        level = PARAMETERS if self.job.recording == "parameters" else ()
        procedure = self.plan.joint.procedure
        dial = ("start", "stop") if procedure and procedure.stop_spacing_min_degrees else ()
        return ("role", "stamp", "process", "filler_lot", *level, *dial)

    @property
    def front(self) -> Iterable[forms.BoundField]:
        """The fields that are asked."""
        reason = ("reason",) if self.replaced is not None else ()
        return [self[name] for name in (*reason, *self.asked_names)]

    @property
    def more(self) -> Iterable[forms.BoundField]:
        """Whatever else may be told."""
        rest = ("order", *PARAMETERS, "length", "arc_time", "start", "stop", "position", "shift", "date", "time")
        return [self[name] for name in rest if name not in self.asked_names]

    @property
    def more_words(self) -> str:
        """What else may be told, in words."""
        level = "" if "amps" in self.asked_names else "amps, volts, travel, "
        clock = "" if "start" in self.asked_names else "start and stop, "
        return f"Pass number, {level}{clock}position, day and time"

    @property
    def dial(self) -> str:
        """What the dial needs, as JSON: the passes before, and how far apart starts and stops must lie."""
        procedure = self.plan.joint.procedure
        least = procedure.stop_spacing_min_degrees if procedure else None
        before = [
            {"order": one.order, "start": float(one.start_degrees), "stop": float(one.stop_degrees)}
            for one in self.before
            if one.start_degrees is not None and one.stop_degrees is not None and one != self.replaced
        ]
        return json.dumps({"least": float(least) if least else None, "before": before})

    def clean(self) -> dict[str, Any]:
        """A start without a stop says nothing, nor the reverse; one of another kind than the open pass is next."""
        clean = self.cleaned_data
        for one, other, word in (("start", "stop", "stopped"), ("stop", "start", "started")):
            if clean.get(one) is not None and clean.get(other) is None and other not in self.errors:
                self.add_error(other, ValidationError(f"Say where the pass {word} too, or leave both empty."))
        if self.replaced is None and "order" not in self.changed_data:
            # The same form sent again is the same pass, which stands among them by now.
            others = [one for one in self.before if one.id != clean.get("id")]
            same = [one.role for one in others if one.order == clean.get("order")]
            if same and clean.get("role") not in (None, *same):
                clean["order"] = others[-1].order + 1
        return clean

    def values_of(self, record: Pass) -> dict[str, Any]:
        """What a stored pass says."""
        named = {name: getattr(record, name) for name in ("order", "role", "process", "position", "shift")}
        return super().values_of(record) | named | {"stamp": record.stamp.code, "filler_lot": record.filler_lot_id}

    def draft(self) -> Pass:
        """The pass that this form says, unsaved; a correction stays under the procedure of the pass it corrects."""
        clean = self.cleaned_data
        named = {name: clean[name] for name in ("order", "role", "process", "position", "shift", "stamp", "filler_lot")}
        procedure = self.replaced.procedure if self.replaced else self.joint.procedure
        return Pass(**self.common() | {"by": clean["stamp"].code}, **self.measures(), **named, procedure=procedure)
