"""A riser must show every opening, closet, switch, supply and cable of its design, once, legibly, inside its frame.

All is read back from the DXF files, so that what is checked is what a reader opens. GDAL is the second reader.
"""

from __future__ import annotations

import runpy
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache, partial
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pyogrio
import pytest
from shapely import LineString, STRtree, box

from riserkit.checked import Checked
from riserkit.design import Design, design
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.file_tags import drawing_of, read_dxf
from riserkit.drawings.dxf.lettering import entity_box
from riserkit.drawings.dxf.marks import read_mark
from riserkit.drawings.dxf.text import LEAST_HEIGHT_MM, shown_text
from riserkit.drawings.riser.sheets import Riser, draw_riser_sheet, plan_riser
from riserkit.drawings.riser.values import Drop, OpeningGroup
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.model.site import Site
from riserkit.quantities.printed import format_length
from riserkit.rules._shared.evaluate import check
from tests.sweep import swept

SITES: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "riser_sites.py"))
generated = SITES["generated"]
CASES: dict[str, Callable[[], Any]] = {
    "archive": SITES["archive"],
    "three buildings": SITES["campus"],
    "two": lambda: generated(1, 1, 2),
    "one level": lambda: generated(1, 1, 14),
    "two hundred on one closet": lambda: generated(4, 1, 200, pathways=True),
    "two hundred without pathways": lambda: generated(3, 1, 200),
    "twelve closets on eight levels": lambda: generated(8, 12, 180),
    "twelve closets on one level": lambda: generated(1, 12, 120),
    "thirty levels": lambda: generated(30, 12, 400),
    **{f"scattered {seed}": partial(SITES["scattered"], seed) for seed in (4, 10, 18, 29, 31, 43, 56)},
    "long marks": lambda: generated(3, 2, 30, mark="{level}-LONG MARK {n:03d} NORTH"),
    "eighty on one closet": lambda: generated(2, 1, 80, pathways=True),
    "eighty on a small sheet": lambda: _on_a3(generated(2, 1, 80, pathways=True)),
    "three levels on a small sheet": lambda: _on_a3(generated(3, 1, 60, pathways=True)),
    "twelve closets on eight levels, few doors": lambda: generated(8, 12, 48),
}


def _on_a3(site: Site) -> Site:
    return site.model_copy(update={"info": site.info.model_copy(update={"sheet_size": "A3"})})


PUSH = ("archive", "three buildings", "two", "twelve closets on eight levels, few doors")
SLOW = ("scattered 56", "long marks", "eighty on a small sheet")
every_case = swept("case", CASES, PUSH, SLOW)


@cache
def _planned(case: str) -> tuple[Design, tuple[Finding, ...], Riser]:
    made = design(CASES[case]())
    findings = check(made)
    return made, findings, plan_riser(Checked(made, findings))


@cache
def _docs(case: str) -> tuple[Any, ...]:
    """Every sheet, as read back from its bytes."""
    riser = _planned(case)[2]
    return tuple(drawing_of(draw_riser_sheet(riser, n).to_bytes().decode()) for n in range(len(riser.sheet_ids)))


def _paper(doc: Any) -> Any:
    return doc.layouts.get(doc.layouts.names_in_taborder()[1])


def _entities(doc: Any) -> Iterator[Any]:
    for space in (doc.modelspace(), _paper(doc)):
        yield from (e for e in space if e.dxftype() != "VIEWPORT")


def _texts(entity: Any) -> Iterator[str]:
    if entity.dxftype() in ("TEXT", "MTEXT"):
        yield entity.plain_text()
    if entity.dxftype() == "INSERT":
        yield from (attrib.plain_text() for attrib in entity.attribs)


def _by_subject(case: str) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = {}
    for doc in _docs(case):
        for entity in doc.modelspace():
            mark = read_mark(entity)
            assert mark is not None, entity
            found.setdefault(mark.model_id, []).append(entity)
    return found


def _words(entities: list[Any]) -> list[str]:
    return [text for entity in entities for text in _texts(entity)]


@every_case
@pytest.mark.slow
def test_every_opening_stands_once_by_its_label(case: str) -> None:
    """As a symbol of its own, or as a row of its bundle's table."""
    made = _planned(case)[0]
    found = _by_subject(case)
    for door in made.doors:
        label = shown_text(made.labels.opening[door.mark])
        words = _words(found[f"opening:{door.mark}"])
        # the first words are the mark's, in a table's narrow column on several lines
        assert words.count(label) == 1 or " ".join(words).startswith(f"{label} "), (door.mark, words)


