"""A detail larger than the largest sheet goes on several, whole and legible; nothing is shrunk, nothing left out."""

from __future__ import annotations

import runpy
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from ezdxf.entities.mtext import MText

from riserkit.checked import Checked
from riserkit.circuits.netlist import Netlist
from riserkit.design import Design, DoorDesign, design
from riserkit.drawings.door.detail import door_contents, door_frames, draw_door_detail
from riserkit.drawings.door.pages import MOST_CONDUCTORS, MOST_DEVICES, MOST_LETTERS, compose_pages, surely_fits
from riserkit.drawings.door.readings import DoorTest
from riserkit.drawings.door.sheets import plan_door_sheets
from riserkit.drawings.door.wiring_parts import part, wiring_parts
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.setting.frames import Sheet
from riserkit.drawings.typical.sheets import plan_typicals
from riserkit.drawings.wiring.problem import find_across
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.results.inspect import inspect_drawings
from riserkit.wiring.readings.expected import Reading

DOORS: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "door_circuits.py"))
BASE = {
    "level": "L1", "lock": "strike-12-secure", "controller": "controller-c3", "contact": "contact-reed",
    "fail_mode": "fail-secure", "egress": "mechanical", "free_egress_hardware": True, "x_m": 6.0, "y_m": 4.0,
}  # fmt: skip


def archive(*marks: str, **info: Any) -> Design:
    tables = {
        "levels": [{"id": "L1", "name": "Ground floor", "elevation_m": 0.0, "ceiling_m": 2.9}],
        "closets": [{"id": "TR1", "level": "L1", "x_m": 2.0, "y_m": 2.0}],
        "switches": [{"id": "SW1", "closet": "TR1", "ports": 24, "poe_class": 4, "poe_budget_w": 370, "on_ups": True}],
        "openings": [{**BASE, "mark": mark, "name": "Store"} for mark in marks],
    }
    raw = {name: [RawRecord(row, Where(name, n)) for n, row in enumerate(rows, 1)] for name, rows in tables.items()}
    base = {"name": "Harbour Archive", "owner": "Harbour Archive Trust", "issue_date": "2026-05-04", **info}
    return design(assemble_site(RawSite(RawRecord(base, Where("info", 1)), raw)))


def crowd(devices: int) -> Netlist:
    """A controller with as many contacts of four wires each."""
    c = DOORS["Circuit"]()
    DOORS["port"](c)
    c.data("N1.J > K1.J")
    names = [f"I{n}" for n in range(4 * devices)]
    DOORS["controller"](c, extra=" " + " ".join(names))
    for n in range(devices):
        c.device(f"B{n + 1}", "Door position switch with tamper contact", "1 2 3 4", place="door head, latch side")
        c.cable(4, "22 AWG", *(f"K1.I{4 * n + k} > B{n + 1}.{k + 1}" for k in range(4)))
    made: Netlist = c.netlist()
    return made


def with_wiring(door: DoorDesign, netlist: Netlist) -> DoorDesign:
    circuit = door.wiring.circuit
    assert circuit is not None
    return replace(door, wiring=replace(door.wiring, build=lambda: replace(circuit, netlist=netlist, locks=())))


def told(count: int, subject: str = "101") -> tuple[Finding, ...]:
    text = "The clerk of the north reading room has said that this must be looked at again before the wall is closed. "
    return tuple(
        Finding(f"rule-{n}", Verdict.FAIL, Severity.WARNING, subject, "opening", f"Number {n}. {text * 4}", "none",
                remedy=text * 2)
        for n in range(count)
    )  # fmt: skip


def texts(path: Path) -> Counter[str]:
    doc = read_dxf(path)
    assert not doc.audit().errors
    found: Counter[str] = Counter()
    for layout in doc.layouts:
        for e in layout:
            if e.dxftype() == "TEXT":
                found[e.dxf.text] += 1
            if isinstance(e, MText):
                found[" ".join(e.plain_text().split())] += 1
            found.update(a.dxf.text for a in getattr(e, "attribs", ()))
    return found


def drawn(sheets: tuple[Sheet, ...], folder: Path) -> list[Path]:
    paths = []
    for sheet in sheets:
        paths.append(folder / f"{sheet.sheet_id}.dxf")
        sheet.draw().save(paths[-1])
    return paths


