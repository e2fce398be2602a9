"""A plan must show every opening, closet, pathway and cable of its level at its true place, legibly, inside its view.

All is read back from the DXF files at the scale of their viewport, so that what is checked is what a reader opens.
"""

from __future__ import annotations

import math
import runpy
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from shapely import LineString, Polygon, STRtree, box, unary_union

from riserkit.design import Design, design
from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.lettering import entity_box
from riserkit.drawings.dxf.marks import read_mark
from riserkit.drawings.dxf.text import LEAST_HEIGHT_MM, shown_text
from riserkit.drawings.plan.bundles import stretches
from riserkit.drawings.plan.scale import asked_scale
from riserkit.drawings.plan.sheets import FloorPlans, draw_plan_sheet
from riserkit.drawings.plan.values import Strand
from riserkit.drawings.setting.scale import DrawingScale
from riserkit.plugin.read import read_site
from tests.floor_plans import floor_plans
from tests.sweep import swept

SITES: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "riser_sites.py"))
SAMPLES = Path(__file__).parents[3] / "sample_drawings"
generated = SITES["generated"]
CASES: dict[str, Callable[[], Any]] = {
    "first look": lambda: read_site(SAMPLES / "first-look" / "site"),
    "seed archive": lambda: read_site(SAMPLES / "seed-archive" / "site"),
    "archive": SITES["archive"],
    "four hundred on one level": lambda: generated(1, 1, 400),
    "four hundred on pathways": lambda: generated(1, 1, 400, pathways=True),
    "thirty levels": lambda: generated(30, 12, 120, pathways=True),
    "long marks": lambda: generated(3, 2, 60, mark="{level}-LONG MARK {n:03d} NORTH"),
    "one hundred on pathways": lambda: generated(1, 1, 100, pathways=True),
    "four levels": lambda: generated(4, 3, 24, pathways=True),
}
PUSH = ("first look", "archive", "one hundred on pathways")
every_case = swept("case", CASES, PUSH, slow=("long marks", "four levels"))
LINES = (layers.CABLE, layers.BACKBONE, layers.PATHWAY, layers.DOOR, layers.WALL, layers.FLOOR, layers.DIAGRAM_LIGHT)


@cache
def _planned(case: str) -> tuple[Design, FloorPlans]:
    made = design(CASES[case]())
    return made, floor_plans(made)


@cache
def _docs(case: str) -> tuple[Any, ...]:
    plans = _planned(case)[1]
    return tuple(draw_plan_sheet(plans, n).doc for n in range(len(plans.sheet_ids)))


def _paper(doc: Any) -> Any:
    return doc.layouts.get(doc.layouts.names_in_taborder()[1])


def _view(doc: Any) -> Any:
    return next(v for v in _paper(doc).viewports() if v.dxf.id != 1)


def _texts(doc: Any) -> list[tuple[Rect, str, str]]:
    """Model's texts: box, words, what they stand for."""
    found = []
    for entity in doc.modelspace():
        if entity.dxftype() == "TEXT":
            mark = read_mark(entity)
            assert mark is not None
            found.append((entity_box(entity), entity.plain_text(), mark.model_id))
    return found


def _strokes(doc: Any) -> Iterator[tuple[Any, str]]:
    """Lines as they are seen: a mask hides those that were drawn before it."""
    entities = list(doc.modelspace())
    masks = [(n, _mask(e)) for n, e in enumerate(entities) if e.dxftype() == "WIPEOUT"]
    for n, entity in enumerate(entities):
        for line, layer in _lines_of(entity):
            over = [shape for m, shape in masks if m > n and shape.intersects(line)]
            seen = line.difference(unary_union(over)) if over else line
            if not seen.is_empty:
                yield seen, layer


def _mask(entity: Any) -> Any:
    return Polygon([(p.x, p.y) for p in entity.boundary_path_wcs()])


def _lines_of(entity: Any) -> Iterator[tuple[Any, str]]:
    if entity.dxftype() == "LINE":
        yield LineString([entity.dxf.start.vec2, entity.dxf.end.vec2]), entity.dxf.layer
    if entity.dxftype() == "LWPOLYLINE":
        points = [(x, y) for x, y in entity.get_points("xy")]
        yield LineString([*points, points[0]] if entity.closed else points), entity.dxf.layer


