"""Plans on paper, drawn to scale; titles that name no room, and names of rooms in words that nobody here knows."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ezdxf
import pytest

from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts
from tests.importing.test_how_doors_are_tagged import LEFTS, imported, leaf, tag


def on_paper(tmp_path: Path, unit: float, header: int, said: str) -> Path:
    """A wall with one door on a sheet of paper, `unit` drawn for a metre."""
    doc = ezdxf.new("R2004")
    doc.header["$INSUNITS"] = header
    sheet = doc.layout("Layout1")
    for one, other in ((0, 2), (2.9, 6)):
        points = [(x * unit, y * unit) for x, y in ((one, 0), (other, 0), (other, 0.2), (one, 0.2))]
        sheet.add_lwpolyline(points, close=True, dxfattribs={"layer": "A-WALL"})
    sheet.add_arc((2 * unit, 0), 0.9 * unit, 0, 90, dxfattribs={"layer": "A-DOOR"})
    sheet.add_line((2 * unit, 0), (2 * unit, 0.9 * unit), dxfattribs={"layer": "A-DOOR"})
    sheet.add_text(said, height=unit / 5).set_placement((0, -unit))
    path = tmp_path / "plan_level-1.dxf"
    doc.saveas(path)
    import_documents([path], tmp_path / "site")
    return tmp_path / "site"


@pytest.mark.parametrize(("unit", "header", "said", "kind"), [
    (10, 4, "SCALE 1:100", "inferred"), (10, 4, "", "question"), (20, 0, "1:50", "inferred"),
    (12 / 48 / 0.3048, 1, "SCALE: 1/4\" = 1'-0\"", "inferred"), (12 / 64 / 0.3048, 0, "3/16\"=1'-0\"", "inferred"),
])  # fmt: skip
def test_a_sheet_to_scale(tmp_path: Path, unit: float, header: int, said: str, kind: str) -> None:
    """The scale is the one that is written, else asked."""
    site = on_paper(tmp_path, unit, header, said)
    doors = rows(site, "openings")
    assert [(door["x_m"], door["width_m"]) for door in doors.values()] == [("2.45", "0.9")]
    assert "a door's width at 1:" in texts(site, kind)


@pytest.mark.parametrize("said", ["1:100", "GATE"])
def test_a_model_with_a_gate_alone_is_not_to_scale(tmp_path: Path, said: str) -> None:
    """A scale that is written beside a drawing of true size is that of its print."""

    def draw(doc: Any, model: Any) -> None:
        doc.header["$INSUNITS"] = 0
        model.add_arc((1, 0.2), 5, 0, 90, dxfattribs={"layer": "A-DOOR"})
        model.add_line((1, 0.2), (1, 5.2), dxfattribs={"layer": "A-DOOR"})
        model.add_text(said, height=0.2).set_placement((0, -2))

    site = imported(tmp_path, draw)
    assert rows(site, "levels")["Level-1"]["background_scale"] == "1"
    assert "1 arcs like swings are about 5 m wide: none is taken for a door" in texts(site, "question")


def test_a_title_is_no_room(tmp_path: Path) -> None:
    titles = ("GRUNDRISS ERDGESCHOSS 1:100", "NIVEAU R+1", "Level 1", "FIRST FLOOR PLAN")
    names = ("Ground floor lobby", "Planning office", "Plant 1")

    def draw(_doc: Any, model: Any) -> None:
        leaf(model, LEFTS[0])
        for n, name in enumerate((*titles, *names)):
            model.add_text(name, height=0.2, dxfattribs={"layer": "A-AREA-IDEN"}).set_placement((3 * n, 9))

    told = texts(imported(tmp_path, draw), "left")
    assert [name for name in titles if f"{name}: it has no outline" in told] == []
    assert [name for name in names if f"{name}: it has no outline" in told] == list(names)


def test_names_that_nobody_knows_are_told(tmp_path: Path) -> None:
    """Of a plan without any other name of a room they are asked; of others those beside known ones are told."""

    def draw(_doc: Any, model: Any) -> None:
        leaf(model, LEFTS[0])
        for layer, name, x in (
            ("TEXTE", "Kaffeeküche", 2),
            ("TEXTE", "OFFICE", 6),
            ("ANMERKUNG", "Sockel entfernen", 9),
        ):
            model.add_text(name, height=0.2, dxfattribs={"layer": layer}).set_placement((x, 3))

    said = "texts that may name rooms are not read as such: Kaffeeküche (layers TEXTE)"
    assert said in texts(imported(tmp_path, draw), "left")

    def draw_none(_doc: Any, model: Any) -> None:
        model.delete_all_entities()
        leaf(model, LEFTS[0])
        model.add_text("Kaffeeküche", height=0.2, dxfattribs={"layer": "TEXTE"}).set_placement((2, 3))

    assert said in texts(imported(tmp_path / "b", draw_none), "question")


def test_doors_of_what_is_demolished_are_asked(tmp_path: Path) -> None:
    """They are left out where the user says so, and no more asked where they count."""

    def draw(_doc: Any, model: Any) -> None:
        leaf(model, LEFTS[0])
        at = {"layer": "A-DOOR-DEMO"}
        model.add_arc((LEFTS[1], 0.2), 0.9, 0, 90, dxfattribs=at)
        model.add_line((LEFTS[1], 0.2), (LEFTS[1], 1.1), dxfattribs=at)

    site = imported(tmp_path / "asked", draw)
    assert len(rows(site, "openings")) == 2
    assert "doors on layers of what is demolished (A-DOOR-DEMO) are read: at 4, 0" in texts(site, "question")
    for role, count in (("ignore", 1), ("doors", 2)):
        settings = f'[document."plan_level-1.dxf"]\nlayers = {{ "A-DOOR-DEMO" = "{role}" }}\n'
        site = imported(tmp_path / role, draw, settings)
        assert len(rows(site, "openings")) == count
        assert "demolished" not in texts(site, "question")


@pytest.mark.parametrize("layer", ["ARCH_N°PORTES", "PUERTAS-TEXTO", "A-DOOR"])
def test_a_tag_of_two_lines_on_a_layer_of_any_office(tmp_path: Path, layer: str) -> None:
    """The mark stands above the size."""

    def draw(_doc: Any, model: Any) -> None:
        leaf(model, LEFTS[0])
        tag(model, LEFTS[0], "P01\\P90x204", layer=layer)

    assert list(rows(imported(tmp_path, draw), "openings")) == ["P01"]