@every_case
def test_every_horizontal_cable_has_its_label_and_length(case: str) -> None:
    made = _planned(case)[0]
    unit = made.site.info.unit_system
    found = _by_subject(case)
    for door in made.doors:
        subject = door.cable.subject if door.cable else door.mark
        words = _words(found.get(f"cable:{subject}", []) + found[f"opening:{door.mark}"])
        if door.cable is None:
            assert words.count("no cable") == 1
            continue
        label = shown_text(made.labels.cable[subject])
        # a label of the owner's making may be so long that it is wrapped
        assert words.count(label) == 1 or "".join(label.split()) in "".join("".join(words).split()), (door.mark, words)
        route = door.cable.route
        length = f"{format_length(route.length_m, unit)} ({route.basis.value[0]})" if route else "no route"
        assert words.count(length) == 1, (length, words)


@every_case
def test_every_closet_switch_supply_and_backbone_cable_is_there(case: str) -> None:
    made = _planned(case)[0]
    found = _by_subject(case)
    inserts = {
        subject: [e.dxf.name for e in entities if e.dxftype() == "INSERT"] for subject, entities in found.items()
    }
    for closet in made.site.closets:
        assert inserts[f"closet:{closet.id}"] == ["closet"]
        assert made.labels.closet[closet.id] in _words(found[f"closet:{closet.id}"])
    for switch in made.site.switches:
        assert inserts[f"switch:{switch.id}"] == ["switch"]
        words = _words(found[f"switch:{switch.id}"])
        used = sum(d.placement is not None and d.placement.switch == switch.id for d in made.doors)
        assert made.labels.switch[switch.id] in " ".join(words)
        assert f"{used} / {switch.ports - switch.uplink_ports} ports" in words
    for supply in made.site.supplies:
        assert inserts[f"supply:{supply.id}"] == ["supply"]
    for cable in made.backbone:
        assert made.labels.cable[cable.subject] in _words(found[f"cable:{cable.subject}"])
        drawn = [e for e in found[f"cable:{cable.subject}"] if e.dxftype() == "LINE"]
        assert layers.BACKBONE in {e.dxf.layer for e in drawn}


def test_power_of_a_switch_is_that_of_its_finding() -> None:
    """Watts on the sheet are the rule's, not the drawing's own."""
    _, findings, _ = _planned("archive")
    drawn = {f.subject: f.value for f in findings if f.rule == "switch-power-budget" and f.value is not None}
    words = _words(_by_subject("archive")["switch:SW-2"])
    assert f"PoE {drawn['SW-2']:.1f} / 60 W, UPS" in words
    assert any(word.endswith("no UPS") for word in _words(_by_subject("archive")["switch:SW-3"]))
    assert any(word.endswith("UPS ?") for word in _words(_by_subject("archive")["switch:SW-1E"]))


@every_case
def test_levels_stand_in_their_true_order(case: str) -> None:
    """Those of one building together, each building's from the top down."""
    made, _, riser = _planned(case)
    by_id = {level.id: level for level in made.site.levels}
    drawn = [by_id[band.band.id] for band in riser.pages.layout.bands]
    order = {building.id: n for n, building in enumerate(made.site.buildings)}
    assert drawn == sorted(made.site.levels, key=lambda level: (order.get(level.building, 0), -level.elevation_m))
    for closet in riser.pages.layout.closets:
        band = next(b for b in riser.pages.layout.bands if b.band.id == closet.box.level)
        assert band.y0 <= closet.rect.y0 and closet.rect.y1 <= band.y1
    for row in riser.pages.layout.rows:
        band = next(b for b in riser.pages.layout.bands if b.band.id == row.level)
        assert band.y0 < row.y < band.y1
        assert {made.door[i.item.mark].opening.level for i in row.items if hasattr(i.item, "mark")} <= {row.level}


def _boxes(doc: Any) -> list[tuple[Rect, Any, str]]:
    """Boxes of every text with its entity, and the symbol it belongs to."""
    found = []
    for entity in _entities(doc):
        if entity.dxftype() == "TEXT":
            found.append((entity_box(entity), entity, entity.dxf.handle))
        if entity.dxftype() == "INSERT":
            texts = [a for a in entity.attribs if a.plain_text().strip() and not a.is_invisible]
            found += [(entity_box(a), a, entity.dxf.handle) for a in texts]
    return found


