"""Read the piping of an IFC file (ISO 16739) in a process of its own: it may be made to fill memory or take for ever.

Run as `python -m office.importing.ifc_reader FILE`; answers with the parts as JSON, or with the sentence why not.
"""

import json
import os
import resource
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any, Final

MOST_MEMORY: Final = 350 * 1024 * 1024
MOST_SECONDS: Final = 60
_SCHEMAS: Final = ("IFC2X3", "IFC4", "IFC4X3")
_KINDS: Final = {
    "IfcPipeSegment": "segment",
    "IfcValve": "valve",
    "IfcFlowMeter": "instrument",
    "IfcFlowInstrument": "instrument",
    "IfcSensor": "instrument",
    "IfcFilter": "item",
}
_OTHER_TRADES: Final = ("IfcDuct", "IfcCable", "IfcElectric", "IfcAir", "IfcLamp", "IfcLight", "IfcOutlet", "IfcFire")
_EQUIPMENT: Final = ("IfcFlowMovingDevice", "IfcFlowStorageDevice", "IfcEnergyConversionDevice", "IfcFlowTerminal")
_FITTINGS: Final = ("BEND", "JUNCTION", "TRANSITION", "CONNECTOR", "OBSTRUCTION")
_JOINED: Final = {"WELDED": "welded", "FLANGED": "flanged", "": "", "UNSET": "", "OTHER": "", "NOTKNOWN": ""}


class Unreadable(Exception):
    """A file that can't be read, in a sentence."""


def read(path: str) -> dict[str, Any]:
    """The parts of a model's piping and what else it holds, as plain values. Raises Unreadable"""
    # The package is an extra, and starting it takes longer than most pages do.
    import ifcopenshell  # noqa: PLC0415
    from ifcopenshell.util.unit import calculate_unit_scale  # noqa: PLC0415

    try:
        model: Any = ifcopenshell.open(path)
    except Exception as error:
        raise Unreadable(f"is damaged, holds more than can be read, or is no IFC file: {_first_line(error)}") from error
    if not isinstance(model, ifcopenshell.file) or model.schema not in _SCHEMAS:
        schema = getattr(model, "schema", "unknown")
        raise Unreadable(f"is of the schema {schema}; accepted are {', '.join(_SCHEMAS)}")
    try:
        return _read_parts(model, calculate_unit_scale(model) * 1000)
    except MemoryError:
        raise
    except Exception as error:
        raise Unreadable(f"holds what can't be followed: {_first_line(error)}") from error


def _read_parts(model: Any, mm: float) -> dict[str, Any]:
    elements = sorted(model.by_type("IfcDistributionElement"), key=lambda one: one.id())
    parts = [_part(one, mm) for one in elements if not _is_foreign(one)]
    others = Counter(one.is_a() for one in elements if _is_foreign(one))
    return {"parts": parts, "others": dict(sorted(others.items()))}


def _first_line(error: Exception) -> str:
    lines = str(error).strip().splitlines()
    return lines[0][:200] if lines else type(error).__name__


def _is_foreign(element: Any) -> bool:
    """Whether it is of another trade: a duct, a cable, a control without a place in a line."""
    name = _class(element)
    return name.startswith(_OTHER_TRADES) or not (element.is_a("IfcDistributionFlowElement") or name in _KINDS)


def _class(element: Any) -> str:
    """What an element is: its own class, or its type's where the class alone doesn't say (IFC2X3)."""
    name = element.is_a()
    if name not in ("IfcFlowSegment", "IfcFlowFitting", "IfcFlowController", "IfcFlowTreatmentDevice"):
        return str(name)
    type_of = _type(element)
    return type_of.is_a().removesuffix("Type") if type_of is not None else str(name)


def _type(element: Any) -> Any:
    from ifcopenshell.util.element import get_type  # noqa: PLC0415

    return get_type(element)


def _part(element: Any, mm: float) -> dict[str, Any]:
    from ifcopenshell.util.element import get_psets  # noqa: PLC0415
    from ifcopenshell.util.system import get_element_systems, get_ports  # noqa: PLC0415

    name, type_of, own_class = element.Name or "", _type(element), _class(element)
    psets = get_psets(element)
    predefined = _predefined(element, type_of)
    said = [name, element.ObjectType, element.Description, getattr(element, "Tag", None), predefined]
    if type_of is not None:
        said += [type_of.Name, type_of.Description, type_of.ElementType]
    said += [value for pset in psets.values() for value in pset.values() if isinstance(value, str)]
    rating = _first(psets, "PressureClass")
    if isinstance(rating, (int, float)) and rating in (150, 300, 600, 900, 1500, 2500, 3000, 6000, 9000):
        said.append(f"Class {rating:.0f}")
    systems = [one.Name or one.ObjectType or "" for one in get_element_systems(element)]
    outside, wall = _profile(element, type_of, mm)
    outside = outside or _mm(_first(psets, "OuterDiameter"), mm)
    inside = _mm(_first(psets, "InnerDiameter"), mm)
    if wall is None and outside and inside:
        wall = (outside - inside) / 2
    return {
        "key": element.GlobalId,
        "kind": _kind(element, own_class, predefined),
        "name": name[:100],
        "called": f"{name[:60] or 'nameless'} ({own_class}{' ' + predefined if predefined else ''}, #{element.id()})",
        "line": next((one for one in systems if one), "")[:100],
        "words": " | ".join(str(one) for one in said if one)[:2000],
        "nominal": _mm(_first(psets, "NominalDiameter", "Size"), mm),
        "outside": outside,
        "wall": wall,
        "ports": [_port(one, mm) for one in sorted(get_ports(element), key=lambda one: one.id())],
    }


