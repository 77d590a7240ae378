"""A step of a spool."""

from typing import Any

from joints.forms.shop_form import ShopForm, picked
from records.models import Spool, SpoolStep
from records.models.shop import CHECK_RESULTS


class SpoolStepForm(ShopForm[SpoolStep]):
    """One step; the dimensional check asks for its result."""

    FRONT = ("result", "by", "place")

    result = picked("Result", [(word, word) for word in CHECK_RESULTS])

    def __init__(self, data: Any = None, *, spool: Spool, step: str, **about: Any) -> None:
        self.spool, self.step = spool, step
        super().__init__(data, **about)
        if step != "dimensional check":
            del self.fields["result"]

    def values_of(self, record: SpoolStep) -> dict[str, Any]:
        """What a stored step says."""
        return super().values_of(record) | {"result": record.result}

    def draft(self) -> SpoolStep:
        """The step that this form says, unsaved."""
        result = self.cleaned_data.get("result", "")
        return SpoolStep(**self.common(), spool=self.spool, step=self.step, result=result)