@every_case
def test_no_text_stands_on_another(case: str) -> None:
    for doc in _docs(case):
        boxes = _boxes(doc)
        tree = STRtree([box(*rect.inset(0.02)) for rect, _, _ in boxes])
        pairs = zip(*tree.query(tree.geometries, predicate="intersects"), strict=True)
        over = [(boxes[a][1].plain_text(), boxes[b][1].plain_text()) for a, b in pairs if a < b]
        assert over == []


@every_case
def test_no_line_runs_through_a_text(case: str) -> None:
    for doc in _docs(case):
        boxes = _boxes(doc)
        tree = STRtree([box(*rect.inset(0.02)) for rect, _, _ in boxes])
        wires = [
            (LineString([e.dxf.start.vec2, e.dxf.end.vec2]), e)
            for e in doc.modelspace()
            if e.dxftype() == "LINE" and e.dxf.layer in (layers.CABLE, layers.BACKBONE, layers.LEVEL, layers.MATCH_LINE)
        ]
        # outlines of markers, closets and bundles too: their own letters stand inside, and no text across them
        wires += [
            (LineString([*e.vertices_in_wcs(), next(e.vertices_in_wcs())]), e)
            for e in doc.modelspace()
            if e.dxftype() == "LWPOLYLINE" and e.dxf.layer in (layers.SYMBOL, layers.ROOM, layers.EQUIPMENT)
        ]
        for line, entity in wires:
            hit = [boxes[n][1].plain_text() for n in tree.query(line, predicate="intersects")]
            assert not hit, (hit, entity.dxf.layer, line.coords[0])


@every_case
def test_symbols_and_closets_stand_clear_of_each_other_and_of_foreign_texts(case: str) -> None:
    riser = _planned(case)[2]
    for n in range(len(riser.sheet_ids)):
        canvas = draw_riser_sheet(riser, n)
        assert list(canvas.placed.clashes()) == []
        assert list(canvas.placed_on_paper.clashes()) == []
    rects = [closet.rect for closet in riser.pages.layout.closets]
    assert not any(a.overlaps(b) for a, b in combinations(rects, 2))


@every_case
def test_nothing_leaves_the_frame(case: str) -> None:
    frame = _planned(case)[2].pages.frame.frame
    room = box(*frame.inset(-1e-6))
    for doc in _docs(case):
        for rect, entity, _ in _boxes(doc):
            if entity.dxf.layer != layers.TITLE_BLOCK:  # names of the zones stand outside by intent
                assert room.contains(box(*rect)), entity.plain_text()
        for entity in doc.modelspace():
            if entity.dxftype() == "LINE":
                assert room.contains(LineString([entity.dxf.start.vec2, entity.dxf.end.vec2])), entity.dxf.layer


@every_case
def test_no_text_is_below_the_least_height(case: str) -> None:
    for doc in _docs(case):
        for _, entity, _ in _boxes(doc):
            assert entity.dxf.height >= LEAST_HEIGHT_MM - 1e-9, entity.plain_text()
        for entity in _entities(doc):
            if entity.dxftype() == "MTEXT":
                assert entity.dxf.char_height >= LEAST_HEIGHT_MM - 1e-9


@every_case
def test_audit_finds_nothing_and_fixes_nothing(case: str) -> None:
    for doc in _docs(case):
        auditor = doc.audit()
        assert [e.message for e in auditor.errors] == []
        assert [e.message for e in auditor.fixes] == []


@swept("case", CASES, ("archive",), ("scattered 56",))
def test_same_design_same_bytes(case: str) -> None:
    """Planned and drawn anew, from a site read anew."""
    made = design(CASES[case]())
    again = plan_riser(Checked(made, check(made)))
    riser = _planned(case)[2]
    assert again.sheet_ids == riser.sheet_ids
    for n in range(len(riser.sheet_ids)):
        assert draw_riser_sheet(again, n).to_bytes() == draw_riser_sheet(riser, n).to_bytes()


@pytest.mark.parametrize("case", ["archive", "twelve closets on eight levels, few doors"])
@pytest.mark.parametrize("number", [0, -1])
def test_gdal_reads_the_same_entities(case: str, number: int, tmp_path: Path) -> None:
    """Entities by layer and texts, GDAL through pyogrio against what ezdxf reads."""
    riser = _planned(case)[2]
    path = tmp_path / "sheet.dxf"
    draw_riser_sheet(riser, range(len(riser.sheet_ids))[number]).save(path)
    pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": "FALSE", "DXF_ENCODING": "UTF-8"})
    try:
        meta, _, _, columns = pyogrio.raw.read(path, layer="entities")
    finally:
        pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": None, "DXF_ENCODING": None})
    column = dict(zip(meta["fields"], columns, strict=True))
    drawn = list(_entities(read_dxf(path)))
    assert Counter(column["Layer"]) == Counter(e.dxf.layer for e in drawn)
    texts = Counter(e.plain_text() for e in drawn if e.dxftype() == "TEXT")
    read_back = Counter(t for t, kind in zip(column["Text"], column["SubClasses"], strict=True) if "AcDbText" in kind)
    assert read_back == texts


