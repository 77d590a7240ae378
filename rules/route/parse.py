"""Read a route as it is typed, a step a line; what can't be read is told with line, column and what is accepted."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rules.nearest import NotAccepted
from rules.pipe import parse_class, parse_nps, parse_schedule
from rules.route import grammar
from rules.route.grammar import DIRECTIONS, FITTING_TO_FITTING, ITEMS, SHORT_DIRECTIONS, Clause, Item
from rules.route.shape import RouteFault
from rules.route.step import Move, Place, Step
from rules.units import UnitError, of_one_width, parse_degrees, parse_length, parse_number

MOST_LINES = 1000
MOST_FAULTS = 50
_LONGEST_LINE = 300
_AXES = {"e": ("east", 1), "w": ("east", -1), "n": ("north", 1), "s": ("north", -1), "el": ("up", 1)}
_KG = {"kg": Decimal(1), "lb": Decimal("0.45359237")}


class StepRefused(Exception):
    """A step that can't be read: the column, and the sentence."""

    def __init__(self, column: int, message: str) -> None:
        super().__init__(message)
        self.column = column


@dataclass(frozen=True, slots=True)
class _Word:
    text: str
    column: int

    @property
    def plain(self) -> str:
        return self.text.casefold()


def parse_route(text: str, units: str) -> tuple[tuple[Step, ...], tuple[RouteFault, ...]]:
    """Read a route's text.

    text     a step a line; what follows a semicolon is a note, blank lines and indents mean nothing
    units    of bare numbers: US (inch) or SI (mm)
    Returns  the steps that could be read, and a fault for each line that could not
    """
    lines = text.splitlines()
    if len(lines) > MOST_LINES:
        told = f"The route has {len(lines)} lines; accepted are at most {MOST_LINES}: continue it on another sheet."
        return (), (RouteFault(MOST_LINES + 1, 1, told),)
    steps: list[Step] = []
    faults: list[RouteFault] = []
    for number, line in enumerate(lines, start=1):
        try:
            if (step := read_step(line, number, units)) is not None:
                steps.append(step)
        except StepRefused as refused:
            faults.append(RouteFault(number, refused.column, str(refused)))
    return tuple(steps), tuple(faults[:MOST_FAULTS])


def read_step(line: str, number: int, units: str) -> Step | None:
    """Read one line; None for a blank one. A line of nothing but a note is a step without an item."""
    if len(line) > _LONGEST_LINE:
        raise StepRefused(_LONGEST_LINE, f"The line has {len(line)} characters; accepted are at most {_LONGEST_LINE}.")
    said, _, note = line.partition(";")
    said = of_one_width(said)
    words = [_Word(found[0], found.start() + 1) for found in re.finditer(r"\S+", said)]
    if not words:
        return Step("", number, note=note.strip()) if note.strip() else None
    item, used = _item(words)
    return _Reader(item, words, used, len(said.rstrip()) + 1, units).step(number, note.strip())


def _item(words: Sequence[_Word]) -> tuple[Item, int]:
    for count in (3, 2, 1):
        name = " ".join(word.plain for word in words[:count])
        if name in ITEMS:
            return ITEMS[name], min(count, len(words))
    wanted = words[0].text
    raise StepRefused(words[0].column, str(NotAccepted(f'There is no step "{wanted}"', wanted, ITEMS)))


