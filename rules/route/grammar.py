"""The steps that a route is written in: each with its clauses, the column each fills, and what it means."""

from dataclasses import dataclass

from rules.units import SI, US

# What a clause's value is.
SIZE, SCHEDULE, RATING, LENGTH, ANGLE, WEIGHT = "size", "schedule", "class", "length", "angle", "weight"
CHOICE, WORDS, DIRECTION, MOVES, PLACE, TARGET = "choice", "words", "direction", "moves", "place", "target"

DIRECTIONS = ("north", "south", "east", "west", "up", "down", "northeast", "northwest", "southeast", "southwest")
SHORT_DIRECTIONS = {
    "n": "north", "s": "south", "e": "east", "w": "west", "u": "up", "d": "down",
    "ne": "northeast", "nw": "northwest", "se": "southeast", "sw": "southwest",
}  # fmt: skip
FITTING_TO_FITTING = "fitting to fitting"


@dataclass(frozen=True, slots=True)
class Clause:
    """One part of a step: its column in the workbook, the word that leads it in, and what its value is."""

    column: str
    value: str
    lead: str = ""
    choices: tuple[str, ...] = ()
    needed: bool = False

    def shown(self) -> str:
        """The clause as a grammar has it: `[sch SCHEDULE]`."""
        value = "|".join(self.choices) if self.value == CHOICE else _SHOWN[self.value]
        text = f"{self.lead} {value}".strip()
        return text if self.needed else f"[{text}]"

    def said(self) -> str:
        """The clause in words: `"sch" and a schedule`."""
        return f'"{self.lead}" and {self.value_said()}' if self.lead else self.value_said()

    def value_said(self) -> str:
        """Its value in words: `a schedule`, `socket or butt`."""
        return " or ".join(self.choices) if self.value == CHOICE else _SAID[self.value]


@dataclass(frozen=True, slots=True)
class Item:
    """One kind of step: its words, its clauses in their order, and what it does."""

    name: str
    clauses: tuple[Clause, ...]
    does: str

    def example(self, units: str) -> str:
        """The step as somebody writes it: `run north 4' 6"`, in the units of the job."""
        return f"{self.name} {_WRITTEN.get(self.name, '')}".strip().format(**_FIGURES[units])

    def shown(self) -> str:
        """The step as a grammar has it: `run DIRECTION LENGTH ...`."""
        return " ".join((self.name, *(clause.shown() for clause in self.clauses)))


_SHOWN = {
    SIZE: "SIZE",
    SCHEDULE: "SCHEDULE",
    RATING: "CLASS",
    LENGTH: "LENGTH",
    ANGLE: "DEGREES",
    WEIGHT: "WEIGHT",
    WORDS: "NAME",
    DIRECTION: "DIRECTION",
    MOVES: "DIRECTION LENGTH ...",
    PLACE: "E LENGTH N LENGTH EL LENGTH",
    TARGET: "E LENGTH N LENGTH EL LENGTH | NAME",
}

_SAID = {
    SIZE: "a size",
    SCHEDULE: "a schedule",
    RATING: "a class",
    LENGTH: "a length",
    ANGLE: "an angle in degrees",
    WEIGHT: "a weight",
    WORDS: "a name",
    DIRECTION: "a direction",
    MOVES: "a direction and a length",
    PLACE: "coordinates",
    TARGET: "coordinates or the name of a point",
}
# What follows a step's name in its example, and the figures there.
_WRITTEN = {
    "size": "{size} sch 80", "ends": "socket class 3000", "gap": "{gap}", "opening": "{gap}",
    "start": "at E {run} N {run} EL {run}", "continued from": "sheet 2", "run": "north {run}", "offset": "45 up {run}",
    "elbow": "45", "tee": "{outlet}", "olet": "{outlet} height {part}", "half coupling": "{outlet}",
    "stub": "{outlet} sch 80", "branch": "up", "coupling": "weight {weight}", "reducer": "concentric to {outlet}",
    "cap": "length {part}", "flange": "150 weld-neck", "blind": "150", "gasket": "{gap}",
    "valve": "V-1 length {part} socket", "instrument": "FT-1 length {part} bolted",
    "item": "strainer length {part} socket", "field fit weld": "allowance {part}",
    "support": "shoe called PS-1 welded", "point": "A", "arrive": "at A", "continue on": "sheet 2",
}  # fmt: skip
_FIGURES = {
    US: {"run": "4' 6\"", "part": "8 in", "gap": "1/16 in", "weight": "30 lb", "size": "2", "outlet": "1"},
    SI: {"run": "1.4 m", "part": "203 mm", "gap": "1.6 mm", "weight": "12.5 kg", "size": "DN 50", "outlet": "DN 25"},
}

_NPS = Clause("NPS", SIZE, needed=True)
_SCHEDULE = Clause("schedule", SCHEDULE, "sch")
_LENGTH = Clause("length", LENGTH, needed=True)
_WEIGHT = Clause("weight", WEIGHT, "weight")
_NAME = Clause("name", WORDS, needed=True)
_CALLED = Clause("name", WORDS)
_WELDED_ENDS = ("socket", "butt")


def _by_length(name: str, does: str) -> Item:
    clauses = (
        _CALLED,
        Clause("length", LENGTH, "length", needed=True),
        Clause("kind", CHOICE, choices=(*_WELDED_ENDS, "bolted")),
        Clause("class", RATING, "class"),
        _WEIGHT,
    )
    return Item(name, clauses, does)


