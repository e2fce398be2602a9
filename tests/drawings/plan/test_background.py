"""Plans on an architect's own drawing: at true coordinates, grey and locked, ours above, and nothing of it executed or followed."""

from __future__ import annotations

import math
import shutil
import warnings
from pathlib import Path

import ezdxf
import pyogrio
import pytest
from ezdxf import recover

from riserkit.design import design
from riserkit.drawings.dxf.background import BackgroundPlace
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import DrawingInfo
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.legibility.sheet import inspect_document
from riserkit.drawings.plan.background import background_words
from riserkit.drawings.plan.sheets import draw_plan_sheet
from riserkit.drawings.prints.pdf import POINTS_PER_MM, PdfPen, Words, page_at
from riserkit.model.problems import InputError
from riserkit.plugin.read import read_site
from tests.floor_plans import floor_plans

SITE = Path(__file__).parents[3] / "sample_drawings" / "first-look" / "site"
ARCHIVE = SITE.parents[1] / "seed-archive" / "site"


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """The first look on a drawing in inches: a wall from 0, 0 to 360 inches, a chair of a block, a link to a picture."""
    folder = tmp_path / "site"
    shutil.copytree(SITE, folder)
    for path in folder.iterdir():
        path.chmod(0o644)
    doc = ezdxf.new("R2010", setup=True)
    doc.layers.add("A-WALL", color=1)
    doc.modelspace().add_line((0, 0), (360, 0), dxfattribs={"layer": "A-WALL", "color": 2, "lineweight": 100})
    doc.blocks.new("CHAIR").add_circle((0, 0), 12)
    doc.modelspace().add_blockref("CHAIR", (100, 150))
    image = doc.add_image_def("secret.png", (10, 10))
    doc.modelspace().add_image(image, (0, 0), (5, 5))
    doc.modelspace().add_text("OFFICE", height=12).set_placement((200, 150))
    doc.saveas(folder / "plan.dxf")
    return folder


def _levels(site: Path, columns: str, values: str) -> None:
    text = f"id,name,elevation_m,ceiling_m,ceiling_space,{columns}\nL1,Ground floor,0,3.0,general,{values}\n"
    (site / "levels.csv").write_text(text, "utf-8")


def _sheet(site: Path):
    plans = floor_plans(design(read_site(site)), DrawingInfo(background_folder=site))
    return draw_plan_sheet(plans, 0)


def _wall(doc) -> tuple[tuple[float, float], tuple[float, float]]:
    (ref,) = doc.modelspace().query('INSERT[layer=="A-BKGD"]')
    line = next(e for e in ref.virtual_entities() if e.dxftype() == "LINE")
    return (line.dxf.start.x, line.dxf.start.y), (line.dxf.end.x, line.dxf.end.y)


def test_a_background_lies_at_true_coordinates_and_opens_without_its_source(site: Path, tmp_path: Path) -> None:
    _levels(site, "background,background_scale,background_x_m,background_y_m,background_deg", "plan.dxf,0.0254,1,2,90")
    sheet = _sheet(site)
    sheet.save(tmp_path / "T-101.dxf")
    (site / "plan.dxf").unlink()
    doc, auditor = recover.readfile(tmp_path / "T-101.dxf")
    assert not auditor.errors
    assert not auditor.fixes
    start, end = _wall(doc)
    assert math.dist(start, (1000, 2000)) < 0.01
    assert math.dist(end, (1000, 2000 + 360 * 25.4)) < 0.01
    behind = [layer for layer in doc.layers if layer.dxf.name.startswith(("A-BKGD", "plan$"))]
    assert len(behind) >= 2
    assert all(layer.is_locked() and layer.dxf.color == 253 for layer in behind)
    _, _, shapes, _ = pyogrio.raw.read(tmp_path / "T-101.dxf", layer="entities", columns=["Layer"])
    assert len(shapes) > 50  # another reader opens it as well
    assert "secret.png" not in (tmp_path / "T-101.dxf").read_text("utf-8")


def test_two_pairs_of_points_place_it_as_well(site: Path) -> None:
    _levels(site, "background,background_points", "plan.dxf,0 0 1 2; 360 0 1 11.144")
    start, end = _wall(_sheet(site).doc)
    assert math.dist(start, (1000, 2000)) < 0.01
    assert math.dist(end, (1000, 11144)) < 0.01


@pytest.mark.parametrize(
    ("layer", "weight", "moves"), [("A-WALL", 9, True), ("A-SLAB", 50, True), ("A-SLAB", 13, False)]
)
def test_labels_rather_stand_clear_of_walls_and_heavy_lines(layer: str, weight: int, moves: bool, site: Path) -> None:
    """A line through the middle of where the closet's label stands without it."""

    def label() -> tuple[Rect, float]:
        view = floor_plans(design(read_site(site)), DrawingInfo(background_folder=site)).pages.pages[0].view
        return next(p.box for p in view.tags if p.tag.subject.startswith("closet:")), view.ratio

    _levels(site, "background,background_scale,background_x_m,background_deg", "plan.dxf,0.0254,50,90")
    before, ratio = label()
    doc = ezdxf.new("R2010")
    doc.layers.add(layer, lineweight=weight)
    y = before.center[1] * ratio / 25.4
    # The drawing is turned by 90 degrees about 50, 0: its x runs up the site, its y to the left.
    left, right = ((50_000 - x * ratio) / 25.4 for x in (before.x0, before.x1))
    doc.modelspace().add_line((y, left), (y, right), dxfattribs={"layer": layer})
    doc.saveas(site / "plan.dxf")
    after, _ = label()
    assert (after != before) is moves
    if moves:
        assert not after.y0 <= before.center[1] <= after.y1 or after.x1 < before.x0 or after.x0 > before.x1