def test_acceptance_is_printed_with_reason_name_and_date() -> None:
    found = _by_subject("archive")
    printed = " ".join(_words(found["switch:SW-2"]))
    for words in ("A1", "A second supply unit is on order", "M. Osei,", "2026-04-30"):
        assert words in printed


def test_open_findings_are_flagged_and_accepted_ones_are_not() -> None:
    """102 has a stated length of 96 m and fails channel-length: E. The accepted budget of SW-2 shows as A1 beside W."""
    made, findings, _ = _planned("archive")
    found = _by_subject("archive")
    worst: dict[str, set[str]] = {}
    for f in findings:
        if f.is_open and f.subject_kind in ("opening", "cable") and f.severity != "note":
            worst.setdefault(f.subject, set()).add("E" if f.severity == "error" else "W")
    assert "E" in worst["102"]
    for door in made.doors:
        words = [w for w in _words(found[f"opening:{door.mark}"]) if w in ("E", "W")]
        assert words == sorted(worst.get(door.mark, set()))[:1], door.mark


def test_standing_cautions_and_legend_stand_on_every_part_of_the_diagram() -> None:
    for doc in _docs("twelve closets on eight levels, few doors"):
        words = " ".join(" ".join(_texts(e)).replace("\n", " ") for e in _entities(doc))
        for start in ("Design check only.", "The locally adopted code", "Life-safety functions - free egress"):
            assert start in words
        assert "Legend" in words


def test_legend_names_what_is_drawn_and_nothing_else() -> None:
    found = _by_subject("two")["sheet:legend"]
    names = [e.dxf.name for e in found if e.dxftype() == "INSERT"]
    assert names == ["closet", "switch", "opening_single"]
    archive = [e.dxf.name for e in _by_subject("archive")["sheet:legend"] if e.dxftype() == "INSERT"]
    assert archive == ["closet", "switch", "opening_single", "opening_double", "opening_gate", "supply"]


def test_a_sheet_says_hold_where_a_door_on_it_is_on_hold_and_there_names_no_approver() -> None:
    """The legend of a diagram on several sheets explains HOLD on those alone that show it."""
    made = _planned("twelve closets on eight levels, few doors")[0]
    site = made.site.model_copy(update={"info": made.site.info.model_copy(update={"approved_by": "M. Osei"})})
    made = replace(made, site=site)
    error = Finding(
        "release-by-hand", Verdict.FAIL, Severity.ERROR, made.doors[0].mark, "opening", "The rule is not kept.",
        "common practice, no source", harm=Harm.LIFE_SAFETY,
    )  # fmt: skip
    riser = plan_riser(Checked(made, [error]))
    seen = []
    for n in range(len(riser.sheet_ids)):
        words = _words(list(_entities(draw_riser_sheet(riser, n).doc)))
        held = [text for text in words if "HOLD" in text]
        assert ("M. Osei" in words) == (not held)
        seen.append(len(held))
    assert sorted(seen)[-2:] == [0, 3], "the door, the legend and the title block of one sheet"


def test_closets_one_above_the_other_share_a_column_and_their_backbone_is_straight() -> None:
    riser = _planned("archive")[2]
    closets = {c.box.id: c for c in riser.pages.layout.closets}
    assert closets["TR-1"].rect.x0 == closets["TR-2"].rect.x0 == closets["TR-3"].rect.x0
    assert closets["TR-1E"].rect.x0 > closets["TR-1"].rect.x1
    assert not _crossed(riser)


def _crossed(riser: Riser) -> set[tuple[float, float]]:
    """Where lines of a riser cross, from the lines alone."""
    segments = [LineString(pair) for wire in riser.pages.layout.wires for pair in pairwise(wire.points)]
    points = [a.intersection(b) for a, b in combinations(segments, 2) if a.crosses(b)]
    return {(round(p.x, 3), round(p.y, 3)) for p in points}


