"""Every kind of sheet of a set, read by programs that did not write it: GDAL for the drawings, pypdf and poppler for the print.

A third reads them where node is there: dxf-parser (MIT, `npm install -g dxf-parser`), which is written in JavaScript.

Layers are counted as GDAL's DXF driver sees them against ezdxf; the page of each sheet has the sheet's size (ISO 216 from
the published table) and every mark, label and other text of the drawing.
"""

from __future__ import annotations

import json
import os
import runpy
import shutil
import subprocess
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pyogrio
import pypdf
import pytest
from ezdxf.filemanagement import readfile

from riserkit.design import Design
from riserkit.drawings.set.plan import SetOptions
from riserkit.drawings.set.write import SetResult, write_set
from riserkit.model.site import Site
from riserkit.pipeline import work_out
from riserkit.results.site_tables import sheet_tables, site_tables

SITES: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "drawings" / "riser_sites.py"))
MM = 72 / 25.4
KINDS = {"cover", "plan", "door", "typical", "riser", "schedule"}
FAILING = "102"
SOME = 5
"""Openings drawn on a push."""
FEW = {"openings", "horizontal_cables", "materials"}
"""Schedules drawn on a push: all are drawn alike, by one piece of code."""


class Drawn(NamedTuple):
    design: Design
    result: SetResult
    docs: dict[str, Any]
    pages: tuple[str, ...]


def with_a_failing_door(site: Site) -> Site:
    """The site; one door asks for lock wires out of reach, and is wired so that they are within it."""
    asked = {"lock_wiring_secured": True, "arrangement": "direct-with-peripherals"}
    openings = (one.model_copy(update=asked) if one.mark == FAILING else one for one in site.openings)
    return site.model_copy(update={"openings": tuple(openings)})


