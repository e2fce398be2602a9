"""A door's proof on paper: truth table, proof line, and the counterexample drawn with what is at fault marked."""

from __future__ import annotations

import runpy
from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from shapely import LineString, Point

from riserkit.checked import Checked
from riserkit.circuits.faults import Fault, FaultKind
from riserkit.circuits.netlist import Netlist
from riserkit.design import Design, DoorDesign, design
from riserkit.drawings.door import counterexample
from riserkit.drawings.door.counterexample import draw_counterexample
from riserkit.drawings.door.detail import draw_door_detail
from riserkit.drawings.door.faulted import marked_table, marks_of
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.set.plan import Details, SetOptions, plan_set
from riserkit.drawings.wiring.layout import lay_out
from riserkit.drawings.wiring.marks import FaultSign, Marks, current_arrows, fault_marks, label_rect
from riserkit.drawings.wiring.values import Style
from riserkit.holds import drawn_failing
from riserkit.proofs.book import Unproven
from riserkit.proofs.sentences import CAUTION, proof_line
from riserkit.proofs.values import (
    LOCK_FOLLOWS_CONTROLLER,
    RELEASE_BY_HAND,
    TAMPER,
    Counterexample,
    DoorProof,
    Outcome,
    Property,
)
from riserkit.standards.sheets import failure_sheet_id
from tests.sweep import swept

DETAIL: dict[str, Any] = runpy.run_path(str(Path(__file__).with_name("test_door_detail.py")))


class _Told:
    """A book of proofs that tells one proof."""

    def __init__(self, proof: DoorProof | Unproven) -> None:
        self._proof = proof

    def proof(self, mark: str) -> DoorProof | Unproven:
        return self._proof


@cache
def _made() -> Design:
    made: Design = design(DETAIL["archive"]())
    return made


def _failing(*names: str, mark: str = "101") -> DoorDesign:
    """The door with these properties failing: its second conductor at fault, its third and fourth on the way."""
    door = _made().door[mark]
    netlist, proof = door.wiring.netlist, door.proof
    assert netlist is not None
    assert isinstance(proof, DoorProof)
    refs = [c.ref for c in netlist.conductors]
    fault = Fault(FaultKind.CONDUCTOR_OPEN, (refs[1],))
    case = Counterexample({}, (fault,), "M1", 11.5, (refs[1],), (refs[2], refs[3]), "conductor open")
    others = tuple(p for p in proof.topology.properties if p.name not in names)
    failed = tuple(Property(n, Outcome.FAIL, f"{n} does not hold.", 8, 2, case) for n in names)
    told = DoorProof(mark, replace(proof.topology, properties=(*others, *failed)), names)
    return replace(door, book=_Told(told))  # type: ignore[arg-type]


def _texts(path: Path) -> str:
    return str(DETAIL["all_text"](read_dxf(path)))


@swept("mark", ["101", "104", "108"], ["108"], slow=["101", "104"])
def test_a_door_sheet_tells_the_proof_and_its_caution(mark: str, tmp_path: Path) -> None:
    door, path = _made().door[mark], tmp_path / "d.dxf"
    draw_door_detail(_made(), door, ()).save(path)
    text = _texts(path).replace(" ", "")
    assert proof_line(door.proof).replace(" ", "") in text
    assert CAUTION.replace(" ", "") in text
    proof = door.proof
    assert isinstance(proof, Unproven) is (mark == "108")
    if isinstance(proof, DoorProof):
        assert proof.topology.table
        for row in proof.topology.table:
            assert ", ".join(row.state).replace(" ", "") in text


