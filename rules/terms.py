"""The terms of requirements: what of a record is held against the bounds, as a sum, a quotient or a field of it."""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from functools import cache
from operator import attrgetter
from typing import Any

Measure = Callable[[Any], Any]


def measure(term: Any) -> Measure:
    """A term made ready to evaluate: a figure, or a list of an operator and its terms; None where the record is silent.

    Operators: field; least and greatest (both skip silence; also of each value of a field, as ["least", ["each",
    "gaps_mm"]]); first (that is not silent); minus, times, over, join.
    """
    if not isinstance(term, (list, tuple)):
        figure = Decimal(str(term))
        return lambda record: figure
    operator, *operands = term
    if operator == "field":
        return _of_field(operands[0])
    if operator in _EXTREMES and operands[0][0] == "each":
        extreme, mapping = _EXTREMES[operator], attrgetter(operands[0][1])
        return lambda record: extreme(values.values()) if (values := mapping(record)) else None
    match term:
        case ["times", ["field", one], ["field", other], int(factor)]:
            return _product_of_fields(one, other, Decimal(factor))
        case ["times", part, int(factor)]:
            return _scaled(measure(part), Decimal(factor))
    if operator == "join":
        between, parts = operands[0], [measure(part) for part in operands[1:]]
        return lambda record: between.join(str(part(record) or "") for part in parts)
    return _OPERATORS[operator]([measure(operand) for operand in operands])


@cache
def _of_field(name: str) -> Measure:
    return attrgetter(name)


_EXTREMES: Mapping[str, Callable[[Any], Any]] = {"least": min, "greatest": max}


def _least(terms: Sequence[Measure]) -> Measure:
    return lambda record: min([v for term in terms if (v := term(record)) is not None], default=None)


def _greatest(terms: Sequence[Measure]) -> Measure:
    return lambda record: max([v for term in terms if (v := term(record)) is not None], default=None)


def _first(terms: Sequence[Measure]) -> Measure:
    """The first of the terms that the record tells; built from the back, as most terms have one stand-in."""
    *others, last = terms
    return _or(others[-1], last) if len(others) == 1 else _or(others[0], _first(terms[1:])) if others else last


def _or(one: Measure, other: Measure) -> Measure:
    def told(record: Any) -> Any:
        value = one(record)
        return other(record) if value is None else value

    return told


def _minus(terms: Sequence[Measure]) -> Measure:
    one, other = terms

    def difference(record: Any) -> Decimal | None:
        a, b = one(record), other(record)
        return None if a is None or b is None else a - b

    return difference


def _times(terms: Sequence[Measure]) -> Measure:
    first, *others = terms

    def product(record: Any) -> Decimal | None:
        result: Decimal | None = first(record)
        for term in others:
            if result is None or (value := term(record)) is None:
                return None
            result *= value
        return result

    return product


def _scaled(part: Measure, factor: Decimal) -> Measure:
    """One term and a figure."""

    def product(record: Any) -> Decimal | None:
        value: Decimal | None = part(record)
        return None if value is None else value * factor

    return product


def _product_of_fields(one: str, other: str, factor: Decimal) -> Measure:
    """Two fields and a figure, as most products are."""
    both = attrgetter(one, other)

    def product(record: Any) -> Decimal | None:
        a, b = both(record)
        return None if a is None or b is None else a * b * factor

    return product


def _over(terms: Sequence[Measure]) -> Measure:
    above, below = terms

    def quotient(record: Any) -> Decimal | None:
        a, b = above(record), below(record)
        return None if a is None or not b else a / b

    return quotient


_OPERATORS: Mapping[str, Callable[[Sequence[Measure]], Measure]] = {
    "least": _least,
    "greatest": _greatest,
    "first": _first,
    "minus": _minus,
    "times": _times,
    "over": _over,
}
