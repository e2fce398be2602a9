"""What a name may smuggle into the languages that it passes through: formulas, control codes, paths, markup, links."""

from __future__ import annotations

import csv
import io
import json
import logging
import re
import tempfile
from collections.abc import Callable
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from pypdf import PdfReader

from riserkit.checked import Checked
from riserkit.drawings.cover.tables import left_out
from riserkit.drawings.door.sheets import plan_door_sheets
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.dxf.text import shown_text
from riserkit.drawings.prints.render import render_pdf, render_png, render_svg
from riserkit.model.problems import InputError
from riserkit.pipeline import check_site
from riserkit.plugin.failures import FailureLog, failure_findings
from riserkit.reports.findings import findings_json_parts, findings_table
from riserkit.reports.table import to_csv
from riserkit.results.field_site import field_site
from riserkit.results.lesson_site import lesson_site
from riserkit.results.page_site import page_site
from riserkit.results.site_tables import site_tables
from riserkit.standards.sheets import door_sheet_id
from riserkit.starter.tables import write_starter
from tests.sweep import swept

NAMES = {
    "formula": "=HYPERLINK(1)", "full-width formula": "\uff1d1+1", "at sign": "@SUM(1)", "diameter": "%%c", "any sign": "%%065",
    "paragraph": "a\\Pb", "font": "{\\fArial|b1;x}", "field": "%<\\AcVar x>%", "caret": "^J", "unicode": "\\U+0041", "stack": "1\\S1/2;",
    "block": "*Paper_Space", "layer": "A|B$0$C", "tag": "<script>alert(1)</script>", "entity": "&amp;&#10;", "cdata": "]]>",
    "pdf": ") Tj (x", "all of markup": "<script>x</script>&amp;&#10;]]>) Tj (x",
    "markup": "[red]x[/red]", "shell": "$(x) `x`", "path": "../../x", "drive": "C:x",
}  # fmt: skip

PUSHED = ("formula", "full-width formula", "any sign", "paragraph", "tag", "path")


@cache
def _named(name: str) -> Checked:
    """The starting site with a door, a room and the site itself of this name."""
    with tempfile.TemporaryDirectory() as place:
        site = Path(place) / "site"
        write_starter(site)
        rows = (site / "openings.csv").read_text("utf-8")
        typed = f"'{name}" if name.startswith("=") else name
        quoted = '"' + typed.replace('"', '""') + '"'
        (site / "openings.csv").write_text(rows.replace("Entrance", quoted).replace("Lobby", quoted), "utf-8")
        facts = (site / "site.csv").read_text("utf-8")
        (site / "site.csv").write_text(facts.replace("Two doors to start from", quoted), "utf-8")
        return check_site(site)


def _door_sheet(case: str, folder: Path) -> Path:
    checked = _named(NAMES[case])
    (sheet,) = plan_door_sheets(checked.design, checked.design.door["101"], checked.findings)
    path = folder / f"{sheet.sheet_id}.dxf"
    path.write_bytes(sheet.draw().to_bytes())
    return path


@swept("case", list(NAMES), PUSHED)
def test_no_cell_of_a_table_is_a_formula_and_every_name_reads_back(case):
    checked = _named(NAMES[case])
    for table in (*site_tables(checked), findings_table(checked.findings)):
        for row in csv.reader(io.StringIO(to_csv(table))):
            for cell in row:
                assert not cell.lstrip(" ").startswith(("=", "@", "\uff1d", "\uff20", "\t", "\r")), (table.name, cell)
    assert json.loads("".join(findings_json_parts(checked.design.site, checked.findings)))["site"] == NAMES[case]