def test_a_counterexample_marks_exactly_what_is_at_fault_and_on_the_way(tmp_path: Path) -> None:
    door, path = _failing(RELEASE_BY_HAND), tmp_path / "c.dxf"
    draw_counterexample(_made(), door).save(path)
    doc, weights, crossed, words, arrows = read_dxf(path), {}, [], [], []
    for subject, e in DETAIL["flat"](doc.modelspace()):
        _, _, rest = subject.partition("opening:101/")
        kind, _, ref = rest.partition("/")
        if kind == "conductor" and e.dxftype() in ("LINE", "LWPOLYLINE"):
            assert ref not in weights
            weights[ref] = e.dxf.lineweight
        if kind == "fault" and e.dxftype() == "LINE":
            crossed.append(ref)
        if kind == "fault" and e.dxftype() == "TEXT":
            words.append((ref, e.dxf.text))
        if kind == "current":
            arrows.append(ref)
    netlist = door.wiring.netlist
    assert netlist is not None
    refs = [c.ref for c in netlist.conductors]
    assert [r for r in refs if weights[r] == 100] == [refs[1]]
    assert [r for r in refs if weights[r] == 70] == [refs[2], refs[3]]
    assert crossed == [refs[1]] * 2
    assert words == [(refs[1], "OPEN HERE")]
    assert sorted(arrows) == sorted([refs[2], refs[3]])
    text = _texts(path)
    for part in ("FAILS: release-by-hand", "Conductor open.", "11.5 V", "2 of 8 cases fail", "Heavy line"):
        assert part in text
    DETAIL["test_no_text_stands_on_another"](("101", doc))
    DETAIL["test_no_text_stands_on_a_line"](("101", doc))
    DETAIL["test_everything_lies_within_the_frame_and_off_the_title_block"](("101", doc))


def test_wiring_larger_than_a_sheet_is_drawn_as_far_as_its_case_goes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(counterexample, "MOST_TRACED", 3)
    door, path = _failing(RELEASE_BY_HAND), tmp_path / "c.dxf"
    draw_counterexample(_made(), door).save(path)
    doc = read_dxf(path)
    drawn = {s.rpartition("/")[2] for s, _ in DETAIL["flat"](doc.modelspace()) if "/conductor/" in s}
    netlist = door.wiring.netlist
    assert netlist is not None
    assert drawn == {c.ref for c in netlist.conductors[1:4]}
    assert "Only the conductors of the fault case are drawn here; sheet T-501-101" in _texts(path)
    DETAIL["test_no_text_stands_on_another"](("101", doc))


def test_the_same_counterexample_gives_the_same_bytes() -> None:
    door = _failing(LOCK_FOLLOWS_CONTROLLER)
    assert draw_counterexample(_made(), door).to_bytes() == draw_counterexample(_made(), door).to_bytes()


def test_the_way_out_comes_first_and_tamper_only_where_wiring_is_to_be_secured() -> None:
    worst = drawn_failing(_failing(TAMPER, LOCK_FOLLOWS_CONTROLLER, RELEASE_BY_HAND))
    assert worst is not None
    assert worst.name == RELEASE_BY_HAND
    door = _failing(TAMPER)
    assert drawn_failing(door) is None
    secured = replace(door, opening=door.opening.model_copy(update={"lock_wiring_secured": True}))
    one = drawn_failing(secured)
    assert one is not None
    assert one.name == TAMPER


@pytest.mark.parametrize("details", ["each", "typical", "both"])
def test_only_a_door_that_fails_has_a_counterexample_sheet(details: Details) -> None:
    made, options = _made(), SetOptions(cover=False, plans=False, riser=False, details=details)
    doors = tuple(_failing(LOCK_FOLLOWS_CONTROLLER) if d.mark == "101" else d for d in made.doors)
    others = [d.mark for d in made.doors if d.mark != "101" and drawn_failing(d) is not None]
    ids = [job.sheet_id for job in plan_set(Checked(replace(made, doors=doors)), options)]
    assert [i for i in ids if i.startswith("T-502")] == [failure_sheet_id(m) for m in ("101", *others)]
    sound = next(d for d in made.doors if drawn_failing(d) is None)
    with pytest.raises(DrawingError, match="no counterexample"):
        draw_counterexample(made, sound)


