"""Typicals: every opening on exactly one, none wired otherwise beside it, sheets legible and the same each time."""

from __future__ import annotations

import runpy
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, ClassVar

import pytest
from click.testing import CliRunner

from riserkit.checked import Checked
from riserkit.circuits.netlist import Netlist
from riserkit.commands.main import main
from riserkit.design import Design, DoorDesign, design
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.legibility.sheet import inspect_sheet
from riserkit.drawings.set.plan import SetOptions, own_sheets, plan_set
from riserkit.drawings.setting.frames import Sheet
from riserkit.drawings.typical.gather import structure, typicals, unsettled
from riserkit.drawings.typical.sheets import MOST_ROWS, plan_typicals
from riserkit.drawings.typical.tables import instance_table, open_letters, typical_notes
from riserkit.findings import Finding, Severity, Verdict
from riserkit.quantities.printed import format_length
from riserkit.rules._shared.evaluate import check
from riserkit.wiring.arrangement import Arrangement, Choice, CircuitBuild, DoorCircuit
from riserkit.wiring.need import DoorNeed
from tests.command import run

HERE = Path(__file__)
ARCHIVE: Any = runpy.run_path(str(Path(__file__).parents[1] / "door" / "test_door_detail.py"))["archive"]
SOME = 25
"""Openings of a campus: two of each of its dozen kinds, and one."""
CAMPUS: Any = runpy.run_path(str(HERE.parents[2] / "benchmarks" / "campus.py"))["campus"]


@cache
def _designed(openings: int) -> Design:
    return design(CAMPUS(openings))


@cache
def _campus(openings: int) -> tuple[Design, tuple[Finding, ...]]:
    made = _designed(openings)
    return made, check(made)


@cache
def _archive() -> tuple[Design, tuple[Finding, ...]]:
    made = design(ARCHIVE())
    return made, check(made)


class _Altered:
    """An arrangement like another, whose netlists come out changed."""

    name: ClassVar[str] = "altered"
    title: ClassVar[str] = "Altered"

    def __init__(self, like: Arrangement, change: Callable[[Netlist], Netlist]) -> None:
        self.rank = like.rank
        self.screen, self.supplies = like.screen, like.supplies
        self._like, self._change = like, change

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        circuit = self._like.build(need, choice)
        return replace(circuit, netlist=self._change(circuit.netlist))


def _rewired(door: DoorDesign, change: Callable[[Netlist], Netlist]) -> DoorDesign:
    """The same door with the same choice, whose circuit alone is another."""
    build: Any = door.wiring.build
    assert isinstance(build, CircuitBuild)
    altered: Any = _Altered(build.arrangement, change)
    return replace(door, wiring=replace(door.wiring, build=replace(build, arrangement=altered)))


def _same(netlist: Netlist) -> Netlist:
    return netlist


def test_rewiring_by_itself_moves_no_opening() -> None:
    """So that the tests below see the change of the circuit and not the way it was made."""
    made = _designed(SOME)
    one, other = _alike(made)
    changed = _with_door(made, _rewired(made.door[other], _same))
    assert _typical_of(changed, one) == _typical_of(changed, other)


def _with_door(made: Design, door: DoorDesign) -> Design:
    return replace(made, doors=tuple(door if d.mark == door.mark else d for d in made.doors))


def _alike(made: Design) -> tuple[str, str]:
    """Two openings of one typical."""
    shared = next(t for t in typicals(made) if len(t.doors) > 1)
    return shared.doors[0].mark, shared.doors[1].mark


def _typical_of(made: Design, mark: str) -> int:
    return next(t.number for t in typicals(made) if mark in [d.mark for d in t.doors])


def test_every_opening_is_on_one_typical_or_among_those_not_settled() -> None:
    for made in (_archive()[0], _designed(SOME)):
        listed = [d.mark for t in typicals(made) for d in t.doors] + [d.mark for d in unsettled(made)]
        assert sorted(listed) == sorted(d.mark for d in made.doors)
    assert [d.mark for d in unsettled(_archive()[0])] == ["108"]


def _colour(netlist: Netlist) -> Netlist:
    first, *rest = netlist.conductors
    return replace(netlist, conductors=(replace(first, colour="VT"), *rest))


def _gauge(netlist: Netlist) -> Netlist:
    first, *rest = netlist.conductors
    return replace(netlist, conductors=(replace(first, gauge="12 AWG"), *rest))