@swept("case", list(NAMES), PUSHED)
def test_a_name_is_drawn_as_its_own_letters(case, tmp_path):
    """Codes of TEXT and MTEXT after the DXF reference: what the library reads out of the file is what is to be shown."""
    doc = read_dxf(_door_sheet(case, tmp_path))
    assert not doc.audit().errors
    texts = [e.plain_text() for space in doc.layouts for e in space if e.dxftype() in {"TEXT", "MTEXT"}]
    wanted = shown_text(NAMES[case])
    assert any(wanted in " ".join(text.split()) for text in texts), texts
    assert not {"\u2300", "\u00d8"} & set("".join(texts)), "a control code became a diameter"
    names = [*(layer.dxf.name for layer in doc.layers), *(block.name for block in doc.blocks), *doc.layouts.names()]
    assert not [name for name in names if "script" in name or "HYPERLINK" in name or ".." in name]


@swept("case", ["tag", "entity", "cdata", "pdf", "all of markup"], ["all of markup"])
def test_prints_hold_a_name_and_no_markup_of_it(case, tmp_path):
    path = _door_sheet(case, tmp_path)
    render_svg(path, tmp_path / "x.svg")
    tree = ElementTree.fromstring((tmp_path / "x.svg").read_text("utf-8"))
    assert not [e.tag for e in tree.iter() if e.tag.rpartition("}")[2] in {"script", "a", "image", "foreignObject"}]
    render_pdf([path], tmp_path / "x.pdf", title=NAMES[case], workers=1)
    pdf = PdfReader(tmp_path / "x.pdf")
    assert pdf.metadata is not None
    assert pdf.metadata.title == NAMES[case]
    assert NAMES[case].replace(" ", "") in pdf.pages[0].extract_text().replace(" ", "").replace("\n", "")
    catalogue = pdf.trailer["/Root"]
    assert not {"/OpenAction", "/AA", "/Names"} & set(catalogue.keys())


@pytest.mark.parametrize("mark", ["A", "S-2.1", "gate 1", "con", "..", "a..b", "101.", "Tor 3"])
def test_a_sheet_s_file_lies_in_its_folder(mark, tmp_path):
    path = (tmp_path / f"{door_sheet_id(mark)}.dxf").resolve()
    assert path.parent == tmp_path.resolve()
    assert door_sheet_id(mark).startswith("T-501-")


@pytest.mark.parametrize("mark", ["../x", "a/b", "a\\b", "/etc/x", "a\0b", "a:b", "a\u202eb"])
def test_a_mark_holds_no_part_of_a_path(mark, tmp_path):
    text = {"levels": [{"id": "L1", "elevation_m": 0}], "openings": [{"mark": mark, "level": "L1", "x_m": 0, "y_m": 0}]}
    (tmp_path / "site.json").write_text(json.dumps(text), "utf-8")
    with pytest.raises(InputError) as told:
        check_site(tmp_path / "site.json")
    assert [p.column for p in told.value.problems] == ["mark"]


@pytest.mark.parametrize("render", [render_svg, render_png, lambda path, out: render_pdf([path], out, workers=1)])
def test_a_picture_that_a_drawing_names_is_never_opened_and_is_named(
    render: Callable[[Path, Path], None], tmp_path, caplog
):
    secret = tmp_path / "secret.png"
    secret.write_bytes(b"no picture at all")
    doc = ezdxf.new("R2018")
    doc.layouts.rename("Layout1", "T-101")
    doc.layout("T-101").page_setup((420, 297), margins=(0, 0, 0, 0))
    picture = doc.add_image_def(str(secret), (100, 100))
    doc.layout("T-101").add_image(picture, (10, 10), (100, 100))
    drawing = tmp_path / "T-101.dxf"
    doc.saveas(drawing)
    with caplog.at_level(logging.WARNING):
        render(drawing, tmp_path / "out")
    assert "T-101: pictures are printed as frames" in caplog.text
    assert "secret.png" in caplog.text
    assert (tmp_path / "out").stat().st_size > 100


