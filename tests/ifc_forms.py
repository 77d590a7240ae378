"""Write a line of pipe as an IFC model in one of the many forms that a file may have, by ifcopenshell's own API."""

from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import ifcopenshell
import ifcopenshell.api.aggregate
import ifcopenshell.api.context
import ifcopenshell.api.geometry
import ifcopenshell.api.material
import ifcopenshell.api.profile
import ifcopenshell.api.pset
import ifcopenshell.api.root
import ifcopenshell.api.spatial
import ifcopenshell.api.system
import ifcopenshell.api.type
import ifcopenshell.api.unit
import ifcopenshell.guid
import numpy

from tests.ifc_lines import DN, OUTSIDE, WALL, Line, Piece, Point
from tests.ifc_models import IfcModel

SCHEMAS = ("IFC2X3", "IFC4", "IFC4X3")
UNITS = {"millimetre": 1.0, "metre": 1000.0, "inch": 25.4, "foot": 304.8}
OLD = {
    "IfcPipeSegment": "IfcFlowSegment", "IfcPipeFitting": "IfcFlowFitting", "IfcValve": "IfcFlowController",
    "IfcFlowMeter": "IfcFlowController", "IfcPump": "IfcFlowMovingDevice",
}  # fmt: skip
OLD_KINDS = {
    "IfcPipeSegment": "RIGIDSEGMENT",
    "IfcValve": "GATEVALVE",
    "IfcFlowMeter": "FLOWMETER",
    "IfcPump": "ENDSUCTION",
}
JOINS = ("ports", "old ports", "stated", "meeting")
SIZES = ("occurrence", "type", "words", "outside", "material", "type material", "body")
WELDS = ("port", "realizing", "fastener", "proxy")


@dataclass(frozen=True)
class Form:
    """How a file says what it says."""

    schema: str
    unit: str
    joins: str
    sizes: str
    welds: str
    is_placed: bool

    @classmethod
    def of(cls, seed: int) -> "Form":
        """A form from a seed; every fourth is without ports."""
        random = Random(seed * 7919)
        schema = random.choice(SCHEMAS)
        joins = JOINS[seed % 4]
        sizes = random.choice([one for one in SIZES if schema != "IFC2X3" or "material" not in one])
        welds = random.choice(WELDS if joins.endswith("ports") else WELDS[2:])
        return cls(schema, random.choice(list(UNITS)), joins, sizes, welds, random.random() < 0.7)

    @property
    def is_bare(self) -> bool:
        """Whether its parts have no ports."""
        return not self.joins.endswith("ports")