def _landing(netlist: Netlist) -> Netlist:
    first, *rest = netlist.conductors
    return replace(netlist, conductors=(replace(first, a=first.b, b=first.a), *rest))


def _cable_type(netlist: Netlist) -> Netlist:
    *rest, last = netlist.cables
    return replace(netlist, cables=(*rest, replace(last, cable_type="16-2")))


def _part(netlist: Netlist) -> Netlist:
    *rest, last = netlist.components
    return replace(netlist, components=(*rest, replace(last, part="another")))


def _terminal(netlist: Netlist) -> Netlist:
    *rest, last = netlist.components
    return replace(netlist, components=(*rest, replace(last, terminals=last.terminals[:-1])))


def _spare(netlist: Netlist) -> Netlist:
    return replace(netlist, spares=netlist.spares[1:]) if netlist.spares else _terminal(netlist)


@pytest.mark.parametrize("change", [_colour, _gauge, _landing, _cable_type, _part, _terminal, _spare])
def test_an_opening_wired_otherwise_goes_on_another_typical(change: Callable[[Netlist], Netlist]) -> None:
    made = _designed(SOME)
    one, other = _alike(made)
    assert _typical_of(made, one) == _typical_of(made, other)
    changed = _with_door(made, _rewired(made.door[other], change))
    assert _typical_of(changed, one) != _typical_of(changed, other)


def _longer(netlist: Netlist) -> Netlist:
    cables = tuple(replace(c, length_m=c.length_m + 7, length_basis="measured") for c in netlist.cables)
    conductors = tuple(replace(c, r20_ohm=2 * c.r20_ohm) for c in netlist.conductors)
    return replace(netlist, cables=cables, conductors=conductors)


def test_lengths_and_labels_keep_openings_together() -> None:
    made = _designed(SOME)
    one, other = _alike(made)
    changed = _with_door(made, _rewired(made.door[other], _longer))
    assert _typical_of(changed, one) == _typical_of(changed, other)
    first, second = (made.door[mark].wiring.netlist for mark in (one, other))
    assert first is not None
    assert second is not None
    assert first != second
    assert structure(first) == structure(second)


@pytest.mark.slow
def test_what_may_not_be_built_stands_apart_under_a_banner(tmp_path: Path) -> None:
    made, findings = _archive()
    for typical in typicals(made):
        for door in typical.doors:
            chosen = door.wiring.chosen
            assert typical.feasible == (chosen is not None and not chosen.failed)
    assert {t.feasible for t in typicals(made)} == {True, False}
    for sheet, typical in zip(plan_typicals(Checked(made, findings)), typicals(made), strict=True):
        told = _texts(sheet.draw(), tmp_path / f"{sheet.sheet_id}.dxf")
        assert ("NOT FEASIBLE" in told) == (not typical.feasible)
        for door in () if typical.feasible else typical.doors:
            drawn = door.wiring.drawn
            assert drawn is not None
            assert all(reason.text in " ".join(told.split()) for reason in drawn.failed)


def test_typicals_are_ordered_by_rank_and_then_by_their_first_openings() -> None:
    made = _designed(SOME)
    order = [d.mark for d in made.doors]
    keys = [(t.doors[0].wiring.build.arrangement.rank, order.index(t.doors[0].mark)) for t in typicals(made)]  # type: ignore[union-attr]
    assert keys == sorted(keys)
    ids = [t.sheet_id for t in typicals(made)]
    assert ids == [f"T-5{11 + n}" for n in range(len(ids))]


def test_a_number_once_issued_keeps_its_typical() -> None:
    """A number on record stays with what it shows; a new typical takes the next, and one that is gone leaves its own free."""
    made = _designed(SOME)
    plain = typicals(made)
    assert len({t.on_record for t in plain}) == len(plain)
    record = [
        {"kind": "sheet", "subject": plain[2].on_record, "label": "T-511"},
        {"kind": "sheet", "subject": "typical that is gone", "label": "T-530"},
    ]
    again = typicals(replace(made, site=made.site.with_changes(issued_labels=record)))
    numbered = {t.on_record: t.sheet_id for t in again}
    assert numbered[plain[2].on_record] == "T-511"
    others = [t.on_record for t in plain if t is not plain[2]]
    assert [numbered[name] for name in others] == [f"T-5{31 + n}" for n in range(len(others))]