@every_case
def test_every_opening_stands_at_its_coordinates_with_mark_and_cable(case: str) -> None:
    made, _ = _planned(case)
    circles: dict[str, list[tuple[float, float]]] = {}
    words: dict[str, list[str]] = {}
    for doc in _docs(case):
        for entity in doc.modelspace():
            mark = read_mark(entity)
            assert mark is not None
            if entity.dxftype() == "CIRCLE":
                circles.setdefault(mark.model_id, []).append((entity.dxf.center.x / 1000, entity.dxf.center.y / 1000))
        for _, text, _ in _texts(doc):
            for word in (text, *text.split()):
                words.setdefault(word, []).append(text)
    every = " ".join(text for found in words.values() for text in found)
    for door in made.doors:
        if door.opening.type != "gate":
            for x, y in circles[f"opening:{door.mark}"]:
                assert math.dist((x, y), (door.opening.x_m, door.opening.y_m)) < 0.001
        assert shown_text(made.labels.opening[door.mark]) in every
        assert door.cable is not None
        assert door.cable.label in every


@every_case
def test_no_text_stands_on_another_nor_on_a_foreign_line(case: str) -> None:
    for doc in _docs(case):
        texts = _texts(doc)
        scale = 1 / _view(doc).get_scale()
        tree = STRtree([box(*rect.inset(0.02 * scale)) for rect, _, _ in texts])
        pairs = zip(*tree.query(tree.geometries, predicate="intersects"), strict=True)
        assert [(texts[a][1], texts[b][1]) for a, b in pairs if a < b] == []
        for line, layer in _strokes(doc):
            hit = [texts[n][1] for n in tree.query(line, predicate="intersects")] if layer in LINES else []
            assert not hit, (hit, layer)


@every_case
def test_no_text_stands_on_a_symbol_nor_does_a_leader_run_through_a_text(case: str) -> None:
    for doc in _docs(case):
        texts = _texts(doc)
        tree = STRtree([box(*rect) for rect, _, _ in texts])
        for entity in doc.modelspace():
            if entity.dxftype() == "CIRCLE":
                x, y, r = entity.dxf.center.x, entity.dxf.center.y, entity.dxf.radius
                assert not len(tree.query(box(x - r, y - r, x + r, y + r), predicate="intersects"))
        for line, layer in _strokes(doc):
            if layer == layers.SYMBOL:
                assert not len(tree.query(line, predicate="intersects"))


@every_case
def test_all_lies_in_the_view_and_is_no_smaller_than_may_be(case: str) -> None:
    for doc in _docs(case):
        view = _view(doc)
        scale = 1 / view.get_scale()
        center, half = view.dxf.view_center_point, (view.dxf.width * scale / 2, view.dxf.height * scale / 2)
        room = box(center.x - half[0] - 1, center.y - half[1] - 1, center.x + half[0] + 1, center.y + half[1] + 1)
        for entity in doc.modelspace():
            if entity.dxftype() == "TEXT":
                assert room.contains(box(*entity_box(entity))), entity.plain_text()
                assert entity.dxf.height / scale >= LEAST_HEIGHT_MM - 1e-6
        assert not doc.audit().errors
        assert not doc.audit().fixes


@every_case
def test_no_label_of_ours_is_left_out_and_paper_texts_keep_apart(case: str) -> None:
    plans = _planned(case)[1]
    assert plans.pages is not None
    assert [tag for page in plans.pages.pages for tag in page.view.rest] == []
    for n in range(len(plans.sheet_ids)):
        canvas = draw_plan_sheet(plans, n)
        assert list(canvas.placed_on_paper.clashes()) == []


@every_case
def test_the_title_block_tells_the_scale_of_the_view(case: str) -> None:
    plans = _planned(case)[1]
    assert plans.pages is not None
    for doc in _docs(case):
        title = next(e for e in _paper(doc) if e.dxftype() == "INSERT" and e.dxf.name == "title_block")
        told = next(a.dxf.text for a in title.attribs if a.dxf.tag == "SCALE")
        assert told == plans.pages.scale.text
        assert 1 / _view(doc).get_scale() == pytest.approx(plans.pages.scale.ratio)


@swept("case", ["archive", "seed archive"], ["archive"])
def test_same_site_same_bytes(case: str) -> None:
    again = floor_plans(design(CASES[case]()))
    plans = _planned(case)[1]
    assert again.sheet_ids == plans.sheet_ids
    for n in range(len(plans.sheet_ids)):
        assert draw_plan_sheet(again, n).to_bytes() == draw_plan_sheet(plans, n).to_bytes()


def test_sheets_of_one_level_name_each_other_at_their_match_lines() -> None:
    plans, docs = _planned("one hundred on pathways")[1], _docs("one hundred on pathways")
    assert len(docs) > 1
    named = {}
    for sheet, doc in zip(plans.sheet_ids, docs, strict=True):
        told = [e.plain_text() for e in _paper(doc) if e.dxftype() == "TEXT"]
        named[sheet] = {t.rsplit(" ", 1)[1] for t in told if t.startswith("MATCH LINE")}
        assert "Key plan" in told
    assert all(sheet in named[other] for sheet, others in named.items() for other in others)
    assert all(named.values())


