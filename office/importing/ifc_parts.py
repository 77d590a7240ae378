"""The parts of an IFC file as plain values: what each is, its size, its ends, and what it is connected to."""

from collections import Counter
from collections.abc import Iterable
from math import atan2, degrees
from typing import Any, Final

from office.importing.ifc_joins import key_of, partners, stated, weld_words, welds
from office.importing.ifc_measures import Properties, Unclear, project_mm, project_radian
from office.importing.ifc_places import Astray, Places
from office.importing.ifc_reader import MOST_PARTS, first_line
from office.importing.ifc_shapes import circle, ends, reach

# What a file that breaks the rules of its schema makes of reading it.
_ODD: Final = (AttributeError, TypeError, ValueError, LookupError, ArithmeticError, RuntimeError)
_KINDS: Final = {
    "IfcPipeSegment": "segment",
    "IfcValve": "valve",
    "IfcFlowMeter": "instrument",
    "IfcFlowInstrument": "instrument",
    "IfcSensor": "instrument",
    "IfcFilter": "item",
}
_BY_TYPE: Final = (
    "IfcFlowSegment", "IfcFlowFitting", "IfcFlowController", "IfcFlowTreatmentDevice", "IfcDistributionControlElement",
    "IfcDistributionFlowElement",
)  # fmt: skip
_OTHER_TRADES: Final = ("IfcDuct", "IfcCable", "IfcElectric", "IfcAir", "IfcLamp", "IfcLight", "IfcOutlet", "IfcFire")
_EQUIPMENT: Final = ("IfcFlowMovingDevice", "IfcFlowStorageDevice", "IfcEnergyConversionDevice", "IfcFlowTerminal")
_FITTINGS: Final = ("BEND", "JUNCTION", "TRANSITION", "CONNECTOR", "OBSTRUCTION")
_JOINED: Final = {"WELDED": "welded", "FLANGED": "flanged", "": "", "UNSET": "", "OTHER": "", "NOTKNOWN": ""}
_NOMINAL: Final = ("NominalDiameter", "Size")
_RATINGS: Final = (150, 300, 600, 900, 1500, 2500, 3000, 6000, 9000)
_NOTHING: Final[dict[str, Any]] = {
    "kind": "", "line": "", "words": "", "nominal": None, "size": "", "outside": None, "wall": None, "length": None,
    "reach": [], "ports": [], "has_no_ports": False, "why": "",
}  # fmt: skip
_BARE_PORT: Final[dict[str, Any]] = {
    "to": "", "is_in": False, "joined": "", "nominal": None, "size": "", "outside": None, "weld": "",
}  # fmt: skip


class TooMany(Exception):
    """More parts than are read, in a sentence."""


def parts_of(model: Any) -> dict[str, Any]:
    """The parts of a file's piping and what else it holds.

    Raises  Unclear where its unit of length can't be told, TooMany
    """
    return _Reader(model).all()


def _is_foreign(element: Any) -> bool:
    """Whether it is of another trade: a duct, a cable, a control without a place in a line."""
    name = _class(element)
    return name.startswith(_OTHER_TRADES) or not (element.is_a("IfcDistributionFlowElement") or name in _KINDS)


def _class(element: Any) -> str:
    """What an element is: its own class, or its type's where the class alone doesn't say (IFC2X3)."""
    name = element.is_a()
    if name not in _BY_TYPE:
        return str(name)
    type_of = _type(element)
    return type_of.is_a().removesuffix("Type") if type_of is not None else str(name)


def _type(element: Any) -> Any:
    from ifcopenshell.util.element import get_type  # noqa: PLC0415

    return get_type(element)


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