@pytest.mark.parametrize(
    "word", ["OPEN HERE", "NO ROOM FOR A WORD AS LONG AS THIS, NOWHERE IN ALL OF THE DIAGRAM " * 5]
)
@pytest.mark.slow
def test_marks_of_every_conductor_at_once_stand_apart(word: str) -> None:
    netlist = _made().door["104"].wiring.netlist
    assert netlist is not None
    diagram = lay_out(netlist, Style(), 200.0)
    marks = fault_marks(diagram, Marks({c.ref: FaultSign(word, True) for c in netlist.conductors}))
    words = [label_rect(m.word) for m in marks if m.word is not None]
    assert len(marks) == len(netlist.conductors)
    assert len(words) >= len(marks) / 2
    assert {m.word.text for m in marks if m.word is not None} == {"OPEN HERE" if word == "OPEN HERE" else "F"}
    assert not [pair for pair in combinations(words, 2) if pair[0].overlaps(pair[1])]


PLACED = {"release_height_m": 1.1, "release_distance_m": 0.5, "release_sign": True}
MAGNET = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "one-pole", "release": "release-30", **PLACED}
ONE_POLE = {"id": "one-pole", "kind": "rex-sensor", "rated_v": 12, "draw_a": 0.02, "tolerance_low": 0.15,
            "tolerance_high": 0.15, "releases_on_loss": True, "poles": 1}  # fmt: skip
BY_VOLTAGE = {"lock": "strike-12-secure", "egress": "mechanical", "rex": "rex-motion", "lock_wiring_secured": True,
              "arrangement": "relay-by-voltage"}  # fmt: skip
BARE_MAGNET = {"lock": "magnet-12-300", "egress": "hardware-release", "rex": "rex-button"}
DRAWN = [
    pytest.param(MAGNET, "release-on-sensor-loss", {"OPEN HERE"}, True, id="open conductor"),
    pytest.param(BY_VOLTAGE, "tamper", {"JOINED TO K1 A+", "JOINED TO K1 L+"}, True, id="joined from outside",
                 marks=pytest.mark.slow),
    pytest.param({**BY_VOLTAGE, "arrangement": "splitter-magnet", "lock": "magnet-12-300", "egress": "sensor-release"},
                 "tamper", {"JOINED TO K1 L-"}, False, id="joined to a terminal without a conductor", marks=pytest.mark.slow),
    pytest.param(BARE_MAGNET, "release-by-hand", set(), True, id="no manual release"),
]  # fmt: skip


@pytest.mark.parametrize(("opening", "rule", "words", "fed"), DRAWN)
def test_real_failings_are_drawn_with_words_and_the_current_from_plus_to_minus(
    site_of, tmp_path: Path, opening, rule, words, fed
) -> None:
    made = site_of(opening, parts=(ONE_POLE,))
    door, path = made.doors[0], tmp_path / "c.dxf"
    one, netlist = drawn_failing(door), door.wiring.netlist
    assert one is not None
    assert one.counterexample is not None
    assert netlist is not None
    assert one.name == rule
    draw_counterexample(made, door).save(path)
    doc, told, tips = read_dxf(path), set(), {}
    for subject, e in DETAIL["flat"](doc.modelspace()):
        kind, _, ref = subject.removeprefix("opening:101/").partition("/")
        if kind == "fault" and e.dxftype() == "TEXT":
            told.add(e.dxf.text)
        if kind == "current":
            tips[ref] = e
    assert told == words
    assert set(tips) == set(one.counterexample.path)
    assert bool(tips) is fed
    assert drawn_current_is_a_loop(netlist, one.counterexample) is fed
    for part in (f"FAILS: {rule}", *(["from plus to minus"] if fed else ["No current flows through M1"])):
        assert part in _texts(path)
    DETAIL["test_no_text_stands_on_another"](("101", doc))
    DETAIL["test_no_text_stands_on_a_line"](("101", doc))
    DETAIL["test_everything_lies_within_the_frame_and_off_the_title_block"](("101", doc))