@pytest.mark.slow
def test_cables_in_a_pathway_are_counted_as_the_routes_have_it() -> None:
    made, _ = _planned("seed archive")
    data: dict[str, int] = {}
    for door in made.doors:
        assert door.cable is not None and door.cable.route is not None
        for segment in set(door.cable.route.segments):
            data[segment] = data.get(segment, 0) + 1
    every: dict[str, int] = {}
    for cable in made.pathway_cables:  # lock power from closets runs there too
        assert cable.route is not None
        for segment in set(cable.route.segments):
            every[segment] = every.get(segment, 0) + 1
    words = {text for doc in _docs("seed archive") for _, text, _ in _texts(doc)}
    assert every["S1AB"] > data["S1AB"]
    assert f"S1AB: {data['S1AB']} + {every['S1AB'] - data['S1AB']} lock power" in words
    assert every["S1FG"] == data["S1FG"]
    assert f"S1FG, trade size 3/4: {data['S1FG']}, from the ceiling to 0.3 m" in words


def test_pieces_of_ways_that_lie_on_one_another_are_drawn_once() -> None:
    """Three cables over one line by hand: 0 to 4 one, 4 to 6 three, 6 to 10 two; whatever their direction."""
    strands = [Strand("a", (0, 0), (10, 0)), Strand("b", (10, 0), (4, 0)), Strand("c", (4, 0), (6, 0))]
    found = [(s.start_m[0], s.end_m[0], s.cables, s.subject) for s in stretches(strands)]
    assert found == [(0, 4, 1, "a"), (4, 6, 3, ""), (6, 10, 2, "")]
    assert sum(s.cables * math.dist(s.start_m, s.end_m) for s in stretches(strands)) == 18


def test_a_scale_asked_for_is_kept_and_written_in_inches_to_the_foot() -> None:
    """An eighth of an inch to the foot is 1:96, for a foot has twelve inches: 12 / (1/8)."""
    assert asked_scale(96, "imperial") == DrawingScale(96, '1/8" = 1\'-0"')
    site = CASES["archive"]()
    site = site.model_copy(update={"info": site.info.model_copy(update={"plan_scale": 300})})
    plans = floor_plans(design(site))
    assert plans.pages is not None
    assert plans.pages.scale == DrawingScale(300, "1:300")


@pytest.mark.slow
def test_labels_without_room_are_named_in_the_notes_and_never_dropped_in_silence() -> None:
    """Hundreds of openings at one point asked for at a scale that cannot hold them."""
    site = _in_rows(generated(1, 1, 150), 15, 1.0)
    site = site.model_copy(update={"info": site.info.model_copy(update={"plan_scale": 500, "riser_sheet": "A3"})})
    plans = floor_plans(design(site))
    assert plans.pages is not None
    placed = sum(len(tag.tag.lines) for page in plans.pages.pages for tag in page.view.tags)
    rest = [tag for page in plans.pages.pages for tag in page.view.rest]
    assert placed and rest
    told = [
        e.plain_text().replace("\n", " ")
        for n in range(len(plans.sheet_ids))
        for e in _paper(draw_plan_sheet(plans, n).doc)
        if e.dxftype() == "MTEXT"
    ]
    assert any(rest[0].lines[0][0] in text and f"and {len(rest) - 12} more" in text for text in told)


def _in_rows(site: Any, count: int, apart_m: float) -> Any:
    """The site with its openings in rows of so many."""
    moved = tuple(
        o.model_copy(update={"x_m": n % count * apart_m, "y_m": n // count * apart_m})
        for n, o in enumerate(site.openings)
    )
    return site.model_copy(update={"openings": moved})


def _close_together() -> Any:
    """Twelve openings 0.8 m apart in each of four rows."""
    return _in_rows(generated(1, 1, 48, mark="{level}-STORE ROOM {n:03d} NORTH E"), 12, 0.8)


def _forty_in_a_row() -> Any:
    """Forty openings 0.8 m apart in each of ten rows."""
    return runpy.run_path(str(Path(__file__).parents[1] / "generated_sites.py"))["generated_site"](2)


@swept("case", {"close together": _close_together, "forty in a row": _forty_in_a_row}, push=("close together",))
@pytest.mark.slow
def test_a_level_whose_marks_have_no_room_is_drawn_larger_on_more_sheets(case: str) -> None:
    """Marks of 24 letters: at 1:50 some would have no room."""
    site = {"close together": _close_together, "forty in a row": _forty_in_a_row}[case]()
    plans = floor_plans(design(site))
    assert plans.pages is not None
    assert plans.pages.scale.ratio < 50
    assert [tag for page in plans.pages.pages for tag in page.view.rest] == []
    marks = {tag.tag.subject for page in plans.pages.pages for tag in page.view.tags}
    assert {f"opening:{opening.mark}" for opening in site.openings} <= marks
