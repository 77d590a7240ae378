"""What an IFC file says of how its parts are joined: ports, elements as a whole, and the welds between them."""

import re
from collections.abc import Iterator
from typing import Any, Final

from office.importing.ifc_measures import Properties
from office.importing.ifc_places import Astray, Places

_WELD_CLASSES: Final = ("IfcFastener", "IfcMechanicalFastener", "IfcDiscreteAccessory", "IfcBuildingElementProxy")
_WELD: Final = re.compile(r"\bweld\b(?![ -]?neck)", re.IGNORECASE)
_PLACES: Final = {"field": "field", "site": "field", "shop": "shop", "workshop": "shop", "field-fit": "field-fit"}
_SAYS_WHERE: Final = re.compile(r"weld|location|fabricat", re.IGNORECASE)
_FIELD_NAME: Final = re.compile(r"(is)?[ _-]?(field|site)[ _-]?weld(ed)?", re.IGNORECASE)


def key_of(one: Any) -> str:
    """The key of a thing by its number in the file: two things of a careless file may have one GlobalId."""
    return f"#{one.id()}"


def partners(model: Any) -> dict[str, list[str]]:
    """Of each port, by its key, the keys of the ports it is connected to."""
    found: dict[str, list[str]] = {}
    for rel in model.by_type("IfcRelConnectsPorts"):
        one, two = rel.RelatingPort, rel.RelatedPort
        if one is not None and two is not None and one != two:
            for key, other in ((key_of(one), key_of(two)), (key_of(two), key_of(one))):
                if other not in found.setdefault(key, []):
                    found[key].append(other)
    return found


def stated(model: Any) -> list[list[str]]:
    """The keys of parts that are said to be connected as a whole, two by two."""
    return [
        [key_of(rel.RelatingElement), key_of(rel.RelatedElement)]
        for rel in model.by_type("IfcRelConnectsElements")
        if _is_piping(rel.RelatingElement) and _is_piping(rel.RelatedElement)
    ]


def _is_piping(element: Any) -> bool:
    return element is not None and bool(element.is_a("IfcDistributionElement"))


def welds(model: Any, places: Places, mm: float) -> list[dict[str, Any]]:
    """The welds that stand in a file as things of their own: what they say, where they are, what they join."""
    between: dict[int, list[str]] = {}
    elements: dict[int, Any] = {}
    for name in _WELD_CLASSES:
        for one in model.by_type(name):
            elements[one.id()] = one
    for rel in model.by_type("IfcRelConnectsPorts"):
        if rel.RealizingElement is not None and rel.RelatingPort is not None and rel.RelatedPort is not None:
            elements[rel.RealizingElement.id()] = rel.RealizingElement
            between[rel.RealizingElement.id()] = [key_of(rel.RelatingPort), key_of(rel.RelatedPort)]
    for rel in model.by_type("IfcRelConnectsWithRealizingElements"):
        if _is_piping(rel.RelatingElement) and _is_piping(rel.RelatedElement):
            for one in rel.RealizingElements:
                elements[one.id()] = one
                between[one.id()] = [key_of(rel.RelatingElement), key_of(rel.RelatedElement)]
    found = []
    for number, one in sorted(elements.items()):
        words = " | ".join(_said(one, mm))
        if one.is_a("IfcDistributionElement") or not _WELD.search(words):
            continue
        found.append(
            {
                "called": f"{(one.Name or 'nameless')[:60]} ({one.is_a()}, #{number})",
                "words": words[:2000],
                "at": _at(one, places),
                "between": between.get(number, []),
            }
        )
    return found


def _said(element: Any, mm: float) -> Iterator[str]:
    from ifcopenshell.util.element import get_type  # noqa: PLC0415

    type_of = get_type(element)
    for one in (element, type_of):
        for name in ("Name", "ObjectType", "ElementType", "Description", "Tag", "PredefinedType"):
            value = getattr(one, name, None) if one is not None else None
            if value and value not in ("NOTDEFINED", "USERDEFINED"):
                yield str(value)
    yield from weld_words(Properties(element, type_of, mm))


def weld_words(properties: Properties) -> Iterator[str]:
    """What the properties of a weld, or of a port, say of where the weld is made: `field weld`, `shop weld`."""
    for name, value in properties.pairs():
        if isinstance(value, bool) and _FIELD_NAME.fullmatch(name):
            yield "field weld" if value else "shop weld"
        elif isinstance(value, str) and _SAYS_WHERE.search(name):
            said = value.strip().casefold()
            yield f"{_PLACES[said]} weld" if said in _PLACES else value


def _at(element: Any, places: Places) -> list[float] | None:
    try:
        return places.at(places.matrix(element.ObjectPlacement)) if element.ObjectPlacement is not None else None
    except Astray:
        return None
