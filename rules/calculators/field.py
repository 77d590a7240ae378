"""One value that a calculator is asked with: its words, and what is wrong with a text as its value."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from rules.calculators.asked import Fault
from rules.calculators.kinds import KINDS, Kind
from rules.nearest import NotAccepted
from rules.units import US

Offered = Callable[[], Iterable[str]]


@dataclass(frozen=True, slots=True)
class Field:
    """One value that a calculator is asked with.

    label    the trade's word for it
    kind     a name of `kinds.KINDS`
    hint     what it is and what happens without it, in a sentence or less
    us, si   an example in each unit system, as it is typed there; `si` empty: the same
    offered  the values to choose from; where the kind is closed no other is taken, else they are suggestions
    above    whether it must be over 0
    """

    label: str
    kind: str = "text"
    hint: str = ""
    us: str = ""
    si: str = ""
    offered: Offered | None = None
    above: bool = False

    @property
    def how(self) -> Kind:
        """How a value is read."""
        return KINDS[self.kind]

    def example(self, units: str) -> str:
        """An example as it is typed in this unit system."""
        return self.us if units == US else self.si or self.us

    def choices(self) -> tuple[str, ...]:
        """The values to choose from; none for an open field."""
        return tuple(dict.fromkeys(self.offered())) if self.offered else ()

    def fault(self, key: str, text: str, units: str) -> Fault | None:
        """What is wrong with a text as this field's value, or None."""
        try:
            value = self.how.read(text, units)
        except NotAccepted as wrong:
            return Fault(key, str(wrong), wrong.accepted)
        except ValueError as wrong:
            return Fault(key, str(wrong), self.how.forms)
        if self.how.is_closed and value.casefold() not in {one.casefold() for one in self.choices()}:
            wrong_choice = NotAccepted(f'there is no "{text.strip()}"', text, self.choices())
            return Fault(key, str(wrong_choice), wrong_choice.accepted)
        number = value[0] if self.kind == "pressure" else value
        if self.above and not number > 0:
            return Fault(key, f'"{text.strip()}" is not possible; it must be over 0.', self.how.forms)
        return None
