"""The lots of exam rules that ask a share, as they are kept beside the records that they follow from."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from rest_framework import serializers

from records.api.fields import Field, WordsField, as_stored, computed, key, number, text, whole, words_of
from records.api.resource import Resource, Row
from records.lot_storing import NAMED
from records.models import LotPlace, SampleLot
from rules.lots import STATES
from rules.state import is_final


def _of_weld(stage: str) -> str:
    return "final" if is_final(stage) else stage


_FIELDS: dict[str, Field] = {
    "id": key("id"),
    "job": text("job__code"),
    "rule_id": key("rule_id", about="The rule under exam-plans"),
    "plan": text("rule__plan__name"),
    "method": text("rule__method"),
    "joint_kind": text("rule__joint_kind"),
    "stage": computed(("rule__stage",), serializers.CharField, _of_weld),
    "share_percent": number("share_percent"),
    "lot": text("name"),
    "state": computed(("state",), serializers.ChoiceField, as_stored, choices=list(STATES)),
    "welds": whole("welds"),
    "needed": whole("needed"),
    "counted": whole("counted"),
    "pending": whole("pending"),
    "to_pick": whole("to_pick"),
    "extra_due": whole("extra_due"),
    "welders_lacking": words_of("lacking"),
    "joints": Field(("id",), WordsField, {"help_text": "drawing/sheet/number of each weld"}),
    "steps": words_of("steps", about="The arithmetic"),
}


class _Lots(Resource):
    """Lots, with the names of their welds."""

    def shown(self, rows: Iterable[Row]) -> list[dict[str, Any]]:
        """Rows as JSON has them; one query more."""
        told = super().shown(rows)
        welds = _welds([one["joints"] for one in told])
        return [one | {"joints": welds[one["joints"]]} for one in told]


def _welds(lots: list[UUID]) -> dict[UUID, list[str]]:
    columns = ("lot_id", "joint__sheet__drawing", "joint__sheet__number", "joint__number")
    found: dict[UUID, list[str]] = defaultdict(list)
    places = LotPlace.objects.filter(lot__in=lots).order_by("joint__sort_key")
    for lot, *name in places.values_list(*columns):
        found[lot].append("/".join(name))
    return found


LOTS = _Lots(
    "lots",
    "Lot",
    "Welds that stand together for an exam rule that asks a share, and how their sample stands.",
    SampleLot,
    _FIELDS,
    keys=NAMED,
)