def test_a_usual_door_has_one_sheet() -> None:
    found = archive("101")
    (sheet,) = plan_door_sheets(found, found.door["101"], ())
    assert (sheet.sheet_id, sheet.title) == ("T-501-101", "Door 101 Store")
    assert sheet.draw().to_bytes() == draw_door_detail(found, found.door["101"], ()).to_bytes()


@pytest.mark.slow
def test_what_is_called_surely_fitting_fits_one_sheet() -> None:
    """The largest detail that is not laid out before it is drawn."""
    found = archive("101", sheet_series="ANSI")
    devices = (MOST_CONDUCTORS - 1) // 4
    netlist, findings = crowd(devices), told(13)
    letters = sum(len(f.message + f.remedy) for f in findings)
    assert surely_fits(netlist, letters)
    assert letters > 0.9 * MOST_LETTERS
    assert len(netlist.components) > 0.75 * MOST_DEVICES
    door = with_wiring(found.door["101"], netlist)
    composed = compose_pages(door_frames(found.site, door), door_contents(found, door, findings), "-")
    assert len(composed) == 1


@pytest.mark.slow
def test_many_readings_go_on_a_sheet_of_their_own_with_all_that_a_sheet_says(tmp_path: Path) -> None:
    """Rather than on a sheet of the next size that stands half empty."""
    found = archive("101", "102", approved_by="M. Ferreira")
    test = DoorTest(
        tuple(
            Reading(f"input-{n}", "volts DC", f"B{n % 4}.1", "K1.R", "controller releases, lock energised; mains on", 3.3, 2.9, 3.7)
            for n in range(50)
        ),
        notes=("M1 drops out 16 ms after its power is broken.",),
    )  # fmt: skip
    door = with_wiring(found.door["101"], crowd(4))
    held = replace(told(1)[0], severity=Severity.ERROR, harm=Harm.LIFE_SAFETY)
    for findings in ((), (held,)):
        sheets = plan_door_sheets(found, door, findings, test=test)
        assert [s.sheet_id for s in sheets] == ["T-501-101", "T-501-101-2"]
        assert sheets[1].title == "Door 101 Store, expected readings"
        paths = drawn(sheets, tmp_path)
        assert not [v.message for i in inspect_drawings(paths) for v in i.violations]
        wiring, readings = map(texts, paths)
        assert "Expected readings: sheet T-501-101-2." in " ".join(wiring)
        assert not any(text.startswith("input-") for text in wiring)
        assert [readings[f"input-{n}"] for n in range(50)] == [1] * 50
        assert "Meter readings prove the wiring, not the door" in " ".join(readings)
        assert "M1 drops out 16 ms" in " ".join(readings)
        assert "1 of 2" in wiring and "2 of 2" in readings
        for words in (wiring, readings):
            assert "CAUTION" in words
            assert ("HOLD" in words) == bool(findings)
            assert ("M. Ferreira" in words) == (not findings)
            assert any(text.startswith("HOLD - DO NOT BUILD") for text in words) == bool(findings)
        whole = draw_door_detail(found, door, findings, test=test)
        assert sheets[0].draw().size.width_mm < whole.size.width_mm
    few = replace(test, readings=test.readings[:20])
    assert len(plan_door_sheets(found, door, (), test=few)) == 1
    assert len(plan_door_sheets(found, found.door["102"], (), test=test)) == 1, (
        "of little wiring: one sheet holds it all"
    )
    taken = archive("101", "101-2")
    ids = [s.sheet_id for s in plan_door_sheets(taken, with_wiring(taken.door["101"], crowd(4)), (), test=test)]
    assert ids == ["T-501-101", "T-501-101--2"]


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> tuple[DoorDesign, tuple[Sheet, ...], list[Path]]:
    found = archive("101")
    door = with_wiring(found.door["101"], crowd(16))
    sheets = plan_door_sheets(found, door, told(60))
    return door, sheets, drawn(sheets, tmp_path_factory.mktemp("large"))


@pytest.mark.slow
def test_a_larger_detail_goes_on(large: tuple[DoorDesign, tuple[Sheet, ...], list[Path]]) -> None:
    _, sheets, _ = large
    assert len(sheets) > 1
    assert [s.sheet_id for s in sheets] == ["T-501-101", *(f"T-501-101-{n}" for n in range(2, len(sheets) + 1))]
    assert len({s.title for s in sheets}) == len(sheets)