def test_one_opening_that_has_its_own_sheet_needs_no_typical() -> None:
    made, _ = _archive()
    alone = {t.doors[0].mark for t in typicals(made) if len(t.doors) == 1}
    assert alone
    kept = typicals(made, {door.mark for door in made.doors})
    assert kept == () or all(len(t.doors) > 1 for t in kept)
    assert {t.doors[0].mark for t in typicals(made, sorted(alone)[1:]) if len(t.doors) == 1} == {min(alone)}


def test_one_more_opening_of_a_kind_changes_no_number() -> None:
    fewer, more = typicals(_designed(SOME)), typicals(_designed(SOME + 1))
    assert [(t.sheet_id, t.subject) for t in fewer] == [(t.sheet_id, t.subject) for t in more]


def _texts(canvas: Any, path: Path) -> str:
    canvas.save(path)
    return _words(read_dxf(path))


def _words(doc: Any) -> str:
    found = [e.plain_text() for layout in doc.layouts for e in layout if e.dxftype() in ("TEXT", "MTEXT")]
    return "\n".join(found)


@cache
def _drawn(site: int) -> tuple[tuple[Sheet, Canvas], ...]:
    return tuple((sheet, sheet.draw()) for sheet in plan_typicals(Checked(*(_campus(SOME) if site else _archive()))))


@pytest.mark.parametrize(
    ("site", "every"),
    [
        (0, 4),
        pytest.param(0, 1, marks=pytest.mark.slow),
        *(pytest.param(*case, marks=pytest.mark.sweep) for case in ((1, 3), (1, 1))),
    ],
)
def test_sheets_are_legible_and_whole_as_read_back(site: int, every: int, tmp_path: Path) -> None:
    for sheet, canvas in _drawn(site)[::every]:
        path = tmp_path / f"{sheet.sheet_id}.dxf"
        canvas.save(path)
        assert not inspect_sheet(path).violations, sheet.sheet_id
        audit = read_dxf(path).audit()
        assert not audit.errors
        assert not audit.fixes


@pytest.mark.slow
def test_rows_tell_mark_label_and_lengths_of_every_opening() -> None:
    made = _designed(SOME)
    units = made.site.info.unit_system
    sheets = plan_typicals(Checked(made))
    for sheet in sheets:
        lines = _words(sheet.draw().doc).splitlines()
        for mark in sheet.marks:
            door = made.door[mark]
            assert door.cable is not None
            assert door.wiring.netlist is not None
            assert mark in lines
            assert door.cable.label in lines
            for cable in door.wiring.netlist.cables:
                assert format_length(cable.length_m, units) in lines, (mark, cable.ref)
    assert sorted(mark for sheet in sheets for mark in sheet.marks) == sorted(d.mark for d in made.doors)


def test_lock_volts_are_those_of_the_door() -> None:
    made = _designed(SOME)
    for typical in typicals(made):
        table = instance_table(Checked(made), typical)
        low, high = (table.headers.index(f"Lock V {name}") for name in ("low", "high"))
        for row, door in zip(table.rows, typical.doors, strict=True):
            volts = door.wiring.voltages
            assert row[low] == ("not known" if volts.lock_low_v is None else f"{volts.lock_low_v:.2f}")
            assert row[high] == ("not known" if volts.lock_high_v is None else f"{volts.lock_high_v:.2f}")


def test_open_findings_are_counted_by_letter_and_passes_are_not() -> None:
    def found(verdict: Verdict, severity: Severity) -> Finding:
        return Finding("any", verdict, severity, "1", "opening", "Told.", "by hand")

    assert open_letters([found(Verdict.PASS, Severity.ERROR)]) == "none"
    some = [found(Verdict.FAIL, Severity.ERROR), found(Verdict.NOT_EVALUATED, Severity.ERROR)]
    assert open_letters([*some, found(Verdict.FAIL, Severity.NOTE)]) == "E2 N1"


def _of_one_kind() -> Design:
    """The first of each dozen of a campus: 34 openings of one typical, more than a sheet has rows for."""
    site = CAMPUS(400)
    return design(site.model_copy(update={"openings": site.openings[::12]}))