@pytest.mark.slow
def test_what_says_which_sheet_enlarges_an_area_hides_the_lines_behind_it(tmp_path: Path) -> None:
    """A drawing behind has lines wherever it may stand."""
    folder = tmp_path / "site"
    shutil.copytree(ARCHIVE, folder)
    for path in folder.iterdir():
        path.chmod(0o644)
    doc = ezdxf.new("R2010", setup=True)
    for n in range(-40, 300):
        doc.modelspace().add_line((-20, n * 0.5), (150, n * 0.5))
    doc.saveas(folder / "plan.dxf")
    levels = (folder / "levels.csv").read_text("utf-8").splitlines()
    more = [",background,background_scale", *[",plan.dxf,1"] * (len(levels) - 1)]
    (folder / "levels.csv").write_text("\n".join(map("".join, zip(levels, more, strict=True))), "utf-8")
    sheet = _sheet(folder)
    pointers = [e for e in sheet.doc.modelspace().query("TEXT") if e.dxf.text.startswith("see T-")]
    assert pointers
    found = inspect_document(sheet.doc).violations
    assert not [v.message for v in found if "see T-" in v.message]


def test_a_reference_is_only_named_and_the_sheet_opens_without_it(site: Path, tmp_path: Path) -> None:
    _levels(site, "background,background_scale,background_as", "plan.dxf,0.0254,reference")
    _sheet(site).save(tmp_path / "T-101.dxf")
    doc, auditor = recover.readfile(tmp_path / "T-101.dxf")
    assert not auditor.errors
    (block,) = [block for block in doc.blocks if block.block.is_xref]
    assert block.block.dxf.xref_path == "plan.dxf"
    with warnings.catch_warnings():
        warnings.filterwarnings(
            "ignore", "Block BACKGROUND-plan does not exist"
        )  # the reader says that it is not at hand
        _, _, shapes, _ = pyogrio.raw.read(tmp_path / "T-101.dxf", layer="entities", columns=["Layer"])
    assert len(shapes) > 50


def test_the_legend_says_metres_of_a_survey_grid_in_full() -> None:
    place = BackgroundPlace("plan.dxf", 0.0254, (500_012.25, 5_400_008.0), 0, "copy")
    assert "origin 500012.25, 5400008 m" in background_words(place)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("missing.dxf", "no such file"),
        ("../../etc/plan.dxf", "lies outside"),
        ("site.csv", "this file is none"),
        ("cut.dxf", "cut short"),
    ],
)
def test_a_background_that_cannot_be_had_is_a_problem_of_its_row(name: str, said: str, site: Path) -> None:
    (site / "cut.dxf").write_bytes((site / "plan.dxf").read_bytes()[:-200])
    _levels(site, "background,background_scale", f"{name},0.0254")
    with pytest.raises(InputError, match=f"levels.csv, row 2, column background: saw '{name}'.*{said}"):
        read_site(site)


def test_a_background_that_is_broken_is_said_where_it_is_drawn(site: Path) -> None:
    (site / "plan.dxf").write_text("0\nSECTION\n2\nENTITIES\n0\nLINE\nno code\n0\nEOF\n", "utf-8")
    _levels(site, "background,background_scale", "plan.dxf,0.0254")
    with pytest.raises(SheetError, match=r"plan\.dxf: it cannot be read"):
        _sheet(site)


def test_it_prints_grey_and_thin_and_ours_black(site: Path, tmp_path: Path) -> None:
    """Colours, weights and fonts of its own are gone; labels after its text in another font are still seen."""
    doc = ezdxf.readfile(site / "plan.dxf")
    doc.modelspace().add_mtext(
        r"{\fTimes New Roman|b0;\C1;LOBBY}", {"insert": (100, 60), "char_height": 12, "color": 1}
    )
    doc.saveas(site / "plan.dxf")
    _levels(site, "background,background_scale", "plan.dxf,0.0254")
    _sheet(site).save(tmp_path / "T-101.dxf")
    page = page_at(tmp_path / "T-101.dxf")
    words = {word.text: word.color for word in page.drawn if isinstance(word, Words)}
    assert words["OFFICE"] == words["LOBBY"] == "#9e9e9e"
    assert words["1A-A01"] == words["Plan north"] == "#000000"
    assert all(word.visible for word in page.drawn if isinstance(word, Words))
    pens = {pen for pen in page.drawn if isinstance(pen, PdfPen) and pen.color == "#9e9e9e"}
    assert {round(pen.width / POINTS_PER_MM, 2) for pen in pens} == {0.09}


def test_a_background_without_its_scale_is_refused(site: Path) -> None:
    _levels(site, "background", "plan.dxf")
    with pytest.raises(InputError, match="metres of one unit"):
        read_site(site)
