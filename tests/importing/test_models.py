"""Building models: the office against the tables that others read out of it, and small models written by the library."""

from __future__ import annotations

import csv
import importlib.util
import math
from pathlib import Path

import pytest
import shapely

from riserkit.model.problems import InputError
from riserkit.plugin.read import read_site
from riserkit.results.bcf_file import model_link
from riserkit.results.import_site import import_documents
from tests.importing.tables import report, rows, texts

pytestmark = pytest.mark.skipif(
    importlib.util.find_spec("ifcopenshell") is None, reason="the extra ifc is not installed"
)


@pytest.fixture(scope="module")
def real(request: pytest.FixtureRequest) -> Path:
    return Path(request.getfixturevalue("shared_dir")) / "real"


@pytest.fixture(scope="module")
def imported(real: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    site = tmp_path_factory.mktemp("office") / "site"
    import_documents([real / "documents" / "office.ifc"], site)
    return site


def _true(real: Path, table: str) -> list[dict[str, str]]:
    with (real / "office" / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_all_doors_with_place_width_and_level(real: Path, imported: Path) -> None:
    doors, true = rows(imported, "openings"), _true(real, "doors")
    names = {row["id"]: row["name"] or row["id"] for row in rows(imported, "levels").values()}
    assert len(doors) == len(true) == 102
    for row in true:
        door = doors[row["mark"]]
        assert math.dist((float(door["x_m"]), float(door["y_m"])), (float(row["x_m"]), float(row["y_m"]))) <= 0.01
        assert float(door["width_m"]) == pytest.approx(float(row["width_m"]), abs=0.001)
        assert names[door["level"]] == row["level"]
        assert (float(door["angle_deg"]) - float(row["angle_deg"])) % 180 == pytest.approx(0, abs=0.01)
        assert (door["outdoor"] == "yes") == (row["external"] == "yes")


def test_findings_name_doors_by_their_ids_in_the_model(real: Path, imported: Path) -> None:
    ifcopenshell, elements = pytest.importorskip("ifcopenshell"), pytest.importorskip("ifcopenshell.util.element")
    link = model_link(imported, read_site(imported))
    model = ifcopenshell.open(real / "documents" / "office.ifc")
    assert len(link.door) == 102 and link.documents == ("office.ifc",)
    assert set(link.door.values()) == {door.GlobalId for door in model.by_type("IfcDoor")}
    for mark, name in link.door.items():
        said = {str(v) for values in elements.get_psets(model.by_guid(name)).values() for v in values.values()}
        assert mark in said


def test_rooms_at_both_sides_of_the_doors_that_know_them(real: Path, imported: Path) -> None:
    doors = rows(imported, "openings")
    both = [row for row in _true(real, "doors") if row["room_a"] and row["room_b"]]
    assert len(both) >= 87  # that many know both by boundaries; the others were told by geometry
    for row in both:
        door = doors[row["mark"]]
        found = {door["secured_side"].split(" ")[0], door["unsecured_side"].split(" ")[0]}
        assert found == {row["room_a"], row["room_b"]}, row["mark"]


def test_rooms_and_walls_by_area(real: Path, imported: Path) -> None:
    found, true = rows(imported, "rooms"), {row["room"]: row for row in _true(real, "rooms")}
    assert set(found) == set(true)
    assert len(found) == 99
    for name, row in found.items():
        assert shapely.from_wkt(row["outline_wkt"]).area == pytest.approx(
            float(true[name]["area_m2"]), rel=0.002, abs=0.01
        )
        assert row["name"] == true[name]["name"]
    areas = [sum(shapely.from_wkt(row["outline_wkt"]).area for row in table)
             for table in (rows(imported, "walls", "-").values(), _true(real, "walls"))]  # fmt: skip
    assert areas[0] == pytest.approx(areas[1], rel=0.002)


def test_the_site_reads_and_telecommunications_rooms_are_proposed_not_added(imported: Path) -> None:
    site = read_site(imported)
    assert len(site.openings) == 102
    assert not site.closets
    proposed = {line["row"] for line in report(imported, "proposal")}
    # Doors are called after these rooms too, and a run to a name of two things goes nowhere.
    assert {"TR-115", "TR-217"} <= proposed
    assert not proposed & set(site.opening)
    assert "made of" not in texts(imported, "conflict")


def test_names_that_repeat_become_room_and_letter(tmp_path: Path, site: Path) -> None:
    import_documents([_model(tmp_path / "a.ifc", ["Door-016"] * 3)], site)
    assert set(rows(site, "openings")) == {"101A", "101B", "101C"}
    assert all("in the document: Door-016" in door["remarks"] for door in rows(site, "openings").values())
    assert "3 doors are named Door-016" in texts(site, "inferred")


@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4", "IFC4X3"])
@pytest.mark.parametrize("unit", ["METRE", "MILLI", "FOOT"])
def test_units_schemas_and_hands(schema: str, unit: str, tmp_path: Path, site: Path) -> None:
    """In the standard a leaf swings to +y of its placement and SINGLE_SWING_LEFT hangs at the left of who looks that way."""
    import_documents([_model(tmp_path / "a.ifc", ["D1"], schema, unit)], site)
    door = rows(site, "openings")["D1"]
    assert (door["x_m"], door["y_m"], door["width_m"], door["height_m"]) == ("2.45", "4", "0.9", "2.1")
    # The room lies to +y and is secured (outside is the other side): the leaf swings into it, hinges at the left.
    assert float(door["secured_side_deg"]) == pytest.approx(270)
    assert (door["hinges"], door["swings_to"]) == ("right", "unsecured")


def test_thousandths_of_a_foot_and_placements_within_placements(tmp_path: Path, site: Path) -> None:
    """Site turned by 90 degrees at (100, 50), building 3 m along in it, storey, wall, door: each stands in the one before."""
    import_documents([_model(tmp_path / "a.ifc", ["D1"], unit="MILLIFOOT", nested=True)], site)
    door = rows(site, "openings")["D1"]
    # (2.45, 4) of the storey is (5.45, 4) of the site, and turned by 90 degrees (-4, 5.45)
    assert (door["x_m"], door["y_m"], door["width_m"], door["height_m"]) == ("96", "55.45", "0.9", "2.1")
    assert float(door["angle_deg"]) == pytest.approx(90)
    assert float(door["secured_side_deg"]) == pytest.approx(0)
    assert (door["hinges"], door["swings_to"]) == ("right", "unsecured")
    (room,) = rows(site, "rooms").values()
    assert shapely.from_wkt(room["outline_wkt"]).bounds == pytest.approx((96, 53, 100, 58), abs=1e-3)


def test_without_the_library_one_clear_line(tmp_path: Path, site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = _model(tmp_path / "a.ifc", ["D1"])
    monkeypatch.setattr("riserkit_ifc.find_spec", lambda _name: None)
    with pytest.raises(InputError, match=r"install riserkit\[ifc\]") as caught:
        import_documents([path], site)
    assert len(caught.value.problems) == 1


@pytest.mark.parametrize("spoil", ["cut", "schema", "other"])
def test_models_that_cannot_be_read(spoil: str, tmp_path: Path, site: Path) -> None:
    path = _model(tmp_path / "a.ifc", ["D1"])
    text = path.read_text()
    path.write_text(
        {"cut": text[: len(text) // 2], "schema": text.replace("IFC4", "IFC2X_FINAL"), "other": "a poem"}[spoil]
    )
    with pytest.raises(
        InputError, match={"cut": "cut short", "schema": "expected schema", "other": "something else"}[spoil]
    ):
        import_documents([path], site)


@pytest.mark.parametrize(("left_m", "x_m", "is_asked"), [(2.0, "2.45", False), (1.1, "1.55", True)])
def test_a_door_beside_the_opening_that_it_fills_stands_in_it(
    left_m: float, x_m: str, is_asked: bool, tmp_path: Path, site: Path
) -> None:
    """Where a program mirrors a door's shape and not its placement, the door stood a width away from its opening, and nobody said so."""
    import ifcopenshell  # noqa: PLC0415 - an extra
    import ifcopenshell.guid  # noqa: PLC0415

    path = _model(tmp_path / "m.ifc", ["D7"])
    file = ifcopenshell.open(path)
    one, door, space = file.create_entity, file.by_type("IfcDoor")[0], file.by_type("IfcSpace")[0]
    flat = one(
        "IfcAxis2Placement2D", one("IfcCartesianPoint", (left_m + 0.45, 4.55))
    )  # the wall is 1 m thick, and the door on its face
    solid = file.by_type("IfcExtrudedAreaSolid")[0]
    void = one("IfcExtrudedAreaSolid", one("IfcRectangleProfileDef", "AREA", None, flat, 0.9, 1.0), solid.Position,
               solid.ExtrudedDirection, 2.1)  # fmt: skip
    body = one(
        "IfcShapeRepresentation", file.by_type("IfcGeometricRepresentationContext")[0], "Body", "SweptSolid", [void]
    )
    opening = one("IfcOpeningElement", ifcopenshell.guid.new(), door.OwnerHistory, "O", ObjectPlacement=space.ObjectPlacement,
                  Representation=one("IfcProductDefinitionShape", None, None, [body]))  # fmt: skip
    one("IfcRelFillsElement", ifcopenshell.guid.new(), door.OwnerHistory, None, None, opening, door)
    file.write(str(path))
    import_documents([path], site)
    found = rows(site, "openings")["D7"]
    assert (found["x_m"], found["width_m"]) == (x_m, "0.9")
    asked = "door D7: placed beside the opening that it fills, as mirrored doors are" in texts(site, "question")
    assert asked == is_asked
    assert (found.get("hinges", "") == "") == is_asked


def test_a_door_that_states_no_width_is_as_wide_as_its_shape(tmp_path: Path, site: Path) -> None:
    """As doors of a curtain wall, which fill no opening; one without a shape is asked, for its place is the end of its width."""
    import ifcopenshell  # noqa: PLC0415 - an extra

    path = _model(tmp_path / "m.ifc", ["D7", "D8"])
    file = ifcopenshell.open(path)
    one, (door, bare) = file.create_entity, file.by_type("IfcDoor")
    flat = one("IfcAxis2Placement2D", one("IfcCartesianPoint", (0.8, 0.0)))
    solid = file.by_type("IfcExtrudedAreaSolid")[0]
    # thicker than it is wide, as a door in a deep frame
    panel = one("IfcExtrudedAreaSolid", one("IfcRectangleProfileDef", "AREA", None, flat, 1.2, 1.5), solid.Position,
                solid.ExtrudedDirection, 2.1)  # fmt: skip
    body = one(
        "IfcShapeRepresentation", file.by_type("IfcGeometricRepresentationContext")[0], "Body", "SweptSolid", [panel]
    )
    door.Representation = one("IfcProductDefinitionShape", None, None, [body])
    door.OverallWidth = bare.OverallWidth = None
    left_m = [float(one.ObjectPlacement.RelativePlacement.Location.Coordinates[0]) for one in (door, bare)]
    file.write(str(path))
    import_documents([path], site)
    found = rows(site, "openings")
    assert (found["D7"]["width_m"], float(found["D7"]["x_m"])) == ("1.2", pytest.approx(left_m[0] + 0.8))
    assert found["D8"]["width_m"] == ""
    assert "door D8: it states no width and fills no opening, and no shape tells" in texts(site, "question")
    assert "door D7" not in texts(site, "question")


def test_properties_of_what_is_at_a_door_are_in_its_remarks(tmp_path: Path, site: Path) -> None:
    import ifcopenshell  # noqa: PLC0415 - an extra
    import ifcopenshell.guid  # noqa: PLC0415

    path = _model(tmp_path / "m.ifc", ["D7"])
    file = ifcopenshell.open(path)
    one, door = file.create_entity, file.by_type("IfcDoor")[0]
    stated = [
        one("IfcPropertySingleValue", name, None, value, None)
        for name, value in (
            ("SelfClosing", one("IfcBoolean", True)), ("FireRating", one("IfcLabel", "30 min")), ("Finish", one("IfcLabel", "oak")),
            ("Hardware Group", one("IfcLabel", "HW-3")), ("Lock Type", one("IfcLabel", "")),
        )
    ]  # fmt: skip
    group = one("IfcPropertySet", ifcopenshell.guid.new(), door.OwnerHistory, "Pset_DoorCommon", None, stated)
    one("IfcRelDefinesByProperties", ifcopenshell.guid.new(), door.OwnerHistory, None, None, [door], group)
    file.write(str(path))
    import_documents([path], site)
    found = rows(site, "openings")["D7"]
    assert found["fire_rating_min"] == "30"
    assert "hardwaregroup: HW-3; selfclosing: yes" in found["remarks"]
    assert "oak" not in found["remarks"] and "locktype" not in found["remarks"]


def _model(path: Path, names: list[str], schema: str = "IFC4", unit: str = "METRE", nested: bool = False) -> Path:
    """A room of 5 m by 4 m with doors in its upper wall, from 2 m on, a metre apart."""
    import ifcopenshell  # noqa: PLC0415 - an extra
    import ifcopenshell.guid  # noqa: PLC0415

    file = ifcopenshell.file(schema=schema)
    factor = {"METRE": 1.0, "MILLI": 1000.0, "FOOT": 1 / 0.3048, "MILLIFOOT": 1000 / 0.3048}[unit]
    one = file.create_entity

    def guid() -> str:
        return str(ifcopenshell.guid.new())

    def point(*at: float) -> object:
        return one("IfcCartesianPoint", tuple(float(v) * factor for v in at))

    def within(outer: object, turn: tuple[float, float, float] | None, *at: float) -> object:
        up = one("IfcDirection", (0.0, 0.0, 1.0)) if turn else None
        axes = one("IfcAxis2Placement3D", point(*at), up, one("IfcDirection", turn) if turn else None)
        return one("IfcLocalPlacement", outer, axes)

    def placed(*at: float) -> object:
        return within(inner, None, *at)

    metre = one("IfcSIUnit", None, "LENGTHUNIT", "MILLI" if unit == "MILLI" else None, "METRE")
    if "FOOT" in unit:
        size = one("IfcDimensionalExponents", 1, 0, 0, 0, 0, 0, 0)
        measure = one("IfcMeasureWithUnit", one("IfcLengthMeasure", 0.3048 if unit == "FOOT" else 0.0003048), metre)
        metre = one("IfcConversionBasedUnit", size, "LENGTHUNIT", unit, measure)
    inner = within(within(None, (0.0, 1.0, 0.0), 100, 50, 0), (1.0, 0.0, 0.0), 3, 0, 0) if nested else None
    context = one(
        "IfcGeometricRepresentationContext", None, "Model", 3, 1e-5, one("IfcAxis2Placement3D", point(0, 0, 0))
    )
    person = one("IfcPersonAndOrganization", one("IfcPerson"), one("IfcOrganization", None, "N"))
    tool = one("IfcApplication", person.TheOrganization, "1", "N", "N")
    owner = one("IfcOwnerHistory", person, tool, None, "ADDED" if schema == "IFC2X3" else None, None, None, None, 0)
    one(
        "IfcProject",
        guid(),
        owner,
        "P",
        RepresentationContexts=[context],
        UnitsInContext=one("IfcUnitAssignment", [metre]),
    )
    storey = one("IfcBuildingStorey", guid(), owner, "Level 1", Elevation=0.0, ObjectPlacement=placed(0, 0, 0))
    outline = one(
        "IfcPolyline",
        [one("IfcCartesianPoint", (x * factor, y * factor)) for x, y in ((0, 0), (5, 0), (5, 4), (0, 4), (0, 0))],
    )
    profile = one("IfcArbitraryClosedProfileDef", "AREA", None, outline)
    solid = one(
        "IfcExtrudedAreaSolid",
        profile,
        one("IfcAxis2Placement3D", point(0, 0, 0)),
        one("IfcDirection", (0.0, 0.0, 1.0)),
        3.0 * factor,
    )
    shape = one(
        "IfcProductDefinitionShape", None, None, [one("IfcShapeRepresentation", context, "Body", "SweptSolid", [solid])]
    )
    space = one(
        "IfcSpace", guid(), owner, "101", LongName="STORE", ObjectPlacement=placed(0, 0, 0), Representation=shape
    )
    one("IfcRelAggregates", guid(), owner, None, None, storey, [space])
    doors = []
    for n, name in enumerate(names):
        door = one(
            "IfcDoor",
            guid(),
            owner,
            name,
            ObjectPlacement=placed(2.0 + n, 4.0, 0),
            OverallHeight=2.1 * factor,
            OverallWidth=0.9 * factor,
        )
        kind = one("IfcDoorStyle" if schema == "IFC2X3" else "IfcDoorType", guid(), owner, "T", OperationType="SINGLE_SWING_LEFT",
                   **({"ConstructionType": "NOTDEFINED", "ParameterTakesPrecedence": False, "Sizeable": False} if schema == "IFC2X3"
                      else {"PredefinedType": "DOOR"}))  # fmt: skip
        one("IfcRelDefinesByType", guid(), owner, None, None, [door], kind)
        doors.append(door)
    one("IfcRelContainedInSpatialStructure", guid(), owner, None, None, doors, storey)
    file.write(str(path))
    return path
