"""Write IFC models of piping with ifcopenshell's own API: of any route's shape, and part by part by hand."""

from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.api.geometry
import ifcopenshell.api.owner
import ifcopenshell.api.project
import ifcopenshell.api.pset
import ifcopenshell.api.root
import ifcopenshell.api.system
import ifcopenshell.api.unit
import numpy

from rules.pipe import pipe
from rules.route import shape
from rules.route.shape import Component, PipePiece, RouteShape
from rules.route.vector import Vector

FITTINGS = {
    **dict.fromkeys(shape.ELBOWS, "BEND"),
    **dict.fromkeys(shape.REDUCERS, "TRANSITION"),
    shape.TEE: "JUNCTION",
    shape.CAP: "OBSTRUCTION",
    shape.BLIND: "OBSTRUCTION",
}
CLASSES = {shape.VALVE: "IfcValve", shape.INSTRUMENT: "IfcFlowMeter", shape.ITEM: "IfcFilter"}
WORDS = {
    shape.COUPLING: "coupling",
    shape.HALF_COUPLING: "half coupling",
    shape.OLET: "branch olet",
    shape.WELD_NECK: "weld neck flange Class 150",
    shape.SLIP_ON: "slip-on flange Class 150",
    shape.SOCKET_FLANGE: "socket flange Class 150",
}


class IfcModel:
    """A model under way: parts and ports are added, then it is written; lengths are given in mm."""

    def __init__(self, schema: str = "IFC4", unit_mm: float = 1.0, unit: str = "inch") -> None:
        self.file = ifcopenshell.api.project.create_file(version=schema)
        self.schema, self.mm = schema, unit_mm
        if schema == "IFC2X3":
            # There every object names who made it.
            person = ifcopenshell.api.owner.add_person(self.file)
            company = ifcopenshell.api.owner.add_organisation(self.file)
            ifcopenshell.api.owner.add_person_and_organisation(self.file, person=person, organisation=company)
            ifcopenshell.api.owner.add_application(self.file, application_developer=company)
        ifcopenshell.api.root.create_entity(self.file, ifc_class="IfcProject", name="Model")
        degree = ifcopenshell.api.unit.add_conversion_based_unit(self.file, name="degree")
        if unit_mm in (1.0, 1000.0):
            prefix = "MILLI" if unit_mm == 1.0 else None
            length = ifcopenshell.api.unit.add_si_unit(self.file, unit_type="LENGTHUNIT", prefix=prefix)
        else:
            length = ifcopenshell.api.unit.add_conversion_based_unit(self.file, name=unit)
        ifcopenshell.api.unit.assign_unit(self.file, units=[length, degree])
        self.systems: dict[str, Any] = {}

    def part(self, ifc_class: str, name: str = "", *, predefined: str = "", system: str = "", words: str = "") -> Any:
        """A part without ports."""
        said: dict[str, Any] = {"ifc_class": ifc_class, "name": name}
        if predefined:
            said["predefined_type"] = predefined
        part = ifcopenshell.api.root.create_entity(self.file, **said)
        if words:
            part.Description = words
        if system:
            if system not in self.systems:
                of_pipes = "IfcSystem" if self.schema == "IFC2X3" else "IfcDistributionSystem"
                self.systems[system] = ifcopenshell.api.system.add_system(self.file, ifc_class=of_pipes)
                self.systems[system].Name = system
            ifcopenshell.api.system.assign_system(self.file, products=[part], system=self.systems[system])
        return part

    def pset(self, part: Any, name: str, **values: Any) -> None:
        """A property set on a part or a port; lengths as decimals in mm."""
        own = ifcopenshell.api.pset.add_pset(self.file, product=part, name=name)
        said = {
            key: float(value) / self.mm if isinstance(value, (Decimal, float)) else value
            for key, value in values.items()
        }
        ifcopenshell.api.pset.edit_pset(self.file, pset=own, properties=said)

    def port(self, part: Any, at: Vector, joined: str = "", flow: str = "", axis: Vector | None = None) -> Any:
        """A port of a part at a place."""
        port = ifcopenshell.api.system.add_port(self.file, element=part)
        matrix = numpy.eye(4)
        if axis is not None:
            ahead = numpy.array(axis.floats())
            aside = numpy.cross(ahead, [0.3, 0.5, 0.7])
            aside /= numpy.linalg.norm(aside)
            matrix[:3, :3] = numpy.column_stack((aside, numpy.cross(ahead, aside), ahead))
        matrix[:3, 3] = [one / self.mm for one in at.floats()]
        ifcopenshell.api.geometry.edit_object_placement(self.file, product=port, matrix=matrix, is_si=False)
        if flow:
            port.FlowDirection = flow
        if joined:
            said = joined if self.schema == "IFC2X3" else [joined]
            self.pset(port, "Pset_DistributionPortTypePipe", ConnectionType=said)
        return port

    def connect(self, one: Any, other: Any) -> None:
        """Two ports that meet."""
        ifcopenshell.api.system.connect_port(self.file, port1=one, port2=other)

    def pipe(
        self, nps: str, schedule: str, *ends: Vector, name: str = "Pipe", system: str = ""
    ) -> tuple[Any, list[Any]]:
        """A pipe by its nominal, outside and inside diameters, with a port at each place named."""
        one = pipe(nps, schedule)
        part = self.part("IfcPipeSegment", name, predefined="RIGIDSEGMENT", system=system)
        inside = one.od_mm - 2 * one.wall_mm
        said = {"NominalDiameter": Decimal(one.dn), "OuterDiameter": one.od_mm, "InnerDiameter": inside}
        self.pset(part, "Pset_PipeSegmentTypeCommon", **said)
        return part, [self.port(part, at, "WELDED") for at in ends]

    def write(self, path: Path) -> Path:
        """Write the file."""
        self.file.write(str(path))
        return path


