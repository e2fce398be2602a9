"""The cover lists every sheet of the set, prints cautions, codes and acceptances, and goes on where it must."""

from __future__ import annotations

import re
import runpy
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from shapely import STRtree, box

from riserkit.checked import Checked
from riserkit.design import Design, design
from riserkit.drawings.cover.sheets import CoverContents, draw_cover_sheet, plan_cover
from riserkit.drawings.cover.tables import key_data
from riserkit.drawings.cover.values import IndexEntry, index_rows
from riserkit.drawings.door.tables import port_label
from riserkit.drawings.dxf.file_tags import drawing_of
from riserkit.drawings.dxf.lettering import entity_box
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.findings import Finding
from riserkit.rules._shared.evaluate import check
from riserkit.standards.colours import COLOUR_NAMES
from riserkit.standards.egress import STANDING_CAUTIONS
from tests.sweep import swept

SITES: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "riser_sites.py"))


@cache
def _set(levels: int) -> tuple[Design, tuple[Finding, ...], tuple[SheetJob, ...]]:
    made = design(SITES["archive"]() if levels == 0 else SITES["generated"](levels, 2, 90))
    findings = check(made)
    return made, findings, plan_set(Checked(made, findings), SetOptions())


@cache
def _docs(levels: int) -> tuple[Any, ...]:
    jobs = [job for job in _set(levels)[2] if job.kind == "cover"]
    return tuple(drawing_of(job.draw().to_bytes().decode()) for job in jobs)


def _entities(doc: Any) -> list[Any]:
    paper = doc.layouts.get(doc.layouts.names_in_taborder()[1])
    return [e for space in (doc.modelspace(), paper) for e in space if e.dxftype() in ("TEXT", "MTEXT")]


def _words(levels: int) -> list[str]:
    return [e.plain_text().replace("\n", " ") for doc in _docs(levels) for e in _entities(doc)]


@pytest.mark.slow
def test_sheets_stand_in_the_order_of_their_numbers() -> None:
    jobs = _set(0)[2]
    kinds = [job.kind for job in jobs]
    assert list(dict.fromkeys(kinds)) == ["cover", "plan", "door", "typical", "riser"]
    assert [job.sheet_id[:3] for job in jobs] == sorted(job.sheet_id[:3] for job in jobs)


def test_every_sheet_stands_in_the_index_once() -> None:
    words, jobs = _words(0), _set(0)[2]
    for job in jobs:
        assert words.count(job.sheet_id) == 1, job.sheet_id


@pytest.mark.slow
def test_many_door_details_are_listed_by_level_with_their_count() -> None:
    doors = [job for job in _set(3)[2] if job.kind == "door"]
    told = re.findall(r"Door details, [^,]+, (\d+) sheets", " ".join(_words(3)))
    assert sum(map(int, told)) == len(doors) == 90


def test_groups_of_the_index_go_from_first_to_last() -> None:
    entries = [IndexEntry(f"T-501-{n}", f"Door {n}", "Door details, Level 1") for n in range(61)]
    assert index_rows(entries)[0][0] == "T-501-0 … T-501-60"
    assert len(index_rows(entries[:60])) == 60


def test_cautions_codes_and_acceptances_are_printed() -> None:
    words = " ".join(_words(0))
    for caution in STANDING_CAUTIONS:
        assert caution in words
    for printed in ("IBC 2021", "A second supply unit is on order", "M. Osei,", "2026-04-30"):
        assert printed in words


def test_open_findings_are_counted_by_severity() -> None:
    findings, words = _set(0)[1], _words(0)
    for severity in ("error", "warning", "note"):
        number = sum(f.is_open and f.severity == severity for f in findings)
        assert words[words.index(f"Open, {severity}") + 1] == str(number)


def test_openings_beyond_the_ports_of_their_closet_are_counted_without_a_port() -> None:
    """They have a cable and a closet, so that all but the port seems settled."""
    site = SITES["archive"]()
    few = {switch.id: {"ports": 1, "uplink_ports": 0, "port_classes": ""} for switch in site.switches}
    placed = [{"switch": "", "port": None, "closet": ""}] * len(site.openings)
    changed = site.with_changes(switches=few, openings=dict(zip((o.mark for o in site.openings), placed, strict=True)))
    made = design(changed)
    without = sum(port_label(made, door) == "no free port" for door in made.doors)
    assert 0 < without < len(made.doors)
    assert dict(key_data(made).rows)["Openings without a port"] == str(without)


