"""What single things of an IFC file say (ISO 16739): units, shapes, connections, welds; each file written by hand."""

from collections.abc import Callable
from decimal import Decimal as D
from pathlib import Path
from typing import Any

import ifcopenshell.api.geometry
import ifcopenshell.api.material
import ifcopenshell.api.pset
import ifcopenshell.api.root
import ifcopenshell.guid
import pytest

from office.importing.archive import Unreadable
from rules.route.from_model import Reading
from tests.ifc_by_hand import at, axes, lines, placed, reader, sized
from tests.ifc_models import IfcModel


@pytest.fixture
def reading(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[IfcModel], Reading]:
    return reader(tmp_path, monkeypatch)


# --- units ---


def test_a_file_without_a_unit_of_length_is_refused(reading: Callable[[IfcModel], Reading]) -> None:
    model = IfcModel()
    model.pipe("3", "40", at(0), at(1000))
    units = model.file.by_type("IfcUnitAssignment")[0]
    units.Units = [one for one in units.Units if one.UnitType != "LENGTHUNIT"]
    with pytest.raises(Unreadable, match="doesn't say in which unit its lengths are"):
        reading(model)
    model.file.by_type("IfcProject")[0].UnitsInContext = None
    with pytest.raises(Unreadable, match="doesn't say in which unit its lengths are"):
        reading(model)


def test_units_of_length_that_differ_or_that_are_none_are_refused(reading: Callable[[IfcModel], Reading]) -> None:
    model = IfcModel()
    model.pipe("3", "40", at(0), at(1000))
    units = model.file.by_type("IfcUnitAssignment")[0]
    metre = model.file.createIfcSIUnit(None, "LENGTHUNIT", None, "METRE")
    units.Units = [*units.Units, metre]
    with pytest.raises(Unreadable, match="several units of length that differ"):
        reading(model)
    units.Units = [model.file.createIfcContextDependentUnit(None, "LENGTHUNIT", "ell")]
    with pytest.raises(Unreadable, match="neither a metre"):
        reading(model)


def test_a_unit_that_is_a_multiple_of_itself_is_refused(reading: Callable[[IfcModel], Reading]) -> None:
    model = IfcModel("IFC4", 25.4)
    model.pipe("3", "40", at(0), at(1000))
    inch = next(one for one in model.file.by_type("IfcConversionBasedUnit") if one.UnitType == "LENGTHUNIT")
    inch.ConversionFactor.UnitComponent = inch
    with pytest.raises(Unreadable, match="neither a metre"):
        reading(model)


def test_a_property_may_have_a_unit_of_its_own(reading: Callable[[IfcModel], Reading]) -> None:
    """3 inches in a file in mm; a wall of 0.549 cm."""
    model = IfcModel()
    part = model.part("IfcPipeSegment", "Pipe", predefined="RIGIDSEGMENT")
    for one in (at(0), at(1000)):
        model.port(part, one, "WELDED")
    inch = ifcopenshell.api.unit.add_conversion_based_unit(model.file, name="inch")
    centimetre = model.file.createIfcSIUnit(None, "LENGTHUNIT", "CENTI", "METRE")
    said = [("NominalDiameter", 3.0, inch), ("WallThickness", 0.549, centimetre)]
    properties = [
        model.file.createIfcPropertySingleValue(name, None, model.file.createIfcPositiveLengthMeasure(value), unit)
        for name, value, unit in said
    ]
    own = model.file.createIfcPropertySet(ifcopenshell.guid.new(), None, "Pipe", None, properties)
    model.file.createIfcRelDefinesByProperties(ifcopenshell.guid.new(), None, None, None, [part], own)
    assert lines(reading(model))[1:3] == ["size DN 80 sch 40", "run east 1000"]


def test_a_nominal_and_an_outside_diameter_that_are_two_pipes_are_listed(
    reading: Callable[[IfcModel], Reading],
) -> None:
    model = IfcModel()
    part = model.part("IfcPipeSegment", "Pipe")
    for one in (at(0), at(1000)):
        model.port(part, one, "WELDED")
    model.pset(part, "Pipe", NominalDiameter=D(80), OuterDiameter=D("60.3"))
    assert "Its nominal size is DN 80, and its outside diameter 60.3 mm" in reading(model).unread[0].why


def test_true_north_that_is_not_the_model_s_y_is_told(reading: Callable[[IfcModel], Reading]) -> None:
    model = IfcModel()
    model.pipe("3", "40", at(0), at(1000))
    north = model.file.createIfcDirection((0.5, 3**0.5 / 2))
    model.file.createIfcGeometricRepresentationContext(None, "Model", 3, 1e-5, axes(model), north)
    assert "True north lies 30.0° to the right of the model's y, which is read as north." in reading(model).notices


# --- connections and welds ---


def two_pipes() -> tuple[IfcModel, list[Any]]:
    model = IfcModel()
    _, one = model.pipe("3", "40", at(0), at(1000))
    _, two = model.pipe("3", "40", at(1000), at(3000))
    model.connect(one[1], two[0])
    return model, [*one, *two]


def test_a_port_that_is_connected_to_two_others_is_listed(reading: Callable[[IfcModel], Reading]) -> None:
    model, ports = two_pipes()
    model.file.createIfcRelConnectsPorts(ifcopenshell.guid.new(), None, None, None, ports[1], ports[3], None)
    assert [one.why for one in reading(model).unread] == ["A port of it is connected to 2 others; accepted is one."]


def test_a_port_that_is_nested_and_related_at_once_is_one(reading: Callable[[IfcModel], Reading]) -> None:
    model, ports = two_pipes()
    for port in ports:
        part = port.Nests[0].RelatingObject
        model.file.createIfcRelConnectsPortToElement(ifcopenshell.guid.new(), None, None, None, port, part)
    assert lines(reading(model))[2:] == ["run east 1000", "shop weld", "run east 2000", "open end"]


