"""Two storeys drawn beside each other in one model: each region of the drawing is a level of its own."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from riserkit.importing.settings import read_settings
from riserkit.model.problems import InputError
from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts

BESIDE_MM = 40_000.0


def drawing(path: Path) -> Path:
    """A corridor wall with one door in each storey, the upper one drawn 40 m to the right; and a door and a room of a detail far off."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    model = doc.modelspace()
    for x, name in ((0.0, "FIRST FLOOR PLAN"), (BESIDE_MM, "SECOND FLOOR PLAN"), (4 * BESIDE_MM, "DETAIL")):
        model.add_text(name, height=500).set_placement((x, -3000))
        for y in (0, 200):
            model.add_line((x, y), (x + 5000, y), dxfattribs={"layer": "A-WALL"})
            model.add_line((x + 5900, y), (x + 12_000, y), dxfattribs={"layer": "A-WALL"})
        model.add_line((x + 5000, 200), (x + 5000, 1100), dxfattribs={"layer": "A-DOOR"})
        model.add_arc((x + 5000, 200), 900, 0, 90, dxfattribs={"layer": "A-DOOR"})
        model.add_text(
            {0.0: "101", BESIDE_MM: "201"}.get(x, "D1"), height=200, dxfattribs={"layer": "A-DOOR-IDEN"}
        ).set_placement((x + 5200, 500))
    outline = [(4 * BESIDE_MM + x, y) for x, y in ((0, 3000), (6000, 3000), (6000, 7000), (0, 7000))]
    model.add_lwpolyline(outline, close=True, dxfattribs={"layer": "A-AREA"})
    model.add_text("STORE 900", height=200, dxfattribs={"layer": "A-AREA-IDEN"}).set_placement(
        (4 * BESIDE_MM + 2000, 5000)
    )
    doc.saveas(path)
    return path


def settings(site: Path, text: str) -> None:
    site.mkdir(exist_ok=True)
    (site / "import.toml").write_text(f'[document."plan.dxf"]\nunits = "mm"\n{text}\n', "utf-8")


def test_each_region_is_a_level_and_they_lie_over_each_other(tmp_path: Path, site: Path) -> None:
    settings(site, 'regions = { "L1" = [-1000, -1000, 20000, 9000], "L2" = [39000, -1000, 60000, 9000] }')
    import_documents([drawing(tmp_path / "plan.dxf")], site)
    doors = rows(site, "openings")
    assert {mark: row["level"] for mark, row in doors.items()} == {"101": "L1", "201": "L2"}
    assert (doors["101"]["x_m"], doors["101"]["y_m"]) == (doors["201"]["x_m"], doors["201"]["y_m"]) == ("6.45", "1.2")
    assert "in no region, and on no level: 1 door, 1 room" in texts(site, "left")
    assert "put on one level" not in texts(site, "question")
    levels = rows(site, "levels")
    assert set(levels) == {"L1", "L2"}
    # The drawing stands behind both, its origin where each puts it.
    behind = {name: (row["background"], float(row["background_x_m"])) for name, row in levels.items()}
    assert behind == {"L1": ("backgrounds/plan.dxf", 1.0), "L2": ("backgrounds/plan.dxf", -39.0)}
    walls = rows(site, "walls", "-").values()
    assert {wall["level"] for wall in walls} == {"L1", "L2"}


def test_without_regions_it_is_asked(tmp_path: Path, site: Path) -> None:
    settings(site, "")
    import_documents([drawing(tmp_path / "plan.dxf")], site)
    assert "put on one level" in texts(site, "question")


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ('regions = { "L1" = [0, 0, 10, 10], "L2" = [5, 5, 20, 20] }', "do not lie over each other"),
        ('regions = { "L1" = [10, 0, 0, 10] }', "lower left corner"),
        ('level = "L1"\nregions = { "L1" = [0, 0, 10, 10] }', "either level, or regions"),
    ],
)
def test_regions_that_cannot_be_are_refused(text: str, wanted: str) -> None:
    with pytest.raises(InputError, match=wanted):
        read_settings(f'[document."plan.dxf"]\n{text}\n')