@swept("levels", [0, 3], [0], slow=[3])
def test_no_text_stands_on_another_and_audit_is_clean(levels: int) -> None:
    for doc in _docs(levels):
        boxes = [entity_box(e) for e in _entities(doc) if e.dxftype() == "TEXT"]
        tree = STRtree([box(*rect.inset(0.02)) for rect in boxes])
        pairs = zip(*tree.query(tree.geometries, predicate="intersects"), strict=True)
        assert [(a, b) for a, b in pairs if a < b] == []
        auditor = doc.audit()
        assert not auditor.errors
        assert not auditor.fixes


def test_nothing_covers_anything_else_and_the_same_bytes_come_twice() -> None:
    for job in _set(0)[2]:
        if job.kind == "cover":
            canvas = job.draw()
            assert list(canvas.placed.clashes()) == []
            assert job.draw().to_bytes() == canvas.to_bytes()


def _of_kind(kind: str, site: Any) -> set[str]:
    return {ref for ref, part in site.part.items() if part.kind == kind}


def test_symbols_and_colours_of_door_details_are_told_and_none_that_are_not_used() -> None:
    """What the crew finds on the doors' sheets, by the netlists' parts, elements and conductors."""
    made, words = _set(0)[0], _words(0)
    netlists = [door.wiring.netlist for door in made.doors if door.wiring.netlist]
    parts = {c.part for n in netlists for c in n.components}
    for kind, meaning in (
        ("controller", "controller"), ("strike", "electric strike"), ("electromagnetic-lock", "electromagnetic lock"),
        ("door-contact", "door position switch"), ("rex-sensor", "request-to-exit sensor"),
        ("electrified-exit-device", "exit device"),
    ):  # fmt: skip
        assert (f"Elevations: {meaning}" in words) == bool(_of_kind(kind, made.site) & parts), kind
    kinds = {str(e.kind) for n in netlists for c in n.components for e in c.elements}
    assert ("Wiring: diode, cathode at the bar" in words) == ("diode" in kinds)
    assert ("Wiring: suppressor (voltage dependent resistor)" in words) == ("suppressor" in kinds)
    used = {c.colour for n in netlists for c in n.conductors} | {s.colour for n in netlists for s in n.spares}
    for code, name in COLOUR_NAMES.items():
        assert (f"{name} (IEC 60757)" in words) == (code in used), code


def test_a_set_without_door_details_tells_of_no_symbols_of_theirs() -> None:
    made, findings, _ = _set(0)
    job = plan_set(Checked(made, findings), SetOptions(doors=False))[0]
    words = [e.plain_text() for e in _entities(job.draw().doc)]
    assert "Riser diagram" in words
    assert not [word for word in words if word.startswith(("Elevations:", "Wiring:")) or "IEC 60757" in word]


def test_levels_are_named_by_the_letters_of_the_schedules() -> None:
    made, words = _set(0)[0], _words(0)
    for level in made.site.levels:
        at = words.index(level.id)
        assert words[at + 1] == (level.name or level.id)


def test_sheets_of_one_schedule_are_listed_together_where_there_are_many() -> None:
    """Counted apart from door details, which stay one by one while they are few."""
    doors = [IndexEntry(f"T-501-{n}", f"Door {n}", "Door details, Level 1") for n in range(3)]
    sheets = [IndexEntry(f"T-{651 + n}", "Conductors", "Conductors", kind="schedule") for n in range(60)]
    assert len(index_rows([*doors, *sheets])) == 63
    more = IndexEntry("T-711", "Conductors", "Conductors", kind="schedule")
    assert index_rows([*doors, *sheets, more])[3:] == (("T-651 … T-711", "Conductors, 61 sheets"),)


@swept("sheets", [400, 1500], push=[400])
@pytest.mark.slow
def test_an_index_of_any_length_is_drawn_to_its_end(sheets: int) -> None:
    """Thousands of sheets of a large campus take dozens of sheets of index, which are on it themselves; here on small paper."""
    made, findings, _ = _set(0)
    info = made.site.info.model_copy(update={"sheet_size": "A3", "riser_sheet": "", "detail_sheet": ""})
    small = replace(made, site=made.site.model_copy(update={"info": info}))
    entries = tuple(IndexEntry(f"T-1{n}", f"Plan of level {n}") for n in range(sheets))
    cover = plan_cover(Checked(small, findings), CoverContents(entries))
    assert len(cover.sheet_ids) > sheets / 75
    drawn = [draw_cover_sheet(cover, n).doc for n in range(len(cover.sheet_ids))]
    words = {e.plain_text() for doc in drawn for e in _entities(doc)}
    assert {*cover.sheet_ids, *(entry.sheet_id for entry in entries)} <= words
