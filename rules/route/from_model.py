"""Find the routes of a piping model: each run of parts that are welded together becomes the text of one route."""

from collections import Counter, deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from rules.route.geometry import shape_of_text
from rules.route.model import (
    FLANGED,
    INSTRUMENT,
    ITEM,
    OBSTRUCTION,
    SEGMENT,
    VALVE,
    Model,
    Part,
    Port,
    Unread,
    is_flange,
)
from rules.route.model_joins import joined
from rules.route.model_places import model_of
from rules.route.model_welds import Weld, Welds, welds_of
from rules.route.model_writer import PartRefused, Writer, beyond
from rules.route.parts import Setting
from rules.route.shape import RouteFault

# Each part that is refused has the run it is in tried anew without it; after so many parts in all the rest is left.
MOST_VISITED = 2_000_000
_MOST_NAMES = 4
# A route is tried from so many of its ends, until it can be read without a fault.
MOST_STARTS = 12


@dataclass(frozen=True, slots=True)
class FoundRoute:
    """A route that a model holds.

    line     the system that most of its parts belong to; empty where they belong to none
    text     in the grammar of routes, with lengths in the job's units
    joints   how many it makes; 0 where it has faults
    faults   what stands against it as it is, by its lines
    sizes    its nominal sizes, as they come
    begins, finishes   the parts at its two ends
    """

    line: str
    text: str
    joints: int
    faults: tuple[RouteFault, ...]
    sizes: tuple[str, ...]
    begins: str
    finishes: str


@dataclass(frozen=True, slots=True)
class Reading:
    """What a model comes to: its routes, the parts that no route has, remarks, and ends taken as connected."""

    routes: tuple[FoundRoute, ...]
    unread: tuple[Unread, ...]
    notices: tuple[str, ...]
    taken: tuple[str, ...] = ()


def routes_of(
    parts: Sequence[Part], units: str, stated: Iterable[Sequence[str]] = (), welds: Iterable[Weld] = ()
) -> Reading:
    """Find the routes of a model's parts.

    parts    with their ports in mm
    units    in which lengths are written: SI in mm, US in feet and inches where they are whole sixteenths
    stated   the keys of parts that the model says are connected, two by two, without naming ports
    welds    that stand in the model as things of their own
    Returns  a route for each run of parts that are joined; a bolted joint between two systems parts them
    """
    found_joins = joined(parts, stated)
    found_welds = welds_of(found_joins.parts, welds)
    model = model_of(list(found_joins.parts.values()), units)
    model.welds = found_welds.places
    model.unread += found_welds.unread
    model.notices |= dict.fromkeys(found_joins.notices)
    _prune(model, model.parts)
    waiting, found = deque(_runs(model, model.parts)), list[FoundRoute]()
    while waiting:
        run = waiting.popleft()
        if model.visited > MOST_VISITED:
            model.refuse(run[0], _left_alone(len(run)))
            continue
        try:
            found.append(_best(model, run, units))
        except PartRefused as refused:
            model.refuse(refused.part, str(refused))
            left = [one.key for one in run]
            _prune(model, left)
            waiting.extendleft(reversed(list(_runs(model, left))))
    _tell_near(model)
    _tell_welds(model, found_welds)
    return Reading(tuple(found), tuple(model.unread), tuple(model.notices), tuple(found_joins.taken))


def _left_alone(count: int) -> str:
    others = f"It and {count - 1:,} parts that hang together with it are" if count > 1 else "It is"
    return f"{others} left out: too much of the model could not be read. Send one area alone."


def _prune(model: Model, keys: Iterable[str]) -> None:
    """Take out what a route can't leave open: a bend, tee, reducer, coupling or flange that meets nothing."""
    found = True
    while found:
        found = False
        for part in [model.parts[key] for key in tuple(keys) if key in model.parts]:
            if part.kind in (SEGMENT, VALVE, INSTRUMENT, ITEM):
                continue
            if any(model.beyond(port) is None for port in part.ports if port.joined != FLANGED):
                model.refuse(part, "An end of it meets nothing that can be read, and a route can't leave it open.")
                found = True