class _Live(HTMLParser):
    """What of a page would be run, fetched or sent: scripts with their source or text, frames, and attributes that are code."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.scripts: list[str] = []
        self.wrong: list[str] = []
        self.words: list[str] = []
        self._in_script = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self._in_script = tag == "script" and "src" not in given and given.get("type") != "application/json"
        if tag in {"iframe", "object", "embed", "base", "foreignobject"}:
            self.wrong.append(tag)
        self.wrong += [f"{tag} {name}" for name in given if name.startswith("on")]
        named = [given[name].strip() for name in ("href", "src", "xlink:href", "action") if name in given]
        self.wrong += [value for value in named if re.match(r"(?i)[a-z][a-z0-9+.-]*:|//", value) and value != "data:,"]

    def handle_endtag(self, tag: str) -> None:
        self._in_script = False

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if self._in_script and data.strip():
            self.scripts.append(data)


def _site_named(folder: Path, name: str) -> None:
    """The starter site with a name for the site, a door and a side of it."""
    write_starter(folder)
    typed = '"' + name.replace('"', '""') + '"'
    doors, facts = folder / "openings.csv", folder / "site.csv"
    doors.write_text(doors.read_text("utf-8").replace("Entrance", typed).replace("Lobby", typed), "utf-8")
    facts.write_text(facts.read_text("utf-8").replace("Two doors to start from", typed), "utf-8")


@swept("case", ["tag", "entity", "cdata", "attribute", "script end"], ["script end"])
def test_a_page_holds_a_name_and_no_markup_of_it(case, tmp_path):
    """What stands in a file is read by the parser of HTML in Python's library, which knows nothing of ours."""
    name = {**NAMES, "attribute": 'x" onmouseover="alert(1)', "script end": "</script><script>alert(1)</script>"}[case]
    _site_named(tmp_path / "site", name)
    page_site(tmp_path / "site", tmp_path / "page")
    files = sorted((tmp_path / "page").rglob("*.html"))
    assert files
    seen_in = 0
    for file in files:
        live = _Live()
        live.feed(file.read_text("utf-8"))
        assert not live.wrong, (file.name, live.wrong)
        assert not [text for text in live.scripts if "alert(1)" in text], file.name
        seen_in += name in "".join(live.words)
    assert seen_in


@pytest.mark.slow
def test_papers_and_lessons_hold_a_name_and_no_markup_of_it(tmp_path):
    """Markup of the library that sets paragraphs, of HTML, and what would end the packet of facts of a PDF (XMP, ISO 16684-1)."""
    name = '<b>x</b><img src="/etc/passwd"/><a href="http://x.test">y</a>&no;<?xpacket end="w"?>]]>'
    _site_named(tmp_path / "site", name)
    field_site(tmp_path / "site", tmp_path / "papers")
    papers = sorted((tmp_path / "papers").rglob("*.pdf"))
    assert {paper.stem for paper in papers} >= {"door-101", "labels", "pick_list"}
    for paper in papers:
        pdf = PdfReader(paper)
        root = pdf.trailer["/Root"]
        assert not {"/OpenAction", "/AA", "/Names"} & set(root.keys())
        assert not [page for page in pdf.pages if page.get("/Annots")], paper
        assert "<b>x</b>" in "".join(page.extract_text() for page in pdf.pages).replace("\n", "").replace(" ", "")
        packet = root["/Metadata"].get_object().get_data()
        inside = packet[packet.index(b"<x:xmpmeta") : packet.index(b"</x:xmpmeta>")] + b"</x:xmpmeta>"
        assert ElementTree.fromstring(inside).tag.endswith("xmpmeta")
    lesson_site(tmp_path / "site", tmp_path / "lessons", 4, 1)
    words = []
    for file in sorted((tmp_path / "lessons").glob("*.html")):
        live = _Live()
        live.feed(file.read_text("utf-8"))
        assert not live.wrong, (file.name, live.wrong)
        words += live.words
    assert "<b>x</b>" in "".join(words)


def test_what_a_plugin_left_out_stands_on_the_cover():
    log = FailureLog()
    log.add("door-names 1.0", "rule door-name", "ValueError: no licence")
    told = left_out(failure_findings(log))
    assert told == ("Rule door-name of plugin door-names 1.0 is left out: ValueError: no licence.",)