def test_every_conductor_and_every_finding_is_on_some_sheet(large: Any) -> None:
    door, _, paths = large
    found = Counter[str]()
    for path in paths:
        found += texts(path)
    whole = " ".join(found)
    for conductor in door.wiring.netlist.conductors:
        assert f"{conductor.a.component} {conductor.a.terminal}" in found
        # once at each end in the diagram
        ends = [t for t in found if t.startswith(f"{conductor.ref} {conductor.colour}")]
        assert sum(found[t] for t in ends) == 2, conductor.ref
    for n in range(60):
        assert f"rule-{n}" in whole


@pytest.mark.slow
def test_each_of_them_is_legible_and_says_which_it_is(large: Any) -> None:
    _, sheets, paths = large
    assert not [v.message for i in inspect_drawings(paths) for v in i.violations]
    for n, path in enumerate(paths, 1):
        found = texts(path)
        assert f"{n} of {len(paths)}" in found
        assert sheets[n - 1].sheet_id in found
    assert "T-501-101-2" in " ".join(texts(paths[0]))
    assert "CAUTION" in texts(paths[0])


def test_no_two_openings_share_a_sheet() -> None:
    found = archive("101", "101-2")
    door = with_wiring(found.door["101"], crowd(16))
    ids = [s.sheet_id for s in plan_door_sheets(found, door, told(60))]
    assert "T-501-101-2" not in ids
    assert ids[1] == "T-501-101--2"


@pytest.mark.parametrize("kind", ["external", "magnet", "double"])
def test_parts_of_a_netlist_are_the_netlist(kind: str) -> None:
    netlist: Netlist = DOORS[kind]()
    parts = wiring_parts(netlist, lambda some: len(some.conductors) <= 4)
    assert len(parts) > 2
    assert Counter(c for p in parts for c in p.conductors) == Counter(netlist.conductors)
    assert {s for p in parts for s in p.spares} == set(netlist.spares)
    for p in parts:
        for c in p.conductors:
            for end in (c.a, c.b):
                assert p.component(end.component).terminal(end.terminal).name == end.terminal
        for component in p.components:
            names = {t.name for t in component.terminals}
            for e in component.elements:
                assert all(end in names or end.startswith("_") for end in (e.a, e.b))


def test_a_contact_keeps_both_of_its_terminals() -> None:
    """Only NO is landed here: C stays for the contact between them, the relay's other contact and coil do not."""
    netlist = DOORS["external"]()
    only = part(netlist, [c for c in netlist.conductors if "K2.NO" in (str(c.a), str(c.b))])
    assert [t.name for t in only.component("K2").terminals] == ["C", "NO"]
    assert [e.name for e in only.component("K2").elements] == ["no"]


def test_a_terminal_that_no_symbol_joins_is_left_to_its_own_part() -> None:
    """An auxiliary minus tied to the lock output's inside the controller, an input's pull-up: they look unused here."""
    found = archive("101")
    netlist = found.door["101"].wiring.netlist
    assert netlist is not None
    controller = netlist.component("K1")
    assert {t.name for t in controller.terminals} >= {"L+", "L-", "A-", "DOOR", "IC"}
    (cable,) = {c.cable for c in netlist.conductors if "K1.L+" in (str(c.a), str(c.b))}
    lock = part(netlist, [c for c in netlist.conductors if c.cable == cable])
    assert [t.name for t in lock.component("K1").terminals] == ["L+", "L-"]
    (cable,) = {c.cable for c in netlist.conductors if "K1.DOOR" in (str(c.a), str(c.b))}
    contact = part(netlist, [c for c in netlist.conductors if c.cable == cable])
    assert [t.name for t in contact.component("K1").terminals] == ["DOOR", "IC"]