def _predefined(element: Any, type_of: Any) -> str:
    for one in (element, type_of):
        found = getattr(one, "PredefinedType", None) if one is not None else None
        if found and found not in ("NOTDEFINED", "USERDEFINED"):
            return str(found)
    return ""


def _kind(element: Any, own_class: str, predefined: str) -> str:
    if own_class == "IfcPipeFitting":
        return predefined.lower() if predefined in _FITTINGS else ""
    if own_class in _KINDS:
        return _KINDS[own_class]
    return "equipment" if any(element.is_a(one) for one in _EQUIPMENT) else ""


def _port(port: Any, mm: float) -> dict[str, Any]:
    from ifcopenshell.util.element import get_psets  # noqa: PLC0415
    from ifcopenshell.util.placement import get_local_placement  # noqa: PLC0415
    from ifcopenshell.util.system import get_connected_port  # noqa: PLC0415

    psets = get_psets(port)
    placed = get_local_placement(port.ObjectPlacement) if port.ObjectPlacement is not None else None
    other = get_connected_port(port)
    joined = str(_first(psets, "ConnectionType") or "").upper()
    return {
        "key": port.GlobalId,
        "at": None if placed is None else [float(placed[row][3]) * mm for row in range(3)],
        "axis": None if placed is None else [float(placed[row][2]) for row in range(3)],
        "to": other.GlobalId if other is not None else "",
        "is_in": port.FlowDirection == "SINK",
        "joined": _JOINED.get(joined, joined.lower()),
        "nominal": _mm(_first(psets, "NominalDiameter"), mm),
        "outside": _mm(_first(psets, "OuterDiameter"), mm),
    }


def _first(psets: dict[str, dict[str, Any]], *names: str) -> Any:
    """The first value that property sets have under one of some names; of a list its only value."""
    for name in names:
        for pset in psets.values():
            value = pset.get(name)
            if isinstance(value, (list, tuple)):
                value = value[0] if len(set(value)) == 1 else None
            if value not in (None, ""):
                return value
    return None


def _mm(value: Any, mm: float) -> float | None:
    return float(value) * mm if isinstance(value, (int, float)) and value > 0 else None


def _profile(element: Any, type_of: Any, mm: float) -> tuple[float | None, float | None]:
    """Outside diameter and wall of the hollow circle that a pipe is made of; nothing where it is made otherwise."""
    for profile in _profiles(element, type_of):
        if profile is not None and profile.is_a("IfcCircleHollowProfileDef"):
            return 2 * profile.Radius * mm, profile.WallThickness * mm
    return None, None


def _profiles(element: Any, type_of: Any) -> Iterator[Any]:
    from ifcopenshell.util.element import get_material  # noqa: PLC0415

    for one in (element, type_of):
        material = get_material(one, should_skip_usage=True) if one is not None else None
        if material is not None and material.is_a("IfcMaterialProfileSet"):
            yield from (layer.Profile for layer in material.MaterialProfiles)
    shape = getattr(element, "Representation", None)
    for representation in shape.Representations if shape is not None else ():
        yield from (item.SweptArea for item in _solids(representation.Items) if item.is_a("IfcSweptAreaSolid"))


def _solids(items: Iterable[Any]) -> Iterator[Any]:
    """The items of a representation, those of its maps among them, one level deep."""
    for item in items:
        if item.is_a("IfcMappedItem"):
            yield from item.MappingSource.MappedRepresentation.Items
        else:
            yield item


def _main(path: str) -> None:
    for limit, most in ((resource.RLIMIT_AS, MOST_MEMORY), (resource.RLIMIT_CPU, MOST_SECONDS)):
        resource.setrlimit(limit, (most, most))
    # Whatever the reader prints, the answer alone goes to the caller.
    answer = os.dup(1)
    os.dup2(2, 1)
    try:
        told: dict[str, Any] = read(path)
    except Unreadable as error:
        told = {"fault": str(error)}
    except ImportError:
        told = {"fault": "can't be read here: this site has not the extra `ifc`; ask whoever runs it to install that"}
    with os.fdopen(answer, "w") as out:
        json.dump(told, out)


if __name__ == "__main__":
    _main(sys.argv[1])