class _Reader:
    """Reads the parts of one file, each by itself: one that can't be followed leaves the others as they are."""

    def __init__(self, model: Any) -> None:
        self.model = model
        elements = sorted(model.by_type("IfcDistributionElement"), key=lambda one: one.id())
        self.elements = [one for one in elements if not _is_foreign(one)]
        if len(self.elements) > MOST_PARTS:
            raise TooMany(f"holds {len(self.elements):,} parts; at most {MOST_PARTS:,} are read. Send one area alone")
        self.others = Counter(one.is_a() for one in elements if _is_foreign(one))
        self.mm = project_mm(model) if self.elements else 1.0
        self.radian = project_radian(model)
        self.places = Places(self.mm)
        self.partners = partners(model)

    def all(self) -> dict[str, Any]:
        """The whole answer; its parts come one by one, so that they needn't stand in memory together."""
        return {
            "parts": map(self._part, self.elements),
            "others": dict(sorted(self.others.items())),
            "stated": stated(self.model),
            "welds": welds(self.model, self.places, self.mm),
            "turned": _turned_north(self.model),
        }

    def _part(self, element: Any) -> dict[str, Any]:
        """One part; why it can't be followed where that is so."""
        number, name = element.id(), str(element.Name or "")
        told: dict[str, Any] = dict(
            _NOTHING, key=key_of(element), name=name[:100], called=f"{name[:60] or 'nameless'} (#{number})"
        )
        try:
            self._tell(element, told)
        except Astray as fault:
            told["why"] = str(fault)
        except Unclear as unclear:
            told["why"] = f"A property of it {unclear}."
        except _ODD as error:
            told["why"] = f"What the file says of it can't be followed: {first_line(error)}."
        return told

    def _tell(self, element: Any, told: dict[str, Any]) -> None:
        from ifcopenshell.util.element import get_material  # noqa: PLC0415
        from ifcopenshell.util.system import get_element_systems, get_ports  # noqa: PLC0415

        type_of, own_class = _type(element), _class(element)
        predefined = _predefined(element, type_of)
        kind = _kind(element, own_class, predefined)
        label = f"{own_class}{' ' + predefined if predefined else ''}, #{element.id()}"
        told.update(kind=kind, called=f"{told['name'][:60] or 'nameless'} ({label})")
        properties = Properties(element, type_of, self.mm)
        told["words"] = _words(element, type_of, predefined, properties)
        systems = [one.Name or one.ObjectType or "" for one in get_element_systems(element)]
        told["line"] = next((one for one in systems if one), "")[:100]
        told["nominal"], told["size"] = properties.length(*_NOMINAL), properties.size(*_NOMINAL)
        told["length"] = properties.length("Length", "OverallLength")
        self._measure(element, type_of, properties, get_material, told)
        # A port may be nested in an element and related to it in the older way at once.
        found = {one.id(): one for one in get_ports(element)}
        told["ports"] = [self._port(one) for _, one in sorted(found.items())]
        if not found and kind:
            told["ports"] = self._shape_ends(element)
            told["has_no_ports"] = True
        if kind == "obstruction":
            told["reach"] = self._reach(element, found.values())

    def _measure(
        self, element: Any, type_of: Any, properties: Properties, materials: Any, told: dict[str, Any]
    ) -> None:
        """Outside diameter and wall: of the circle it is made of, or by its properties."""
        outside, wall = (None if one is None else one * self.mm for one in circle(element, type_of, materials))
        outside = outside or properties.length("OuterDiameter")
        inside = properties.length("InnerDiameter")
        wall = wall or properties.length("WallThickness")
        if wall is None and outside and inside:
            wall = (outside - inside) / 2
        told.update(outside=outside, wall=wall)

    def _port(self, port: Any) -> dict[str, Any]:
        properties = Properties(port, None, self.mm)
        joined = str(properties.first("ConnectionType") or "").upper()
        placed = self.places.matrix(port.ObjectPlacement) if port.ObjectPlacement is not None else None
        others = self.partners.get(key_of(port), [])
        if len(others) > 1:
            raise Astray(f"A port of it is connected to {len(others)} others; accepted is one.")
        return {
            "key": key_of(port),
            "at": None if placed is None else self.places.at(placed),
            "axis": None if placed is None else [float(placed[row][2]) for row in range(3)],
            "to": others[0] if others else "",
            "is_in": port.FlowDirection == "SINK",
            "joined": _JOINED.get(joined, joined.lower()),
            "nominal": properties.length("NominalDiameter"),
            "size": properties.size("NominalDiameter"),
            "outside": properties.length("OuterDiameter"),
            "weld": " | ".join(weld_words(properties))[:500],
        }

    def _shape_ends(self, element: Any) -> list[dict[str, Any]]:
        """The ends of a part without ports, by its shape; none where it stands nowhere or has none."""
        if element.ObjectPlacement is None or element.Representation is None:
            return []
        frame, found = self.places.matrix(element.ObjectPlacement), []
        for place, (at, way) in enumerate(ends(element, self.radian), start=1):
            said = frame[:3, :3] @ at + frame[:3, 3]
            along = None if way is None else [float(one) for one in frame[:3, :3] @ way]
            key = f"{key_of(element)}/{place}"
            found.append(dict(_BARE_PORT, key=key, at=[float(one) * self.mm for one in said], axis=along))
        return found

    def _reach(self, element: Any, ports: Iterable[Any]) -> list[list[float]]:
        """How far out the body of a part goes, in mm; nothing where it has none that is measured."""
        if element.ObjectPlacement is None or element.Representation is None:
            return []
        try:
            frame = self.places.matrix(element.ObjectPlacement)
            turns = [self.places.matrix(one.ObjectPlacement) for one in ports if one.ObjectPlacement is not None]
            ways = [frame[:3, :3].T @ one[:3, 2] for one in turns]
            points = reach(element, ways, self.radian)
        except Astray:
            return []
        return [[float(one) * self.mm for one in frame[:3, :3] @ point + frame[:3, 3]] for point in points]


def _words(element: Any, type_of: Any, predefined: str, properties: Properties) -> str:
    """Everything that the file writes about a part."""
    said = [element.Name, element.ObjectType, element.Description, getattr(element, "Tag", None), predefined]
    if type_of is not None:
        said += [type_of.Name, type_of.Description, type_of.ElementType]
    said += properties.words()
    rating = properties.first("PressureClass")
    if isinstance(rating, str) and rating.strip().isdecimal():
        rating = int(rating[:9])
    if isinstance(rating, (int, float)) and rating in _RATINGS:
        said.append(f"Class {rating:.0f}")
    return " | ".join(str(one) for one in said if one)[:2000]


def _turned_north(model: Any) -> float:
    """By how many degrees true north lies from the model's y, to the right; 0 where nothing is said."""
    for context in model.by_type("IfcGeometricRepresentationContext", include_subtypes=False):
        if context.TrueNorth is not None:
            x, y = context.TrueNorth.DirectionRatios[:2]
            return degrees(atan2(x, y))
    return 0.0