@pytest.mark.slow
@pytest.mark.parametrize(("size", "series"), [("ISO A3", "ISO"), ("ANSI B", "ANSI")])
def test_a_detail_goes_on_where_a_small_size_is_asked_for(size: str, series: str, tmp_path: Path) -> None:
    """With a banner the sheet holds no part as high as a larger one does: readings, findings and notes are cut lower."""
    found = archive("101", sheet_series=series, sheet_size=size)
    door = with_wiring(found.door["101"], crowd(4))
    first, *rest = told(9)
    held = (replace(first, severity=Severity.ERROR, harm=Harm.LIFE_SAFETY), *rest)
    test = DoorTest(
        tuple(Reading(f"input-{n}", "volts DC", "B1.1", "K1.R", "controller releases, lock energised; mains on", 3.3, 2.9, 3.7)
              for n in range(50)),
        notes=tuple(f"note-{n}: " + "Of what is measured here nobody has said what it is to be. " * 3 for n in range(50)),
    )  # fmt: skip
    sheets = plan_door_sheets(found, door, held, test=test)
    paths = drawn(sheets, tmp_path)
    assert not [v.message for i in inspect_drawings(paths) for v in i.violations]
    said = Counter[str]()
    for path in paths:
        words = texts(path)
        assert any(text.startswith("HOLD - DO NOT BUILD") for text in words)
        said += words
    assert [said[f"input-{n}"] for n in range(50)] == [1] * 50
    whole = " ".join(said)
    assert all(f"note-{n}:" in whole for n in range(50)) and all(f"rule-{n}" in whole for n in range(9))


def test_tables_stand_beside_the_wiring_where_it_leaves_room(tmp_path: Path) -> None:
    """They went on to sheets that held one small table each."""
    found = archive("101", sheet_series="ARCH", sheet_size="ARCH B")
    door = found.door["101"]
    taken = tuple(
        Reading(f"input-{n}", "volts DC", "B1.1", "K1.R", "controller locks", 3.3, 2.9, 3.7) for n in range(20)
    )
    sheets = plan_door_sheets(found, door, told(5), test=DoorTest(taken))
    assert len(sheets) > 1
    first, *rest = map(texts, drawn(sheets, tmp_path))
    said = sum(rest, Counter[str]())
    assert first["Lock in each state"] and not said["Lock in each state"]
    assert not [v.message for i in inspect_drawings(sorted(tmp_path.iterdir())) for v in i.violations]


def test_wiring_that_cannot_be_cut_is_told() -> None:
    with pytest.raises(SheetError, match="larger than the largest sheet"):
        wiring_parts(crowd(1), lambda _: False)


@pytest.mark.slow
def test_a_typical_larger_than_a_sheet_goes_on_too(tmp_path: Path) -> None:
    found = archive("101", "102")
    netlist = crowd(16)
    doors = tuple(with_wiring(door, netlist) for door in found.doors)
    sheets = plan_typicals(Checked(replace(found, doors=doors)))
    ids = [s.sheet_id for s in sheets]
    assert ids == ["T-511", *(f"T-511-{n}" for n in range(2, len(sheets) + 1))]
    assert len(ids) > 1
    landed = set[str]()
    for sheet in sheets:
        sheet.draw().save(tmp_path / f"{sheet.sheet_id}.dxf")
        landed |= set(texts(tmp_path / f"{sheet.sheet_id}.dxf"))
    assert {"101", "102"} <= landed
    assert all(f"{c.a.component} {c.a.terminal}" in landed for c in netlist.conductors)
    assert not [v.message for i in inspect_drawings(sorted(tmp_path.glob("*.dxf"))) for v in i.violations]


def test_a_splitter_keeps_its_terminals_where_a_part_shows_its_tails_alone() -> None:
    """It was drawn as a battery between two leads, with neither P+ nor P-."""
    door = {"mark": "102", "lock": "magnet-12-300", "fail_mode": "fail-safe", "egress": "sensor-release",
            "release": "release-30", "rex": "rex-motion", "splitter": "splitter-12", "relay": "relay-auth",
            "arrangement": "splitter-magnet", "controller": "controller-c4"}  # fmt: skip
    site = archive("101", "102").site.with_changes(openings={"102": {k: v for k, v in door.items() if k != "mark"}})
    netlist = design(site).door["102"].wiring.netlist
    assert netlist is not None
    splitter = next(c.ref for c in netlist.components if c.part == "splitter-12")
    tails = [c for c in netlist.conductors if not c.cable and splitter in (c.a.component, c.b.component)]
    assert len(tails) == 2
    assert not find_across(part(netlist, tails))
    assert [a.component.role for a in find_across(netlist)] == ["suppressor"]