def write_shape(model: IfcModel, found: RouteShape, system: str = "") -> None:
    """Add what a route comes to: pipes to the ends they meet, fittings with their ports, every joint a connection."""
    ports: dict[tuple[str, int], Any] = {}
    pipes = {one.mark: one for one in found.pipes}
    parts = {one.mark: one for one in found.components if one.kind not in (shape.GASKET, shape.PAD)}
    gaskets = [one for one in found.components if one.kind == shape.GASKET]
    bodies: dict[str, Any] = {}
    for mark, one in parts.items():
        bodies[mark] = _component(model, one, system)
        for place, end in enumerate(one.ends):
            joined = "FLANGED" if end.joined == shape.BOLTED else "WELDED"
            ports[mark, place] = model.port(bodies[mark], end.at, joined, axis=end.outward)
    meets: dict[tuple[str, int], Any] = {}
    taps: list[tuple[str, Vector, Any]] = []
    for joint in found.joints:
        a, b = joint.piece_a, joint.piece_b
        if joint.kind in ("branch", "olet"):
            if joint.kind == "olet" or b in parts:
                taps.append((a, joint.at, ports[b, 0]))
                continue
            header, branch = (a, b) if _stands_on(pipes[b], joint.at) else (b, a)
            meets[branch, _near_end(pipes[branch], joint.at)] = (header, joint.at)
        elif a in parts and b in parts:
            model.connect(*_nearest(ports, parts[a], parts[b]))
        else:
            for mark, other in ((a, b), (b, a)):
                if mark not in pipes:
                    continue
                end = _near_end(pipes[mark], joint.at)
                if other in parts:
                    place = min(
                        range(len(parts[other].ends)),
                        key=lambda i: _apart(parts[other].ends[i].at, _end(pipes[mark], end)),
                    )
                    meets[mark, end] = (ports[other, place], parts[other].ends[place].at)
                else:
                    meets[mark, end] = ((other, _near_end(pipes[other], joint.at)), joint.at)
    made: dict[tuple[str, int], Any] = {}
    for mark, one in pipes.items():
        places = [meets[mark, end][1] if (mark, end) in meets else _end(one, end) for end in (0, 1)]
        body, own = model.pipe(one.nps, one.schedule, *places, system=system)
        bodies[mark], made[mark, 0], made[mark, 1] = body, *own
    joined: set[frozenset[tuple[str, int]]] = set()
    for key, (to, at) in meets.items():
        if isinstance(to, tuple):
            if frozenset((key, to)) not in joined:
                joined.add(frozenset((key, to)))
                model.connect(made[key], made[to])
        elif isinstance(to, str):
            model.connect(made[key], model.port(bodies[to], at, "WELDED"))
        else:
            model.connect(made[key], to)
    for header, at, port in taps:
        model.connect(model.port(bodies[header], at, "WELDED"), port)
    _bolt(model, parts, gaskets, ports)


def _component(model: IfcModel, one: Component, system: str) -> Any:
    if one.kind in CLASSES:
        return model.part(CLASSES[one.kind], one.tag, system=system)
    kind = FITTINGS.get(one.kind, "CONNECTOR")
    return model.part("IfcPipeFitting", one.kind, predefined=kind, system=system, words=WORDS.get(one.kind, ""))


def _bolt(model: IfcModel, parts: dict[str, Component], gaskets: Sequence[Component], ports: dict[Any, Any]) -> None:
    """Connect bolted ends, those on the two sides of a gasket among them: a model has no gaskets."""
    faces = {key: parts[key[0]].ends[key[1]] for key in ports if parts[key[0]].ends[key[1]].joined == shape.BOLTED}
    sides = [tuple(end.at for end in gasket.ends) for gasket in gaskets]
    left = dict(faces)
    while left:
        key, face = left.popitem()
        ways = [
            face.at,
            *(
                two if _apart(one, face.at) < 1e-6 else one
                for one, two in sides
                if min(_apart(one, face.at), _apart(two, face.at)) < 1e-6
            ),
        ]
        met = next(
            (
                other
                for other, end in left.items()
                if other[0] != key[0] and any(_apart(end.at, at) < 1e-6 for at in ways)
            ),
            None,
        )
        if met is not None:
            model.connect(ports[key], ports[met])
            left.pop(met)


def _apart(one: Vector, two: Vector) -> float:
    return float((one - two).length())


def _end(one: PipePiece, end: int) -> Vector:
    return one.last if end else one.first


def _near_end(one: PipePiece, at: Vector) -> int:
    return int(_apart(one.last, at) < _apart(one.first, at))


def _stands_on(one: PipePiece, at: Vector) -> bool:
    """Whether a place is at the end of a pipe rather than on its side: then the pipe is the branch."""
    along = (at - one.first).dot(one.direction)
    return along < 60 or along > (one.last - one.first).dot(one.direction) - 60


def _nearest(ports: dict[Any, Any], one: Component, two: Component) -> tuple[Any, Any]:
    pairs = [(i, j) for i in range(len(one.ends)) for j in range(len(two.ends))]
    i, j = min(pairs, key=lambda pair: _apart(one.ends[pair[0]].at, two.ends[pair[1]].at))
    return ports[one.mark, i], ports[two.mark, j]