def test_two_parts_of_one_globalid_are_two(reading: Callable[[IfcModel], Reading]) -> None:
    model, ports = two_pipes()
    for group in (model.file.by_type("IfcPipeSegment"), ports):
        for one in group:
            one.GlobalId = group[0].GlobalId
    assert lines(reading(model))[2:] == ["run east 1000", "shop weld", "run east 2000", "open end"]


def test_a_realizing_weld_between_parts_says_field(reading: Callable[[IfcModel], Reading]) -> None:
    model, _ = two_pipes()
    pipes = model.file.by_type("IfcPipeSegment")
    weld = ifcopenshell.api.root.create_entity(
        model.file, ifc_class="IfcFastener", name="FW-12", predefined_type="WELD"
    )
    model.pset(weld, "Made", WeldLocation="Site")
    model.file.createIfcRelConnectsWithRealizingElements(
        ifcopenshell.guid.new(), None, None, None, None, *pipes, [weld], None
    )
    found = reading(model)
    assert lines(found)[2:4] == ["run east 1000", "field weld"]
    assert any("1 field weld" in one for one in found.notices)


def test_bolts_and_a_weld_that_joins_nothing(reading: Callable[[IfcModel], Reading]) -> None:
    model, _ = two_pipes()
    ifcopenshell.api.root.create_entity(model.file, ifc_class="IfcMechanicalFastener", name="Stud bolts")
    astray = ifcopenshell.api.root.create_entity(model.file, ifc_class="IfcBuildingElementProxy", name="Field weld 3")
    assert "neither where it is nor what it joins" in reading(model).unread[0].why
    placed(model, astray, 1000.0, 0.0, 6.0)
    assert "0 joints lie within 5 mm" in reading(model).unread[0].why
    placed(model, astray, 1000.0, 0.0, 4.0)
    assert "field weld" in lines(reading(model))


# --- what a part is ---


@pytest.mark.parametrize("kind", ["IfcSensorType", "IfcFlowInstrumentType"])
def test_an_instrument_of_the_old_schema_is_known_by_its_type(
    kind: str, reading: Callable[[IfcModel], Reading]
) -> None:
    model = IfcModel("IFC2X3")
    segment = model.file.create_entity(
        "IfcPipeSegmentType", ifcopenshell.guid.new(), Name="Pipe", PredefinedType="RIGIDSEGMENT"
    )
    types = [
        segment,
        model.file.create_entity(kind, ifcopenshell.guid.new(), Name="FT", PredefinedType="NOTDEFINED"),
        segment,
    ]
    parts, ports = [], []
    for place, one in enumerate(types):
        name = "IfcDistributionControlElement" if place == 1 else "IfcFlowSegment"
        parts.append(model.part(name, "FT-7"))
        model.file.createIfcRelDefinesByType(
            GlobalId=ifcopenshell.guid.new(), RelatedObjects=[parts[-1]], RelatingType=one
        )
        ports += [model.port(parts[-1], at(1000 * (place + far)), "WELDED") for far in (0, 1)]
        if place != 1:
            sized(model, parts[-1])
    model.connect(ports[1], ports[2])
    model.connect(ports[3], ports[4])
    assert lines(reading(model))[2:] == ["run east 1000", "instrument FT-7 length 1000", "run east 1000", "open end"]


def test_a_pipe_whose_material_is_a_set_of_constituents_and_that_has_no_properties(
    reading: Callable[[IfcModel], Reading],
) -> None:
    model = IfcModel()
    part = model.part("IfcPipeSegment", "Pipe")
    for one in (at(0), at(1000)):
        model.port(part, one, "WELDED")
    sets = ifcopenshell.api.material.add_material_set(model.file, name="pipe", set_type="IfcMaterialConstituentSet")
    steel = ifcopenshell.api.material.add_material(model.file, name="A106 Gr. B")
    ifcopenshell.api.material.add_constituent(model.file, constituent_set=sets, material=steel)
    ifcopenshell.api.material.assign_material(model.file, products=[part], material=sets)
    assert "Its diameter is not said" in reading(model).unread[0].why
    model.pset(part, "Pipe", NominalDiameter=D(80))
    found = reading(model)
    assert lines(found)[1:3] == ["size DN 80", "run east 1000"]
    assert any("there the line's schedule is taken" in one for one in found.notices)


def test_a_valve_of_three_ends_is_listed(reading: Callable[[IfcModel], Reading]) -> None:
    model = IfcModel()
    valve = model.part("IfcValve", "V-3", predefined="MIXING")
    for one in (at(0), at(200), at(100, 100)):
        model.port(valve, one, "WELDED")
    assert "this has 3" in reading(model).unread[0].why


@pytest.mark.parametrize(
    ("said", "known"), [("150", True), (300, True), (" 600 ", True), ("17", False), ("PN 16", False)]
)
def test_the_class_of_a_flange_may_be_a_figure_or_words(
    said: object, known: bool, reading: Callable[[IfcModel], Reading]
) -> None:
    model = IfcModel()
    _, ends = model.pipe("3", "40", at(0), at(1000))
    flange = model.part("IfcPipeFitting", "Flange", predefined="CONNECTOR", words="weld neck")
    model.pset(flange, "Flange", PressureClass=said)
    model.connect(ends[1], model.port(flange, at(1000), "WELDED"))
    model.port(flange, at(1070), "FLANGED")
    found = reading(model)
    assert not found.unread if known else "whose class the model doesn't say" in found.unread[0].why
    assert any(str(said).strip() in one for one in lines(found)) is known