def drawn_current_is_a_loop(netlist: Netlist, example: Counterexample) -> bool:
    """Each conductor ends at a component where the next begins, the lock on the way, and the last where the first began."""
    ends = {c.ref: (c.a.component, c.b.component) for c in netlist.conductors}
    legs = [ends[r][::-1] if r in example.backward else ends[r] for r in example.path]
    if not legs:
        return False
    following = [*legs[1:], legs[0]]
    return all(end == start for (_, end), (start, _) in zip(legs, following, strict=True)) and example.lock in {
        end for _, end in legs
    }


@pytest.mark.parametrize(
    ("kind", "subjects", "join", "volts", "expected", "devices"),
    [
        (FaultKind.CONDUCTOR_OPEN, ("4",), None, 0.0, {"4": "OPEN HERE"}, set()),
        (FaultKind.CONDUCTORS_SHORTED, ("4", "5"), ("K1.A+", "K1.A-"), 0.0, {"4": "SHORTED TO 5", "5": "SHORTED TO 4"}, set()),
        (FaultKind.CONDUCTOR_EARTHED, ("4",), ("K1.A+", "K1.A-"), 0.0, {"4": "EARTHED HERE"}, set()),
        (FaultKind.CONTACT_WELDED, ("S1.break",), None, 0.0, {}, {"S1"}),
        (FaultKind.CUT, ("4",), None, 0.0, {"4": "CUT HERE"}, set()),
        (FaultKind.FED, ("K1.A+", "K1.A-"), ("K1.A+", "K1.A-"), -12.0,
         {"4": "MINUS OF 12 V FED HERE", "5": "PLUS OF 12 V FED HERE"}, set()),
    ],
)  # fmt: skip
def test_every_kind_of_fault_has_its_word(site_of, kind, subjects, join, volts, expected, devices) -> None:
    door = site_of(MAGNET, parts=(ONE_POLE,)).doors[0]
    one, netlist = drawn_failing(door), door.wiring.netlist
    assert one is not None
    assert one.counterexample is not None
    assert netlist is not None
    example = replace(one.counterexample, faults=(Fault(kind, subjects, join, volts),), path=())
    marks = marks_of(netlist, one, example)
    assert {ref: sign.word for ref, sign in marks.faulted.items()} == expected
    assert set(marks.devices) == devices
    broken = kind in {FaultKind.CONDUCTOR_OPEN, FaultKind.CUT}
    assert all(sign.broken is broken for sign in marks.faulted.values())


def test_what_is_handled_says_where_it_is_within_reach(site_of) -> None:
    door = site_of(BY_VOLTAGE).doors[0]
    one, netlist = drawn_failing(door), door.wiring.netlist
    assert one is not None
    assert one.counterexample is not None
    assert netlist is not None
    rows = {row[0]: row for row in marked_table(netlist, one, one.counterexample).rows}
    # red of this cable is the supply's plus
    assert rows["10"][1:6] == ("K1 L+", "K2 T+", "W4", "WH", "behind K1")
    assert rows["13"][5] == "-", "the lock's own cable is out of reach"
    assert [row[-1].rpartition(", ")[2] for row in rows.values() if "current" in row[-1]] == ["1", "2", "3", "4", "5"]


@pytest.mark.parametrize("backward", [False, True])
def test_arrows_point_the_way_of_the_current(backward: bool) -> None:
    """The tip lies farther along the conductor than the tail, seen from the end at which the current enters."""
    netlist = _made().door["104"].wiring.netlist
    assert netlist is not None
    diagram, refs = lay_out(netlist, Style(), 200.0), frozenset(c.ref for c in netlist.conductors)
    arrows = dict(current_arrows(diagram, Marks(path=refs, backward=refs if backward else frozenset())))
    assert set(arrows) == {wire.ref for wire in diagram.wires}
    for wire in diagram.wires:
        tip, left, right = arrows[wire.ref]
        tail = ((left[0] + right[0]) / 2, (left[1] + right[1]) / 2)
        path = LineString(wire.path[::-1] if backward else wire.path)
        assert path.project(Point(tip)) > path.project(Point(tail))
