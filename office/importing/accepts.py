"""What each kind of column accepts, in words, for the notes of the template."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

P = TypeVar("P", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Accepts:
    """What a column accepts.

    words    in a phrase after "Accepted:"; `bare` says what a bare number means on a US and on an SI job
    choices  the words to choose from, where it is a list of words
    is_quantity  whether a unit may stand behind the number, and so in the heading
    """

    words: str = ""
    bare: tuple[str, str] = ("", "")
    example: str = ""
    choices: tuple[str, ...] = ()
    is_quantity: bool = False

    def in_units(self, units: str) -> str:
        """The phrase for a unit system, US or SI."""
        bare = self.bare[0 if units == "US" else 1]
        return f"{self.words}; a bare number is in {bare}" if bare else self.words


_OF: dict[Callable[..., Any], Accepts] = {}


def accepting(parse: P, words: str, example: str = "", **more: Any) -> P:
    """Note what a parser accepts, and return it."""
    _OF[parse] = Accepts(words, example=example, **more)
    return parse


def accepts_of(parse: Callable[..., Any]) -> Accepts:
    """Return what a parser accepts; nothing said where it takes any text."""
    return _OF.get(parse, Accepts())