@pytest.fixture(scope="module", params=["few schedules", pytest.param("all", marks=pytest.mark.sweep)])
def drawn(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Drawn:
    site = SITES["archive"]()
    if request.param != "all":
        site = site.model_copy(update={"openings": site.openings[:SOME]})
    checked = work_out(with_a_failing_door(site))
    folder = tmp_path_factory.mktemp("set")
    tables = sheet_tables(site_tables(checked))
    chosen = tuple(table for table in tables if request.param == "all" or table.name in FEW)
    options = SetOptions(doors=("101", "102"), tables=chosen, pdf=True, workers=1)
    result = write_set(checked, folder, options)
    assert result.pdf is not None
    assert {sheet.kind for sheet in result.sheets} == KINDS
    assert f"T-502-{FAILING}" in {sheet.sheet_id for sheet in result.sheets}, "how a door fails is a kind of its own"
    pages = tuple(page.extract_text() for page in pypdf.PdfReader(result.pdf).pages)
    docs = {sheet.sheet_id: readfile(sheet.path) for sheet in result.sheets}
    return Drawn(checked.design, result, docs, pages)


def _entities(doc: Any) -> Iterator[Any]:
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    yield from (e for space in (doc.modelspace(), paper) for e in space if e.dxftype() != "VIEWPORT")


def _layers(entity: Any) -> Iterator[str]:
    """The layer; of a dimension those of its block's parts, as GDAL takes it apart: layer 0 is that of the dimension."""
    parts = entity.get_geometry_block() if entity.dxftype() == "DIMENSION" else (entity,)
    yield from (entity.dxf.layer if part.dxf.layer == "0" else part.dxf.layer for part in parts)


def _squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.slow
def test_gdal_counts_as_many_on_each_layer_of_each_sheet(drawn: Drawn) -> None:
    pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": "FALSE", "DXF_ENCODING": "UTF-8"})
    try:
        for sheet in drawn.result.sheets:
            meta, _, _, columns = pyogrio.raw.read(sheet.path, layer="entities")
            layers = dict(zip(meta["fields"], columns, strict=True))["Layer"]
            ours = Counter(layer for e in _entities(drawn.docs[sheet.sheet_id]) for layer in _layers(e))
            assert Counter(layers) == ours, sheet.sheet_id
    finally:
        pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": None, "DXF_ENCODING": None})


PARSE = """
const fs = require('fs'), module_ = require('dxf-parser'), Parser = module_.default || module_;
const read = file => {
  const found = new Parser().parseSync(fs.readFileSync(file, 'utf-8'));
  const layers = Object.keys(found.tables.layer.layers), blocks = Object.keys(found.blocks);
  return {layers, blocks, entities: found.entities.map(e => [e.type, e.layer, e.handle, e.type === 'TEXT' ? e.text : ''])};
};
console.log(JSON.stringify(process.argv.slice(1).map(read)));
"""
KNOWN = ("LINE", "LWPOLYLINE", "CIRCLE", "ARC", "TEXT", "MTEXT", "INSERT", "DIMENSION")
"""What dxf-parser reads of what is on a sheet; it passes over hatches, masks and attributes of inserts."""


@pytest.fixture(scope="module")
def parsed(drawn: Drawn) -> dict[str, Any]:
    """What dxf-parser reads of each sheet, by identification; skips where there is no node or no dxf-parser."""
    node, npm = shutil.which("node"), shutil.which("npm")
    places = (
        [subprocess.run([npm, "root", "-g"], check=False, capture_output=True, encoding="utf-8").stdout.strip()]
        if npm
        else []
    )
    env = {**os.environ, "NODE_PATH": os.pathsep.join([*filter(None, [os.environ.get("NODE_PATH")]), *places])}
    if (
        not node
        or subprocess.run([node, "-e", "require('dxf-parser')"], env=env, check=False, capture_output=True).returncode
    ):
        why = "no node with dxf-parser: npm install -g dxf-parser"
        if os.environ.get("RISERKIT_REQUIRE_DXF_PARSER") == "1":
            pytest.fail(why)
        pytest.skip(why)
    paths = [str(sheet.path) for sheet in drawn.result.sheets]
    told = subprocess.run([node, "-e", PARSE, *paths], env=env, check=True, capture_output=True, encoding="utf-8")
    return dict(zip((sheet.sheet_id for sheet in drawn.result.sheets), json.loads(told.stdout), strict=True))


def test_dxf_parser_reads_the_same_things_on_the_same_layers(drawn: Drawn, parsed: dict[str, Any]) -> None:
    """Each entity by kind, layer and handle, each line of text by its letters; blocks and layers by name."""
    for sheet_id, read in parsed.items():
        doc = drawn.docs[sheet_id]
        mine = [e for e in _entities(doc) if e.dxftype() in KNOWN]
        ours = {(e.dxftype(), e.dxf.layer, e.dxf.handle) for e in mine}
        assert {tuple(e[:3]) for e in read["entities"] if e[0] in KNOWN} == ours, sheet_id
        assert len(ours) > 20
        texts = {e.dxf.handle: _squeezed(e.plain_text()) for e in mine if e.dxftype() == "TEXT"}
        # `^ ` is how a file writes a caret, which this reader leaves as it stands
        assert {h: _squeezed(t.replace("^ ", "^")) for kind, _, h, t in read["entities"] if kind == "TEXT"} == texts
        assert {layer.dxf.name for layer in doc.layers} == set(read["layers"])
        assert {b.name for b in doc.blocks if not b.name.startswith("*")} <= set(read["blocks"])


def test_every_text_of_each_sheet_is_on_its_page(drawn: Drawn) -> None:
    for sheet, page in zip(drawn.result.sheets, drawn.pages, strict=True):
        found, count = _squeezed(page), 0
        for entity in _entities(drawn.docs[sheet.sheet_id]):
            texts = [entity.plain_text()] if entity.dxftype() in {"TEXT", "MTEXT"} else []
            texts += [a.plain_text() for a in getattr(entity, "attribs", ()) if not a.is_invisible]
            count += len(texts)
            for text in texts:
                assert _squeezed(text) in found, (sheet.sheet_id, text)
        assert count > 20, sheet.sheet_id


def test_every_mark_and_label_is_in_the_print(drawn: Drawn) -> None:
    text = _squeezed(" ".join(drawn.pages))
    design = drawn.design
    for door in design.doors:
        assert _squeezed(door.mark) in text
    for labels in (design.labels.opening, design.labels.closet, design.labels.switch, design.labels.cable):
        assert labels
        for label in labels.values():
            assert _squeezed(label) in text, label


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler is not installed")
def test_poppler_finds_every_mark_and_cable(drawn: Drawn) -> None:
    told = subprocess.run(["pdftotext", str(drawn.result.pdf), "-"], check=True, capture_output=True, encoding="utf-8")
    text = _squeezed(told.stdout)
    for door in drawn.design.doors:
        assert _squeezed(door.mark) in text
    for label in drawn.design.labels.cable.values():
        assert _squeezed(label) in text, label


def test_each_page_has_the_size_of_a_published_sheet(
    drawn: Drawn, reference_rows: Callable[[str], list[dict[str, str]]]
) -> None:
    """To 0.1 mm, long side across: the published table is of upright sheets."""
    sizes = [(float(row["h_mm"]), float(row["w_mm"])) for row in reference_rows("sheet_sizes.csv")]
    for sheet, page in zip(drawn.result.sheets, pypdf.PdfReader(drawn.result.pdf).pages, strict=True):  # type: ignore[arg-type]
        width, height = float(page.mediabox.width) / MM, float(page.mediabox.height) / MM
        assert any(abs(width - w) <= 0.1 and abs(height - h) <= 0.1 for w, h in sizes), sheet.sheet_id
        layout = drawn.docs[sheet.sheet_id].layouts.get(sheet.sheet_id)
        assert (width, height) == pytest.approx((layout.dxf.paper_width, layout.dxf.paper_height), abs=0.1)


def test_the_print_opens_at_each_sheet_by_its_name(drawn: Drawn) -> None:
    reader = pypdf.PdfReader(drawn.result.pdf)  # type: ignore[arg-type]
    titles = [entry["/Title"] for entry in reader.outline]
    assert [title.split()[0] for title in titles] == [sheet.sheet_id for sheet in drawn.result.sheets]