@pytest.mark.parametrize(
    "make", [_of_one_kind, pytest.param(lambda: _designed(400), marks=pytest.mark.sweep)], ids=["one kind", "400"]
)
def test_long_tables_go_on_continuation_sheets_and_every_opening_is_on_one(
    make: Callable[[], Design], tmp_path: Path
) -> None:
    made = make()
    sheets = plan_typicals(Checked(made, check(made)))
    long = next(t for t in typicals(made) if len(t.doors) > MOST_ROWS)
    mine = [s for s in sheets if s.sheet_id.startswith(f"{long.sheet_id}-")]
    assert mine
    assert [s.sheet_id for s in mine] == [f"{long.sheet_id}-{n}" for n in range(2, len(mine) + 2)]
    lines: list[str] = []
    for s in mine:
        lines += _texts(s.draw(), tmp_path / "a.dxf").splitlines()
        assert not inspect_sheet(tmp_path / "a.dxf").violations
    assert all(lines.count(door.mark) == 1 for door in long.doors)


def test_openings_not_settled_are_listed_with_the_last_typical(tmp_path: Path) -> None:
    made, findings = _archive()
    last = plan_typicals(Checked(made, findings))[-1]
    assert "108" in last.marks
    told = _texts(last.draw(), tmp_path / "a.dxf")
    assert "HOLD: on no typical" in told
    assert "data missing: controller, lock" in " ".join(told.split())


def test_a_site_of_openings_not_settled_has_their_list(tmp_path: Path) -> None:
    made, findings = _archive()
    bare = replace(made, doors=(made.door["108"],))
    (sheet,) = plan_typicals(Checked(bare, findings))
    assert sheet.sheet_id == "T-511"
    assert "108" in _texts(sheet.draw(), tmp_path / "a.dxf").splitlines()
    assert plan_typicals(Checked(replace(made, doors=()), findings)) == ()


def test_what_is_remarked_of_an_opening_stands_in_its_row() -> None:
    """Crews that have the typical detail read what one of its doors asks for: nobody else tells them on a drawing."""
    made = _designed(SOME)
    shared = next(t for t in typicals(made) if len(t.doors) > 1)
    first = shared.doors[0]
    assert "Remarks" not in instance_table(Checked(made), shared).headers
    opening = first.opening.model_copy(update={"remarks": "no drilling of the frame"})
    remarked = _with_door(made, replace(first, opening=opening))
    table = instance_table(Checked(remarked), typicals(remarked)[shared.number - 1])
    at = table.headers.index("Remarks")
    assert {row[0]: row[at] for row in table.rows} == {
        d.mark: "no drilling of the frame" if d.mark == first.mark else "" for d in shared.doors
    }


def test_hardware_is_told_once_where_all_doors_have_it_and_else_in_each_row() -> None:
    """Who has the typical alone would drill into a fire-rated door without a word of its rating."""
    made = _designed(SOME)
    shared = next(t for t in typicals(made) if len(t.doors) > 1)
    first = shared.doors[0]
    note = "Hardware of every opening of the table: not stated."
    assert note in typical_notes(made, shared, elevation=True)
    assert "Hardware" not in instance_table(Checked(made), shared).headers
    rated = _with_door(made, replace(first, opening=first.opening.model_copy(update={"fire_rating_min": 90.0})))
    typical = typicals(rated)[shared.number - 1]
    table = instance_table(Checked(rated), typical)
    at = table.headers.index("Hardware")
    assert {row[0]: row[at] for row in table.rows} == {
        d.mark: "fire-rated 90 min" if d.mark == first.mark else "not stated" for d in shared.doors
    }
    assert not [note for note in typical_notes(rated, typical, elevation=True) if note.startswith("Hardware")]


def test_an_elevation_is_drawn_only_where_sizes_agree_and_says_which_doors_are_its_mirror_image() -> None:
    made = _designed(SOME)
    shared = next(t for t in typicals(made) if len(t.doors) > 1)
    first = shared.doors[0]
    assert {d.opening.hinges for d in shared.doors} == {None}

    def hung(**changed: Any) -> Design:
        return _with_door(made, replace(first, opening=first.opening.model_copy(update=changed)))

    right, mixed = hung(hinges="right"), hung(hinges="left")
    for door in shared.doors[1:2]:
        mixed = _with_door(mixed, replace(door, opening=door.opening.model_copy(update={"hinges": "right"})))
    cases = (made, "", True), (hung(width_m=1.4), "Opening", False), (right, "Hinges", True), (mixed, "Hinges", True)
    for site, column, elevation in cases:
        headers = instance_table(Checked(site), typicals(site)[shared.number - 1]).headers
        assert {"Opening", "Hinges"} & set(headers) == ({column} if column else set())
        sheet = next(s for s in plan_typicals(Checked(site)) if s.sheet_id == shared.sheet_id)
        entities: Any = sheet.draw().doc.modelspace().query("TEXT MTEXT")
        texts = " ".join(entity.plain_text() for entity in entities).replace("\n", " ")
        assert ("Elevation from the unsecured side" in texts) == elevation
        assert ("No elevation" in texts) != elevation
        mirrored = "The elevation has the hinges on the left; where the table says right" in texts
        assert mirrored == (site is mixed), "of doors that nobody states the hand of, none is known to be"
        assert ("The elevation has the hinges on the" in texts) == elevation
        unsaid = not all(door.opening.hinges for door in typicals(site)[shared.number - 1].doors)
        assert ("The hand of the door is not stated: verify it" in texts) == unsaid


