"""A real building's door list through the mapping file: an open building model's 102 doors, 99 rooms and its walls."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from riserkit.plugin.read import read_raw, read_site
from tests.folders import csv_rows

OFFICE = Path(__file__).parents[2] / "../shared/real/office"
REQUIRED = os.environ.get("RISERKIT_REQUIRE_SHARED") == "1"
pytestmark = pytest.mark.skipif(
    not OFFICE.is_dir() and not REQUIRED, reason="the shared building is not beside this checkout"
)

# Closets at rooms 115 and 217, as the list of rooms has them; hardware invented.
MAPPING = """
[values.storey]
"Level 1" = "L1"
"Level 2" = "L2"
Roof = "R"
[levels]
columns = { id = "level", name = "level" }
values = { id = "storey" }
[openings]
file = "doors.csv"
columns = { outdoor = "external", unsecured_side = "room_a", secured_side = "room_b" }
values = { level = "storey" }
constants = { lock = "strike-12-secure", controller = "controller-c3" }
[rooms]
columns = { id = "room" }
values = { level = "storey" }
ignore = ["x_m", "y_m", "area_m2"]
[walls]
values = { level = "storey" }
[closets]
file = "rooms.csv"
columns = { id = "room" }
values = { level = "storey" }
ignore = ["area_m2", "outline_wkt"]
keep = { column = "room", in = ["115", "217"] }
[site.constants]
name = "Office"
"""


@pytest.fixture
def office(tmp_path: Path) -> Path:
    folder = tmp_path / "office"
    shutil.copytree(OFFICE, folder)
    (folder / "mapping.toml").write_text(MAPPING, "utf-8")
    return folder


def test_the_whole_building(office):
    site = read_site(office)
    assert (len(site.openings), len(site.rooms), len(site.walls), len(site.levels)) == (102, 99, 487, 3)
    assert [c.id for c in site.closets] == ["115", "217"]
    doors = {row["mark"]: row for row in csv_rows(OFFICE / "doors.csv")}
    assert doors.keys() == site.opening.keys()
    for mark, row in doors.items():
        opening = site.opening[mark]
        assert (opening.x_m, opening.y_m, opening.width_m) == tuple(float(row[k]) for k in ("x_m", "y_m", "width_m"))
        assert opening.outdoor == (row["external"] == "yes")
        assert site.level[opening.level].name == row["level"]


def test_outlines_come_through_unchanged(office):
    site = read_site(office)
    assert {room.id: room.outline_wkt for room in site.rooms} == {
        r["room"]: r["outline_wkt"] for r in csv_rows(OFFICE / "rooms.csv")
    }
    assert [wall.outline_wkt for wall in site.walls] == [row["outline_wkt"] for row in csv_rows(OFFICE / "walls.csv")]


def test_only_chosen_doors(office):
    more = '\n[[openings.keep]]\ncolumn = "external"\nin = ["yes"]\n'
    (office / "mapping.toml").write_text(MAPPING + more, "utf-8")
    raw = read_raw(office)
    chosen = [row["mark"] for row in csv_rows(OFFICE / "doors.csv") if row["external"] == "yes"]
    assert [record.values["mark"] for record in raw.tables["openings"]] == chosen
    assert raw.notes == (
        "rooms.csv: 2 of 99 rows kept for closets as mapping.toml says",
        "doors.csv: 6 of 102 rows kept for openings as mapping.toml says",
    )


def test_without_the_mapping_every_foreign_column_is_told(office, problems_of):
    (office / "mapping.toml").unlink()
    columns = {(p.where.file, p.column) for p in problems_of(office) if p.where.row == 1}
    assert {("rooms.csv", "area_m2"), ("rooms.csv", "id"), ("levels.csv", "id"), ("levels.csv", "level")} <= columns
    assert "doors.csv" in {p.where.file for p in problems_of(office)}