class _Reader:
    """Takes the clauses of one step from its words, in their order."""

    def __init__(self, item: Item, words: Sequence[_Word], used: int, end: int, units: str) -> None:
        self.item, self.words, self.place, self.end, self.units = item, words, used, end, units
        self.columns = {"": words[0].column}
        self.texts: dict[str, str] = {}
        self.values: dict[str, Any] = {}

    def step(self, number: int, note: str) -> Step:
        """Read every clause; refuse what is left over."""
        for index, clause in enumerate(self.item.clauses):
            self._clause(clause, self._stops(self.item.clauses[index + 1 :]))
        if self.place < len(self.words):
            word = self.words[self.place]
            raise StepRefused(word.column, f'"{word.text}" is not expected here; {self._accepted()}.')
        return Step(self.item.name, number, note=note, texts=self.texts, columns=self.columns, **self.values)

    def _accepted(self) -> str:
        """What may follow the step's name, in words, with an example."""
        said = [clause.said() for clause in self.item.clauses]
        if not said:
            return f'nothing follows "{self.item.name}"'
        order = "" if len(said) == 1 else ", each if needed and in this order"
        return f'accepted after "{self.item.name}": {", ".join(said)}{order}; {self._example()}'

    def _example(self) -> str:
        return f"for example: {self.item.example(self.units)}"

    @staticmethod
    def _stops(later: Sequence[Clause]) -> frozenset[str]:
        leads = {clause.lead for clause in later if clause.lead}
        return frozenset(leads | {choice for clause in later for choice in clause.choices})

    def _clause(self, clause: Clause, stops: frozenset[str]) -> None:
        if not self._begins(clause, stops):
            if clause.needed:
                raise StepRefused(self._column(), f"Expected {clause.said()} here, {self._example()}.")
            return
        if clause.lead:
            self.place += 1
        start = self.place
        column = self._column()
        if start == len(self.words):
            raise StepRefused(column, f'Expected {clause.value_said()} after "{clause.lead}", {self._example()}.')
        try:
            self._take[clause.value](self, clause, stops)
        except (UnitError, NotAccepted) as error:
            raise StepRefused(column, str(error)) from error
        self.texts[clause.column] = " ".join(word.text for word in self.words[start : self.place])
        self.columns[clause.column] = column

    def _begins(self, clause: Clause, stops: frozenset[str]) -> bool:
        """Whether the next word can begin this clause."""
        if self.place == len(self.words):
            return False
        word = self.words[self.place].plain
        if clause.lead:
            return word == clause.lead
        return clause.needed or (word in clause.choices if clause.choices else word not in stops)

    def _column(self) -> int:
        return self.words[self.place].column if self.place < len(self.words) else self.end

    def _until(self, stops: frozenset[str]) -> str:
        """The words up to the next clause, as one text."""
        taken = []
        while self.place < len(self.words) and self.words[self.place].plain not in stops:
            taken.append(self.words[self.place].text)
            self.place += 1
        return " ".join(taken)

    def _one(self) -> str:
        self.place += 1
        return self.words[self.place - 1].text

    # --- one for each kind of value ---

    def _size(self, clause: Clause, stops: frozenset[str]) -> None:
        self.values["nps"] = parse_nps(self._until(stops), self.units)

    def _schedule(self, clause: Clause, stops: frozenset[str]) -> None:
        self.values["schedule"] = parse_schedule(self._one())

    def _rating(self, clause: Clause, stops: frozenset[str]) -> None:
        self.values["rating"] = parse_class(self._one())

    def _length(self, clause: Clause, stops: frozenset[str]) -> None:
        self.values["length_mm"] = parse_length(self._until(stops), self.units)

    def _angle(self, clause: Clause, stops: frozenset[str]) -> None:
        text = self._one()
        if self.place < len(self.words) and self.words[self.place].plain in ("°", "deg", "degrees"):
            text += self._one()
        degrees = parse_degrees(text)
        if not 0 < degrees <= 90:
            raise UnitError(f"An angle of {degrees:f}° is not possible here; accepted are angles over 0 and up to 90°.")
        self.values["degrees"] = degrees

    def _weight(self, clause: Clause, stops: frozenset[str]) -> None:
        text = self._until(stops)
        found = re.fullmatch(r"(\S*?[0-9.])\s*(kg|lb)", text, re.IGNORECASE)
        if not found:
            raise UnitError(f'"{text}" is not a weight; accepted are 12.5 kg and 30 lb.')
        self.values["weight_kg"] = abs(parse_number(found[1])) * _KG[found[2].lower()]

    def _choice(self, clause: Clause, stops: frozenset[str]) -> None:
        word = self._one()
        if word.casefold() not in clause.choices:
            raise NotAccepted(f'"{word}" is not expected here', word, clause.choices)
        if clause.choices == ("welded",):
            self.values["is_welded"] = True
        else:
            self.values["kind"] = word.casefold()

    def _words(self, clause: Clause, stops: frozenset[str]) -> None:
        self.values[clause.column] = self._until(stops)

    def _direction(self, clause: Clause, stops: frozenset[str]) -> None:
        self.values["along"] = (Move(direction_of(self._one())),)

    def _moves(self, clause: Clause, stops: frozenset[str]) -> None:
        if self.words[self.place].plain == "skew":
            self.place += 1
        moves: list[Move] = []
        while self.place < len(self.words) and self.words[self.place].plain not in stops:
            moves.append(self._move())
        if not moves:
            raise UnitError(f"A direction and a length are expected here; accepted are {', '.join(DIRECTIONS)}.")
        self._sound_moves(moves)
        self.values["along"] = tuple(moves)

    def _sound_moves(self, moves: Sequence[Move]) -> None:
        axes = [_AXIS_OF[move.direction] for move in moves]
        if len(set(axes)) < len(axes):
            raise UnitError("Two of the offsets lie along one axis; accepted is one along each, for example up 300.")
        if len(moves) > 1 and any(move.length_mm is None for move in moves):
            raise UnitError(f"A skew run needs each offset's length; {FITTING_TO_FITTING} goes with one direction.")

    def _move(self) -> Move:
        column = self._column()
        try:
            direction = direction_of(self._one())
        except NotAccepted as error:
            raise StepRefused(column, str(error)) from error
        column = self._column()
        text = self._until(_ALL_DIRECTIONS)
        if text.casefold() == FITTING_TO_FITTING:
            return Move(direction)
        if not text:
            raise StepRefused(column, f'Expected a length after "{direction}", or "{FITTING_TO_FITTING}".')
        try:
            length = parse_length(text, self.units)
        except UnitError as error:
            raise StepRefused(column, str(error)) from error
        if not length:
            raise StepRefused(column, f"The run {direction} has no length; accepted are lengths over 0.")
        return Move(direction, length)

    def _place(self, clause: Clause, stops: frozenset[str]) -> None:
        found: dict[str, Decimal] = {}
        while self.place < len(self.words):
            word = self.words[self.place]
            if word.plain not in _AXES:
                raise NotAccepted(f'"{word.text}" is no coordinate', word.text.upper(), ("E", "N", "EL", "W", "S"))
            self.place += 1
            axis, sign = _AXES[word.plain]
            text = self._until(frozenset(_AXES))
            minus = text.startswith(("-", "−"))
            length = parse_length(text[1:] if minus else text.removeprefix("+"), self.units)
            if axis in found:
                raise UnitError(f"The coordinate {word.text} stands twice; accepted is one of each axis.")
            found[axis] = length * (-sign if minus else sign)
        self.values["place"] = Place(**found)

    def _target(self, clause: Clause, stops: frozenset[str]) -> None:
        ahead = self.words[self.place :]
        if ahead[0].plain in _AXES and len(ahead) > 1:
            self._place(clause, stops)
        else:
            self.values["name"] = self._until(frozenset())

    _take: dict[str, Callable[["_Reader", Clause, frozenset[str]], None]] = {
        grammar.SIZE: _size,
        grammar.SCHEDULE: _schedule,
        grammar.RATING: _rating,
        grammar.LENGTH: _length,
        grammar.ANGLE: _angle,
        grammar.WEIGHT: _weight,
        grammar.CHOICE: _choice,
        grammar.WORDS: _words,
        grammar.DIRECTION: _direction,
        grammar.MOVES: _moves,
        grammar.PLACE: _place,
        grammar.TARGET: _target,
    }


_ALL_DIRECTIONS = frozenset({*DIRECTIONS, *SHORT_DIRECTIONS})
_AXIS_OF = {"north": "n", "south": "n", "east": "e", "west": "e", "up": "u", "down": "u"}
_AXIS_OF |= {name: "level" for name in DIRECTIONS if name not in _AXIS_OF}


def direction_of(word: str) -> str:
    """A direction by its whole name; raises NotAccepted naming the directions, nearest first."""
    plain = word.casefold().replace("-", "")
    name = SHORT_DIRECTIONS.get(plain, plain)
    if name not in DIRECTIONS:
        raise NotAccepted(f'There is no direction "{word}"', word, DIRECTIONS)
    return name