def _runs(model: Model, keys: Iterable[str]) -> Iterator[list[Part]]:
    """The parts among some that hang together, each run in the order of the file."""
    left = {key: model.parts[key] for key in keys if key in model.parts}
    order = {key: place for place, key in enumerate(left)}
    while left:
        first = next(iter(left))
        run, waiting = {first}, deque([first])
        while waiting:
            part = model.parts[waiting.popleft()]
            for port in part.ports:
                met = beyond(model, part, port)
                if met is not None and met[0].key not in run:
                    run.add(met[0].key)
                    waiting.append(met[0].key)
        yield [left.pop(key) for key in sorted(run, key=order.__getitem__)]


def _tell_near(model: Model) -> None:
    """Tell of free ports that stand at one place: the model may have forgotten to connect them."""
    free: dict[tuple[Decimal, ...], list[str]] = {}
    for key, port in model.ports.items():
        owner = model.owners[key]
        if not port.to and owner.key in model.parts:
            place = tuple(one.quantize(Decimal(1), ROUND_HALF_EVEN) for one in port.at.parts())
            free.setdefault(place, []).append(owner.called)
    for names in free.values():
        if len(names) > 1:
            told = names[:_MOST_NAMES] + ([f"{len(names) - _MOST_NAMES} more"] if len(names) > _MOST_NAMES else [])
            model.notices[f"Ends of {' and '.join(told)} are at one place but are not connected in the model."] = None


def _tell_welds(model: Model, welds: Welds) -> None:
    """Tell how many welds the model has a word of, and how many it names without one."""
    if welds.places:
        told = Counter(welds.places.values())
        said = ", ".join(f"{count // 2} {place}{'s' if count > 2 else ''}" for place, count in sorted(told.items()))
        model.notices[f"The model says where these welds are made: {said}. Every other is read as a shop weld."] = None
    if welds.silent:
        said = "1 weld stands" if welds.silent == 1 else f"{welds.silent} welds stand"
        model.notices[f"{said} in the model without a word of shop or field."] = None


# --- one route ---


def _best(model: Model, run: Sequence[Part], units: str) -> FoundRoute:
    """The route of a run from the first of its ends from which it can be read; else from the one with least faults."""
    best: FoundRoute | None = None
    for part, port in _starts(model, run)[:MOST_STARTS]:
        model.visited += len(run)
        found = _written(model, run, part, port, units)
        if best is None or len(found.faults) < len(best.faults):
            best = found
        if not best.faults:
            break
    if best is None:
        raise PartRefused(run[0], "It is part of a ring without an end; a route needs a place to start at.")
    return best


def _starts(model: Model, run: Sequence[Part]) -> list[tuple[Part, Port]]:
    """The open ends of a run, the likeliest start first: where the flow comes in, then at a flange, then the others."""
    found = [
        (part, port)
        for part in run
        for port in part.ports
        if beyond(model, part, port) is None or part.kind == OBSTRUCTION
    ]
    return sorted(found, key=lambda one: (not one[1].is_in, one[0].kind == OBSTRUCTION, not is_flange(one[0])))


def _written(model: Model, run: Sequence[Part], part: Part, port: Port, units: str) -> FoundRoute:
    writer = Writer(model, units)
    writer.write(part, port)
    setting = Setting(writer.first_size, _schedule(model, run), units)
    text = "\n".join(writer.pen.lines) + "\n"
    shape = shape_of_text(text, setting)
    lines = Counter(one.line for one in run if one.line).most_common(1)
    if missed := [one for one in run if one.key not in writer.seen]:
        raise PartRefused(missed[0], "The route does not come to it.")
    return FoundRoute(
        line=lines[0][0] if lines else "",
        text=text,
        joints=len(shape.joints),
        faults=shape.faults,
        sizes=tuple(dict.fromkeys(one.nps for one in run if one.kind == SEGMENT)),
        begins=part.called,
        finishes=writer.last.called if writer.last else part.called,
    )


def _schedule(model: Model, run: Sequence[Part]) -> str:
    """A schedule to try the route with where the model gives none: the line's is not known here."""
    return next((one.schedule for one in run if one.schedule), "40")