@every_case
def test_no_two_cables_are_drawn_on_one_line(case: str) -> None:
    """A closet that serves no door of its own level beside one that does: the doors would seem to be on either."""
    lines: dict[tuple[bool, float], list[tuple[float, float, str]]] = {}
    for wire in _planned(case)[2].pages.layout.wires:
        for (x0, y0), (x1, y1) in pairwise(wire.points):
            ends, at = ((y0, y1), x0) if x0 == x1 else ((x0, x1), y0)
            lines.setdefault((x0 == x1, round(at, 3)), []).append((min(ends), max(ends), wire.net))
    for along in lines.values():
        for (low, high, net), (start, end, other) in combinations(along, 2):
            assert net == other or min(high, end) - max(low, start) < 1e-6, (net, other)


def test_buildings_stand_side_by_side_where_the_sheet_has_room() -> None:
    """Each with its own level lines and openings; floors of like height beside each other, the basement below them."""
    riser = _planned("three buildings")[2]
    layout = riser.pages.layout
    at = {band.band.id: band for band in layout.bands}
    assert len(riser.sheet_ids) == 1
    assert at["N0"].x1 < at["S0"].x0 < at["S0"].x1 < at["G0"].x0
    assert at["N0"].y0 == at["S0"].y0 == at["G0"].y0 > at["S-"].y0
    assert at["N1"].y0 == at["S1"].y0
    for row in layout.rows:
        band = at[row.level]
        assert band.x0 < row.x <= row.items[0].x < row.items[-1].x + 1 < band.x1, row.level
    for closet in layout.closets:
        assert at[closet.box.level].x0 < closet.rect.x0 < closet.rect.x1 < at[closet.box.level].x1
    # a door of one building on a closet of another: its line leaves that closet's top and reaches the door's row
    lines = {wire.points[0]: wire.points[-1] for wire in layout.wires if wire.net == "trunk:C3/0"}
    boxes = {closet.box.id: closet.rect for closet in layout.closets}
    row = next(row for row in layout.rows if (row.closet, row.level) == ("C3", "N1"))
    start, end = next((a, b) for a, b in lines.items() if a[1] == boxes["C3"].y1)
    assert boxes["C3"].x0 < start[0] < boxes["C3"].x1
    assert lines[end] == (row.x, row.y)
    assert (row.x, row.y) in lines


def test_every_crossing_of_cables_between_buildings_is_bridged() -> None:
    """Arcs drawn, against crossings counted from the lines alone."""
    crossed = _crossed(_planned("three buildings")[2])
    arcs = [e for doc in _docs("three buildings") for e in doc.modelspace() if e.dxftype() == "ARC"]
    bridges = [e for e in arcs if e.dxf.layer in (layers.CABLE, layers.BACKBONE)]
    assert crossed
    assert len(bridges) == len(crossed)


def test_sheets_that_go_on_name_each_other() -> None:
    """Each match line names the other sheet, and both name the same cables."""
    riser, docs = (
        _planned("twelve closets on eight levels, few doors")[2],
        _docs("twelve closets on eight levels, few doors"),
    )
    assert len(docs) > 1
    lines: dict[tuple[str, str], str] = {}
    for sheet, doc in zip(riser.sheet_ids, docs, strict=True):
        for entity in doc.modelspace():
            text = " ".join(_texts(entity))
            if text.startswith("MATCH LINE"):
                head, _, names = text.partition(": ")
                lines[sheet, head.removeprefix("MATCH LINE, continued on sheet ")] = names
    assert lines
    for (sheet, other), names in lines.items():
        assert lines[other, sheet] == names


@swept("case", ["eighty on one closet", "two hundred on one closet"], ["eighty on one closet"])
def test_openings_are_drawn_one_by_one_while_there_is_room(case: str) -> None:
    made, _, riser = _planned(case)
    assert len(riser.sheet_ids) == 1
    drawn = [i.item for row in riser.pages.layout.rows for i in row.items]
    assert sorted(drop.mark for drop in drawn if isinstance(drop, Drop)) == sorted(door.mark for door in made.doors)


@swept("case", ["eighty on a small sheet", "three levels on a small sheet"], ["eighty on a small sheet"])
def test_bundles_count_their_openings(case: str) -> None:
    made, _, riser = _planned(case)
    bundles = [i.item for row in riser.pages.layout.rows for i in row.items if isinstance(i.item, OpeningGroup)]
    assert bundles
    for bundle in bundles:
        ways = {made.door[d.mark].cable.route.segments[-1] for d in bundle.members if bundle.way.startswith("via")}  # type: ignore[union-attr]
        assert ways <= {bundle.way.removeprefix("via ")}
    found = _by_subject(case)
    assert all(f"{len(b.members)} openings" in _words(found[f"bundle:{b.name}"]) for b in bundles)
