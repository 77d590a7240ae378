"""The figures of an IFC file: its unit of length, and what property sets and quantities say, in mm."""

import re
from collections.abc import Iterator
from math import isfinite
from typing import Any, Final

_PREFIXES: Final = {
    None: 1.0, "EXA": 1e18, "PETA": 1e15, "TERA": 1e12, "GIGA": 1e9, "MEGA": 1e6, "KILO": 1e3, "HECTO": 1e2,
    "DECA": 1e1, "DECI": 1e-1, "CENTI": 1e-2, "MILLI": 1e-3, "MICRO": 1e-6, "NANO": 1e-9, "PICO": 1e-12, "FEMTO": 1e-15,
    "ATTO": 1e-18,
}  # fmt: skip
_DEEPEST_UNIT: Final = 5
_SIZE: Final = re.compile(r"\s*(DN\s*\d+|NPS\s*[\d /.-]+|[\d /.-]+(?:\"|''|in|inch))\s*", re.IGNORECASE)


class Unclear(Exception):
    """A unit that can't be told, in a sentence."""


def unit_mm(unit: Any) -> float:
    """How many mm a unit of length has. Raises Unclear"""
    factor = 1000.0
    for _ in range(_DEEPEST_UNIT):
        if unit is None or getattr(unit, "UnitType", "") != "LENGTHUNIT":
            break
        if unit.is_a("IfcSIUnit") and unit.Name == "METRE" and unit.Prefix in _PREFIXES:
            return factor * _PREFIXES[unit.Prefix]
        if not unit.is_a("IfcConversionBasedUnit"):
            break
        measure = unit.ConversionFactor
        value = measure.ValueComponent.wrappedValue if measure and measure.ValueComponent else 0
        if not isinstance(value, (int, float)) or not isfinite(value) or value <= 0:
            break
        factor, unit = factor * value, measure.UnitComponent
    raise Unclear("names a unit of length that is neither a metre, with a prefix or not, nor a multiple of one")


def project_mm(model: Any) -> float:
    """How many mm the file's unit of length has. Raises Unclear where it names none, or several that differ"""
    found = set()
    for project in model.by_type("IfcProject"):
        units = project.UnitsInContext
        for unit in units.Units if units is not None else ():
            if getattr(unit, "UnitType", "") == "LENGTHUNIT":
                found.add(unit_mm(unit))
    if not found:
        raise Unclear("doesn't say in which unit its lengths are; accepted is a file whose project names one")
    if len(found) > 1:
        raise Unclear("names several units of length that differ; accepted is one")
    return found.pop()


def project_radian(model: Any) -> float | None:
    """How many radians the file's unit of angles has; None where it names none, or none that is known."""
    for project in model.by_type("IfcProject"):
        units = project.UnitsInContext
        for unit in units.Units if units is not None else ():
            if getattr(unit, "UnitType", "") != "PLANEANGLEUNIT":
                continue
            if unit.is_a("IfcSIUnit") and unit.Name == "RADIAN" and unit.Prefix is None:
                return 1.0
            if unit.is_a("IfcConversionBasedUnit") and unit.ConversionFactor.UnitComponent.is_a("IfcSIUnit"):
                value = unit.ConversionFactor.ValueComponent.wrappedValue
                return float(value) if isfinite(value) and value > 0 else None
    return None


class Properties:
    """What the property sets and quantities of an object and of its type say; its own go before its type's."""

    def __init__(self, element: Any, type_of: Any, mm: float) -> None:
        self.mm = mm
        self.all: list[tuple[str, Any]] = [
            (one.Name or "", one)
            for owned in (_sets(element), _type_sets(type_of))
            for sets in owned
            for one in _members(sets)
        ]

    def length(self, *names: str) -> float | None:
        """The first length over 0 that stands under one of some names, in mm; nothing where there is none."""
        for value, unit in self._under(*names):
            if isinstance(value, (int, float)) and not isinstance(value, bool) and isfinite(value) and value > 0:
                return float(value) * (self.mm if unit is None else unit_mm(unit))
        return None

    def size(self, *names: str) -> str:
        """A size that stands in words: `DN 50`, `NPS 2`, `2"`; empty where none does."""
        words = (value for value, _ in self._under(*names) if isinstance(value, str))
        return next((one.strip() for one in words if _SIZE.fullmatch(one)), "")

    def first(self, *names: str) -> Any:
        """The first value that stands under one of some names."""
        return next((value for value, _ in self._under(*names)), None)

    def words(self) -> list[str]:
        """Every text among the values."""
        return [value for _, one in self.all for value, _ in _values(one) if isinstance(value, str) and value]

    def pairs(self) -> Iterator[tuple[str, Any]]:
        """Each name with its value."""
        for name, one in self.all:
            for value, _ in _values(one):
                yield name, value

    def _under(self, *names: str) -> Iterator[tuple[Any, Any]]:
        for wanted in names:
            for name, one in self.all:
                if name == wanted:
                    yield from (said for said in _values(one) if said[0] not in (None, ""))


def _sets(element: Any) -> Iterator[Any]:
    for rel in getattr(element, "IsDefinedBy", None) or ():
        if rel.is_a("IfcRelDefinesByProperties"):
            found = rel.RelatingPropertyDefinition
            # A set of definitions (IFC4) comes as a tuple within its select.
            yield from found if isinstance(found, (list, tuple)) else (found,)


def _type_sets(type_of: Any) -> Iterator[Any]:
    yield from (getattr(type_of, "HasPropertySets", None) or ()) if type_of is not None else ()


def _members(sets: Any) -> Iterator[Any]:
    if sets is None:
        return
    yield from getattr(sets, "HasProperties", None) or ()
    yield from getattr(sets, "Quantities", None) or ()


def _values(one: Any) -> list[tuple[Any, Any]]:
    """The value of a property with its own unit, if any; of a list its only value."""
    if one.is_a("IfcPropertySingleValue"):
        return [(one.NominalValue.wrappedValue, one.Unit)] if one.NominalValue is not None else []
    if one.is_a("IfcPropertyListValue") or one.is_a("IfcPropertyEnumeratedValue"):
        listed = one.ListValues if one.is_a("IfcPropertyListValue") else one.EnumerationValues
        values = {value.wrappedValue for value in listed or ()}
        return [(values.pop(), getattr(one, "Unit", None))] if len(values) == 1 else []
    if one.is_a("IfcQuantityLength"):
        return [(one.LengthValue, one.Unit)]
    return []
