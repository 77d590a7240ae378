"""Seat labels one by one, each at its cheapest place, and let others give way where that makes the whole cheaper.

Places are made only when they are asked for, the cheapest first, and are held only against labels that stand near. A
label may drive out a few others if these find other places, and they in turn others, to a small depth.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator
from typing import Final

from reports.isometric.placement.candidate import Candidate, clash

NO_BOUND: Final = float("inf")
DRIVEN = (0, 2, 4, 4)  # labels that one may drive out at once, by how deep they may give way
HOMELESS = 150.0  # points of leader that a label without a place counts as
GAIN = 0.75  # points that a change must save
ALL, FEW = 200, 8  # places that are looked at: of a label that wants one, and of one that gives way
NEAR = 4.0  # points; a label that loses less stays where it is
FAR = 40.0  # a label that loses more drives others out to greater depth
TRIED = (0, 5, 10, 8)  # places from which others are driven out, by how deep they may give way
PASSES = ((3, FAR), (1, NEAR), (2, NEAR), (3, FAR))  # how deep others give way to a label that loses more than so much


class Places:
    """The places of one label, cheapest first, made as they are asked for and kept."""

    def __init__(self, source: Iterator[Candidate]) -> None:
        """Take a source of places in the order of their costs."""
        self._source: Iterator[Candidate] | None = source
        self._known: list[Candidate] = []

    def up_to(self, most: int) -> Iterator[Candidate]:
        """The places, cheapest first, at most so many."""
        yield from self._known[:most]
        for number in range(len(self._known), most):
            place = self.place(number)
            if place is None:
                return
            yield place

    def place(self, number: int) -> Candidate | None:
        """The place with this number, or none if there are not so many."""
        known = self._known
        while number >= len(known):
            made = next(self._source, None) if self._source is not None else None
            if made is None:
                self._source = None
                return None
            known.append(made)
        return known[number]

    def first(self, most: int) -> list[Candidate]:
        """The cheapest places, at most so many."""
        self.place(most - 1)
        return self._known[:most]


class Seats:
    """Who sits where; `seated` has a place for each label that found one."""

    def __init__(self, places: dict[int, Places] | None = None) -> None:
        """Begin with nobody seated; `places` of labels known before are taken over, in their order."""
        self.places = {} if places is None else places
        self.seated: dict[int, Candidate] = {}
        self._total = 0.0
        self._added = len(self.places)
        self._squares: defaultdict[int, int] = defaultdict(int)  # the labels that sit in a square, as bits
        self._journal: list[tuple[int, Candidate | None]] = []

    def add(self, source: Iterator[Candidate]) -> int:
        """A further label by its places in the order of their costs; its number."""
        number = self._added
        self._added += 1
        self.places[number] = Places(source)
        return number

    def drop(self, label: int) -> None:
        """Forget a label."""
        self._sit(label, None)
        del self.places[label]

    def seat(self, label: int, depth: int) -> bool:
        """Find a place for a label that has none; false if none is free, even if others give way."""
        self._journal.clear()
        if depth and self._seat(label, FAR, 0, frozenset()):
            return True
        return self._seat(label, NO_BOUND, depth, frozenset())

    @property
    def cost(self) -> float:
        """What all places cost together, and much for every label that has none."""
        return self._total + HOMELESS * (len(self.places) - len(self.seated))

    def settled(self) -> "Seats":
        """All settled; where some have no place, again with those first that came off badly, if that is cheaper."""
        self.settle()
        if len(self.seated) == len(self.places):
            return self
        badly = [one for one in self.places if one not in self.seated or self._loss(one) > FAR]
        rest = (one for one in self.places if one not in set(badly))
        again = Seats({one: self.places[one] for one in (*badly, *rest)})
        for label in again.places:
            again.seat(label, 0)
        again.seat_rest()
        again.settle()
        return again if again.cost < self.cost - GAIN else self

    def seat_rest(self) -> None:
        """Seat whoever has no place yet, the others giving way to them ever deeper."""
        for depth in (1, 2, 3):
            for label in self.places:
                if label not in self.seated:
                    self.seat(label, depth)

    def in_the_way(self, some: Collection[int]) -> list[int]:
        """Which of some labels sit at the cheapest places of labels that found none, in rising order."""
        found: set[int] = set()
        for label, places in self.places.items():
            if label not in self.seated:
                for place in places.up_to(FEW):
                    found.update(one for one in self._hits(place, len(self.places)) if one in some)
        return sorted(found)

    def settle(self) -> None:
        """Move labels nearer to their best places while the whole gains."""
        for depth, least in PASSES:
            for loss, label in sorted((-self._loss(label), label) for label in self.seated):
                if -loss > least:
                    self._moved(label, depth)

    def _loss(self, label: int) -> float:
        best = self.places[label].place(0)
        return 0.0 if best is None else self.seated[label].cost - best.cost

    def _least_beside(self, label: int, taken: Candidate, bound: float) -> float:
        """What a label costs at least where another has its place; without a bound if that is more than may be."""
        for place in self.places[label].up_to(ALL):
            if place.cost >= bound:
                break
            if not self._meet(place, taken):
                return place.cost
        return NO_BOUND

    def _moved(self, label: int, depth: int) -> bool:
        self._journal.clear()
        old = self.seated[label]
        self._sit(label, None)
        if self._seat(label, old.cost - GAIN, depth, frozenset()):
            return True
        self._sit(label, old)
        return False

    def _seat(self, label: int, bound: float, depth: int, fixed: frozenset[int], most: int = ALL) -> bool:
        """Seat a label so that the whole costs less than `bound` more; those in `fixed` don't move."""
        free, driving = self._free(label, bound, depth, most)
        best: dict[int, Candidate | None] | None = None
        if free is not None:
            best, bound = {label: free}, free.cost - GAIN
        for place, hits in driving:
            if place.cost >= bound:
                break
            if fixed.isdisjoint(hits):
                found = self._driven(label, place, hits, bound, depth, fixed)
                if found is not None:
                    best, bound = found[1], found[0] - GAIN
        for one, taken in (best or {}).items():
            self._sit(one, taken)
        return best is not None

    def _free(
        self, label: int, bound: float, depth: int, most: int
    ) -> tuple[Candidate | None, list[tuple[Candidate, list[int]]]]:
        """The cheapest free place, and cheaper ones from which a few others would have to be driven out."""
        driving: list[tuple[Candidate, list[int]]] = []
        for place in self.places[label].up_to(most):
            if place.cost >= bound:
                break
            driven = DRIVEN[depth] if len(driving) < TRIED[depth] else 0
            if driven == 0 and self._still_blocked(place):
                continue
            hits = self._hits(place, driven)
            if not hits:
                return place, driving
            if len(hits) <= driven:
                driving.append((place, hits))
        return None, driving

    def _driven(
        self, label: int, place: Candidate, hits: list[int], bound: float, depth: int, fixed: frozenset[int]
    ) -> tuple[float, dict[int, Candidate | None]] | None:
        """What it costs to seat a label where others sit, and who sits where then; nothing is changed by asking."""
        old = {one: self.seated[one].cost for one in hits}
        # Whoever stands worst is seated first.
        order = sorted(hits, key=lambda one: (-old[one], one))
        asked = self._asked(order, place, bound + sum(old.values()) - place.cost)
        if asked is None:
            return None
        rest = sum(asked)
        mark, before = len(self._journal), self._total
        for one in hits:
            self._sit(one, None)
        self._sit(label, place)
        held = fixed.union(hits, (label,))
        most = FEW if depth == 1 else ALL
        found = None
        for one, least in zip(order, asked, strict=True):
            rest -= least
            if not self._seat(one, bound + before - self._total - rest, depth - 1, held, most):
                break
        else:
            found = self._total - before, {one: self.seated.get(one) for one, _ in self._journal[mark:]}
        while len(self._journal) > mark:
            one, was = self._journal[-1]
            self._sit(one, was)
            del self._journal[-2:]
        return found

    def _asked(self, labels: list[int], taken: Candidate, bound: float) -> list[float] | None:
        """What each label costs at least where another has its place; none if that is too much for all together."""
        found: list[float] = []
        for label in labels:
            least = self._least_beside(label, taken, bound)
            bound -= least
            if bound <= 0:
                return None
            found.append(least)
        return found

    def _still_blocked(self, place: Candidate) -> bool:
        """Whether what stood in the way of a place when it was asked last still sits there."""
        return place.blocker is not None and self.seated.get(place.blocker[0]) is place.blocker[1]

    def _hits(self, place: Candidate, most: int) -> list[int]:
        """The labels that sit in the way of a place, in rising order; not all, if they are more than `most`."""
        near, squares = 0, self._squares
        for square in place.squares:
            near |= squares[square]
        found: list[int] = []
        if near:
            seated, met = self.seated, place.met
            # Asked millions of times on a crowded sheet: what was worked out once is looked up here.
            while near:
                one = near.bit_length() - 1
                near ^= 1 << one
                other = seated[one]
                meets = met.get(other)
                if meets is None:
                    meets = met[other] = other.met[place] = clash(place, other)
                if meets:
                    place.blocker = one, other
                    found.append(one)
                    if len(found) > most:
                        break
            found.reverse()
        return found

    def _meet(self, place: Candidate, other: Candidate) -> bool:
        """Whether two places can't both be taken, worked out once."""
        meets = place.met.get(other)
        if meets is None:
            meets = place.met[other] = other.met[place] = clash(place, other)
        return meets

    def _sit(self, label: int, place: Candidate | None) -> None:
        """Seat a label at a place, or nowhere, and note where it was."""
        old = self.seated.pop(label, None)
        self._journal.append((label, old))
        squares, bit = self._squares, 1 << label
        if old is not None:
            self._total -= old.cost
            for square in old.squares:
                squares[square] ^= bit
        if place is not None:
            self._total += place.cost
            self.seated[label] = place
            for square in place.squares:
                squares[square] ^= bit