def test_the_same_bytes_twice() -> None:
    made, findings = _archive()
    for one, other in zip(
        plan_typicals(Checked(made, findings))[:3], plan_typicals(Checked(made, findings))[:3], strict=True
    ):
        assert one.draw().to_bytes() == other.draw().to_bytes()


def test_options_reach_the_file() -> None:
    made, findings = _archive()
    canvas = plan_typicals(Checked(made, findings), DrawingInfo(dxf_version="R2010"))[0].draw()
    assert canvas.doc.acad_release == "R2010"


@pytest.mark.parametrize(
    ("details", "doors", "own", "shared"),
    [("each", True, 9, False), ("typical", True, 0, True), ("both", True, 9, True), ("typical", ("101",), 1, True),
     ("both", ("101", "104"), 2, True), ("each", ("101",), 1, False), ("both", False, 0, False)],
)  # fmt: skip
def test_the_set_has_the_details_asked_for(details: Any, doors: Any, own: int, shared: bool) -> None:
    made, findings = _archive()
    jobs = plan_set(Checked(made, findings), SetOptions(doors=doors, details=details, plans=False, riser=False))
    assert len([j for j in jobs if j.kind == "door" and j.sheet_id.startswith("T-501")]) == own
    drawn = plan_typicals(
        Checked(made, findings), own_sheets=own_sheets(made, SetOptions(doors=doors, details=details))
    )
    assert [j.sheet_id for j in jobs if j.kind == "typical"] == [s.sheet_id for s in drawn] * shared
    assert len({j.file_name.casefold() for j in jobs}) == len(jobs)


def test_a_change_at_one_opening_leaves_other_typicals_as_they_are() -> None:
    made, findings = _archive()
    options = SetOptions(details="typical", cover=False, plans=False, riser=False)
    before = {j.sheet_id: j.inputs for j in plan_set(Checked(made, findings), options)}
    door = typicals(made)[1].doors[0]
    changed = _with_door(made, replace(door, opening=door.opening.model_copy(update={"name": "Another name"})))
    after = {j.sheet_id: j.inputs for j in plan_set(Checked(changed, findings), options)}
    assert [sheet_id for sheet_id in before if before[sheet_id] != after[sheet_id]] == ["T-512"]


@pytest.mark.parametrize("openings", [120, pytest.param(1000, marks=pytest.mark.sweep)])
def test_many_openings_make_few_typicals(openings: int) -> None:
    """A dozen kinds of doors, a dozen details and a few more for cables at their limits, however many openings."""
    made = _designed(openings)
    sheets = plan_typicals(Checked(made))
    details = [s for s in sheets if s.sheet_id.count("-") == 1]
    assert len(details) == len(typicals(made)) < 20


@pytest.mark.usefixtures("drawn_once")
def test_the_command_gives_own_sheets_to_the_openings_named(tmp_path: Path) -> None:
    site, out = tmp_path / "site", tmp_path / "out"
    assert run("new", site).exit_code == 0
    asked = ["build", str(site), "-o", str(out), "--details", "typical", "--door", "102"]
    told = CliRunner().invoke(main, asked)
    assert told.exit_code in (0, 1), told.output
    names = {path.name for path in (out / "drawings").glob("T-5*.dxf")}
    assert "T-501-102.dxf" in names
    assert "T-501-101.dxf" not in names
    assert "T-511.dxf" in names
    unknown = run(*asked[:4], "--door", "999")
    assert unknown.exit_code == 2
    assert "no opening is marked 999" in unknown.stderr