class Writing:
    """One line on its way into a file."""

    def __init__(self, line: Line, form: Form) -> None:
        self.line, self.form, self.mm = line, form, UNITS[form.unit]
        self.model = IfcModel(form.schema, self.mm, form.unit)
        self.file = self.model.file
        self.random = line.random
        context = ifcopenshell.api.context.add_context(self.file, context_type="Model")
        self.contexts = {
            name: ifcopenshell.api.context.add_context(
                self.file, context_type="Model", context_identifier=name, target_view=view, parent=context
            )
            for name, view in (("Axis", "GRAPH_VIEW"), ("Body", "MODEL_VIEW"))
        }
        self.types: dict[tuple[str, ...], Any] = {}
        self.profiles: dict[tuple[str, str], Any] = {}
        self.storey = self._storey() if form.is_placed else None

    def write(self, path: Path) -> Path:
        """The whole file."""
        elements = [self._element(piece) for piece in self.line.pieces]
        if self.form.is_bare:
            for element, piece in zip(elements, self.line.pieces, strict=True):
                self._axis(element, piece)
            if self.form.joins == "stated":
                for (one, _), (other, _), _ in self.line.joints:
                    self._state(elements[one], elements[other])
            ports = {}
        else:
            ports = {
                (number, end): self._port(elements[number], piece, end)
                for number, piece in enumerate(self.line.pieces)
                for end in range(len(piece.ends))
            }
        for one, other, place in self.line.joints:
            rel = self._connect(ports[one], ports[other]) if ports else None
            if place:
                self._weld(rel, ports.get(one), self.line.pieces[one[0]].ends[one[1]], place)
        return self.model.write(path)

    # --- places ---

    def _storey(self) -> Any:
        """A storey in a building on a site, each turned and moved against the one before."""
        above = self.file.by_type("IfcProject")[0]
        for name in ("IfcSite", "IfcBuilding", "IfcBuildingStorey"):
            one = ifcopenshell.api.root.create_entity(self.file, ifc_class=name, name=name)
            ifcopenshell.api.aggregate.assign_object(self.file, products=[one], relating_object=above)
            self._place(one, tuple(self.random.uniform(-1e5, 1e5) for _ in range(3)))
            above = one
        return above

    def _place(self, product: Any, at: Point, way: numpy.ndarray | None = None) -> None:
        matrix = numpy.eye(4)
        matrix[:3, :3] = self._turn() if way is None else way
        matrix[:3, 3] = [one / self.mm for one in at]
        ifcopenshell.api.geometry.edit_object_placement(self.file, product=product, matrix=matrix, is_si=False)

    def _turn(self) -> numpy.ndarray:
        """A frame turned at random."""
        found, _ = numpy.linalg.qr([[self.random.gauss(0, 1) for _ in range(3)] for _ in range(3)])
        return found * numpy.sign(numpy.linalg.det(found))

    # --- parts ---

    def _element(self, piece: Piece) -> Any:
        is_old = self.form.schema == "IFC2X3"
        own = {} if is_old or not piece.predefined else {"predefined": piece.predefined}
        name = OLD[piece.ifc_class] if is_old else piece.ifc_class
        element = self.model.part(name, piece.name, system="L-1", words=piece.words, **own)
        if self.storey is not None:
            ifcopenshell.api.spatial.assign_container(self.file, products=[element], relating_structure=self.storey)
            self._place(element, piece.ends[0])
        if is_old or (piece.nps and self.form.sizes.startswith("type")):
            kind = self._type(piece, is_old=is_old)
            ifcopenshell.api.type.assign_type(self.file, related_objects=[element], relating_type=kind)
        if piece.nps:
            self._size(element, piece)
        return element

    def _type(self, piece: Piece, *, is_old: bool) -> Any:
        key = (piece.ifc_class, piece.predefined, piece.nps, piece.schedule)
        if key not in self.types:
            predefined = piece.predefined or (OLD_KINDS[piece.ifc_class] if is_old else None)
            self.types[key] = ifcopenshell.api.root.create_entity(
                self.file, ifc_class=f"{piece.ifc_class}Type", name="Type", predefined_type=predefined
            )
            if piece.nps and self.form.sizes == "type":
                self.model.pset(self.types[key], "Pset_PipeSegmentTypeCommon", **self._figures(piece))
            elif piece.nps and self.form.sizes == "type material":
                self._material(self.types[key], piece)
        return self.types[key]

    def _figures(self, piece: Piece) -> dict[str, Any]:
        outside, wall = OUTSIDE[piece.nps], WALL[piece.schedule][piece.nps]
        return {"NominalDiameter": float(DN[piece.nps]), "OuterDiameter": outside, "InnerDiameter": outside - 2 * wall}

    def _size(self, element: Any, piece: Piece) -> None:
        name, said = "Pset_PipeSegmentTypeCommon", self._figures(piece)
        if self.form.sizes == "occurrence":
            self.model.pset(element, name, **said)
        elif self.form.sizes == "words":
            words = f"DN {DN[piece.nps]}"
            self.model.pset(element, "Pipe", Size=words, WallThickness=WALL[piece.schedule][piece.nps])
        elif self.form.sizes == "outside":
            said.pop("NominalDiameter")
            self.model.pset(element, name, **said)
        elif self.form.sizes == "material":
            self._material(element, piece)
        elif self.form.sizes == "body":
            self._body(element, piece)

    def _profile(self, piece: Piece) -> Any:
        key = (piece.nps, piece.schedule)
        if key not in self.profiles:
            radius, wall = OUTSIDE[piece.nps] / 2, WALL[piece.schedule][piece.nps]
            self.profiles[key] = self.file.createIfcCircleHollowProfileDef(
                "AREA", "pipe", None, radius / self.mm, wall / self.mm
            )
        return self.profiles[key]

    def _material(self, product: Any, piece: Piece) -> None:
        sets = ifcopenshell.api.material.add_material_set(self.file, name="pipe", set_type="IfcMaterialProfileSet")
        steel = ifcopenshell.api.material.add_material(self.file, name="A106 Gr. B")
        ifcopenshell.api.material.add_profile(self.file, profile_set=sets, material=steel, profile=self._profile(piece))
        ifcopenshell.api.material.assign_material(self.file, products=[product], material=sets)

    def _body(self, element: Any, piece: Piece) -> None:
        """An extruded hollow circle, mapped from a shape that others might share."""
        self._ensure_placed(element, piece)
        long = float(numpy.linalg.norm(numpy.subtract(piece.ends[1], piece.ends[0])))
        solid = self.file.createIfcExtrudedAreaSolid(
            self._profile(piece), None if self.form.schema != "IFC2X3" else self._zero(),
            self.file.createIfcDirection((0.0, 0.0, 1.0)), long / self.mm,
        )  # fmt: skip
        body = self.contexts["Body"]
        inner = self.file.createIfcShapeRepresentation(body, "Body", "SweptSolid", [solid])
        source = self.file.createIfcRepresentationMap(self._zero(), inner)
        item = self.file.createIfcMappedItem(source, self.file.createIfcCartesianTransformationOperator3D(
            None, None, self.file.createIfcCartesianPoint((0.0, 0.0, 0.0)), 1.0, None
        ))  # fmt: skip
        outer = self.file.createIfcShapeRepresentation(body, "Body", "MappedRepresentation", [item])
        ifcopenshell.api.geometry.assign_representation(self.file, product=element, representation=outer)

    def _zero(self) -> Any:
        return self.file.createIfcAxis2Placement3D(self.file.createIfcCartesianPoint((0.0, 0.0, 0.0)), None, None)

    def _ensure_placed(self, element: Any, piece: Piece) -> None:
        if element.ObjectPlacement is None:
            self._place(element, piece.ends[0])

    def _axis(self, element: Any, piece: Piece) -> None:
        """The ends of a part by its axis: a line from end to end; of a tee its outlet's too; of a cap one inwards."""
        self._ensure_placed(element, piece)
        frame = ifcopenshell.util.placement.get_local_placement(element.ObjectPlacement)
        back = numpy.linalg.inv(frame)
        local = [(back @ [*(one / self.mm for one in end), 1.0])[:3] for end in piece.ends]
        lines = [local[:2]]
        if len(local) == 3:
            way = local[1] - local[0]
            foot = local[0] + way * (numpy.dot(local[2] - local[0], way) / numpy.dot(way, way))
            lines.append([foot, local[2]])
        elif len(local) == 1:
            # A cap without ports has no second end that anything could meet.
            self.model.port(element, _vector(piece.ends[0]))
            return
        curves = [
            self.file.createIfcPolyline([self.file.createIfcCartesianPoint([float(x) for x in one]) for one in line])
            for line in lines
        ]
        axis = self.file.createIfcShapeRepresentation(self.contexts["Axis"], "Axis", "Curve3D", curves)
        ifcopenshell.api.geometry.assign_representation(self.file, product=element, representation=axis)

    # --- joints ---

    def _port(self, element: Any, piece: Piece, end: int) -> Any:
        joined = "FLANGED" if end in piece.bolted else "WELDED"
        flow = "SINK" if piece.flow_in == end else ""
        port = self.model.port(element, _vector(piece.ends[end]), joined, flow)
        if self.form.joins == "old ports" and self.form.schema != "IFC2X3":
            for rel in port.Nests:
                if len(rel.RelatedObjects) == 1:
                    self.file.remove(rel)
                else:
                    rel.RelatedObjects = [one for one in rel.RelatedObjects if one != port]
            self.file.createIfcRelConnectsPortToElement(
                GlobalId=ifcopenshell.guid.new(), RelatingPort=port, RelatedElement=element
            )
        return port

    def _connect(self, one: Any, other: Any) -> Any:
        self.model.connect(one, other)
        return (one.ConnectedTo or one.ConnectedFrom)[0]

    def _state(self, one: Any, other: Any) -> None:
        self.file.createIfcRelConnectsElements(
            GlobalId=ifcopenshell.guid.new(), RelatingElement=one, RelatedElement=other
        )

    def _weld(self, rel: Any, port: Any, at: Point, place: str) -> None:
        if self.form.welds == "port":
            self.model.pset(port, "Weld", WeldLocation="FIELD")
            return
        name = "IfcBuildingElementProxy" if self.form.welds == "proxy" else "IfcFastener"
        weld = ifcopenshell.api.root.create_entity(self.file, ifc_class=name, name="Weld 7")
        if self.form.welds == "realizing":
            weld.ObjectType = "Site weld"
            rel.RealizingElement = weld
            return
        self._place(weld, at)
        self.model.pset(weld, "Made", IsFieldWeld=True) if name == "IfcFastener" else setattr(
            weld, "Description", place
        )


def _vector(at: Point) -> Any:
    from decimal import Decimal  # noqa: PLC0415

    from rules.route.vector import Vector  # noqa: PLC0415

    return Vector(*(Decimal(repr(float(one))) for one in at))