_ITEMS = (
    Item("size", (_NPS, _SCHEDULE), "The size from here on, NPS or DN: 2, DN 50; the line's where it is not given."),
    Item("ends", (Clause("kind", CHOICE, choices=_WELDED_ENDS, needed=True), Clause("class", RATING, "class")),
         "How fittings and valves are welded from here on. Not given: socket to NPS 1-1/2 (DN 40), butt above; class "
         "3000."),
    Item("gap", (_LENGTH,), "The gap in each socket; the code's figure where it is not given."),
    Item("opening", (_LENGTH,), "The root opening of each butt weld; 3 mm or 1/8 in where it is not given."),
    Item("start", (Clause("place", PLACE, "at"),), "Where the route begins, on the centre line; at zero if not given."),
    Item("continued from", (_NAME,), "The line comes from another sheet or a piece of equipment."),
    Item("run", (Clause("along", MOVES, needed=True),),
         "On by a centre-to-centre length: one direction, or the offsets of a skew run, or `fitting to fitting`."),
    Item("offset", (Clause("angle", ANGLE, needed=True), Clause("along", MOVES, needed=True)),
         "Two elbows of this angle and the travel between them, by the set and, rolling, the roll."),
    Item("elbow", (Clause("angle", ANGLE), Clause("kind", CHOICE, choices=("short",)), _WEIGHT),
         "An elbow with its centre here; without an angle, as the route turns."),
    Item("tee", (Clause("NPS", SIZE), _SCHEDULE, Clause("length", LENGTH, "outlet"), _WEIGHT),
         "A tee with its centre here; the size of a smaller outlet or, where the route comes in by that, of the larger "
         "run, and the outlet's take-out where no table has it."),
    Item("olet", (_NPS, _SCHEDULE, Clause("length", LENGTH, "height", needed=True),
                  Clause("kind", CHOICE, choices=_WELDED_ENDS), _WEIGHT),
         "An outlet fitting set on the pipe here; its height from the pipe to its end, of one with a socket to the "
         "bottom of the socket, is the maker's."),
    Item("half coupling", (_NPS, _WEIGHT), "A half coupling set on the pipe here."),
    Item("stub", (_NPS, _SCHEDULE, Clause("length", LENGTH, "pad")),
         "The branch pipe set on this pipe, with a pad of this width around it where one is given."),
    Item("branch", (Clause("along", DIRECTION, needed=True),),
         "What follows leaves the tee, olet, half coupling or stub before it in this direction."),
    Item("end branch", (), "Back to where the branch began."),
    Item("coupling", (_WEIGHT,), "A coupling with its middle here."),
    Item("reducer", (Clause("kind", CHOICE, choices=("concentric", "eccentric")),
                     Clause("along", DIRECTION, "flat"), Clause("NPS", SIZE, "to", needed=True), _SCHEDULE,
                     Clause("length", LENGTH, "length"), _WEIGHT),
         "A reducer that begins here; the route goes on from its far end in the new size. The length of a butt-welding "
         "one comes from the table; of a socket-welding one, which no table here has, it is written."),
    Item("cap", (Clause("length", LENGTH, "length"), _WEIGHT),
         "A cap whose far face is here. Its length end to end comes from the table of butt-welding ones; of one with a "
         "socket, which no table here has, it is written."),
    Item("flange", (Clause("class", RATING, needed=True),
                    Clause("kind", CHOICE, choices=("weld-neck", "slip-on", "socket")),
                    Clause("length", LENGTH, "length"), _WEIGHT),
         "A flange whose raised face is here; its length through the hub where no table here has it: over Class 300."),
    Item("blind", (Clause("class", RATING), _WEIGHT), "A blind flange bolted on here."),
    Item("gasket", (_LENGTH,), "A gasket of this thickness; the route goes on from its far side."),
    _by_length("valve", "A valve that begins here, end to end; the route goes on from its far end."),
    _by_length("instrument", "An instrument that begins here, likewise."),
    _by_length("item", "Any other thing with a length (a union, a strainer), likewise."),
    Item("field weld", (), "The weld at this place is made in the field: a spool ends here."),
    Item("field fit weld", (Clause("length", LENGTH, "allowance"),),
         "Likewise, with a length left on the pipe before it; 100 mm or 4 in where it is not given."),
    Item("shop weld", (), "Two lengths of pipe are welded together here, in the shop."),
    Item("support", (Clause("kind", WORDS), Clause("name", WORDS, "called"),
                     Clause("weld", CHOICE, choices=("welded",))),
         "A support here; a welded one is a joint."),
    Item("point", (_NAME,), "Give this place a name, to arrive at later."),
    Item("arrive", (Clause("place", TARGET, "at", needed=True),),
         "The route must be at this point now; what it misses is told along each axis."),
    Item("continue on", (_NAME,), "The line goes on on another sheet or at a piece of equipment."),
    Item("open end", (), "The pipe ends open here."),
)  # fmt: skip
ITEMS = {item.name: item for item in _ITEMS}
COLUMNS = ("along", "length", "NPS", "schedule", "class", "angle", "kind", "place", "name", "weld", "weight")


def grammar() -> str:
    """The whole grammar, a step a line, as the documentation shows it."""
    return "\n".join(item.shown() for item in ITEMS.values())
