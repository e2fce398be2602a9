"""Materials: counted from the netlists, added up for the site. Connectors and consumables: common practice, no source."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import pytest

from riserkit.checked import Checked
from riserkit.design import Design
from riserkit.drawings.set.plan import SetOptions
from riserkit.field.about import FieldWork
from riserkit.field.door import door_paper
from riserkit.field.form import A4
from riserkit.holds import read_holds
from riserkit.model.power import Supply
from riserkit.page.door import door_page
from riserkit.page.values import HELD
from riserkit.page.work import PageWork
from riserkit.reports.materials.between import closet_lines
from riserkit.reports.materials.door import BRACKET
from riserkit.reports.materials.site import (
    NO_WIRING,
    added_up,
    door_materials,
    door_materials_table,
    site_materials,
    site_materials_table,
)
from riserkit.reports.materials.values import CABLE_LABELS, JACKS, KINDS, METRES, SPLICES, MaterialLine
from riserkit.rules._shared.evaluate import check
from tests.known_bad.designs import design_of


def named(quantities: dict[MaterialLine, float], text: str) -> float:
    (found,) = [q for line, q in quantities.items() if text in (line.item, line.description)]
    return found


@pytest.mark.slow
def test_parts_of_a_plain_door(checked: Checked) -> None:
    found = door_materials(checked.design, checked.design.door["101"])
    parts = {line.item: quantity for line, quantity in found.items() if line.kind == "part"}
    assert parts == dict.fromkeys(("controller-c4", "contact-reed", "rex-motion", "strike-12-secure", "diode-1a"), 1)


def test_parts_of_a_magnet_behind_a_splitter(checked: Checked) -> None:
    found = door_materials(checked.design, checked.design.door["102"])
    parts = {line.item or line.description for line in found if line.kind == "part"}
    assert parts == {
        "controller-c3", "contact-reed", "rex-motion", "magnet-12-600", "varistor-47", "relay-auth", "splitter-12",
        "release-30", "Junction box",
    }  # fmt: skip
    # two PoE cables: to the splitter, and on to the controller
    assert found[JACKS] == 4
    # in the junction box two conductors each: sensor and release at terminal 1, release and lock at terminal 2, and the
    # release's signal on its way to the controller
    assert found[SPLICES] == 8


def test_cable_lengths_are_those_of_the_netlist_and_the_route(checked: Checked) -> None:
    for door in checked.design.doors:
        if door.wiring.netlist is None:
            continue
        expected: Counter[str] = Counter()
        for cable in door.wiring.netlist.cables:
            expected[cable.cable_type] += cable.length_m
        found = {line.item: q for line, q in door_materials(checked.design, door).items() if line.unit == METRES}
        assert found == pytest.approx(dict(expected))


def test_labels_and_insulation_come_in_twos(checked: Checked) -> None:
    door = checked.design.door["105"]
    found = door_materials(checked.design, door)
    assert found[CABLE_LABELS] == 2 * len(door.wiring.netlist.cables)
    assert named(found, "Heat-shrink or cap") == 2 * 4
    assert named(found, "diode-1a") == 2


def test_outdoors_and_without_a_back_box(checked: Checked) -> None:
    outside = door_materials(checked.design, checked.design.door["101"])
    inside = door_materials(checked.design, checked.design.door["103"])
    for text in ("Dielectric grease, one door", "Sealant, one plate"):
        assert named(outside, text) == 1
        assert text not in {line.description for line in inside}
    assert named(outside, "Hole of at least 25 mm (1 in), no back box") == 1
    assert "back-box" not in {line.item for line in outside}
    assert named(inside, "back-box") == 1


def test_a_lock_in_the_leaf_takes_a_hinge_transfer(checked: Checked) -> None:
    assert named(door_materials(checked.design, checked.design.door["106"]), "hinge-transfer") == 1


@pytest.mark.parametrize(("swings_to", "more", "brackets"), [
    ("secured", {}, 1), ("unsecured", {}, 0), ("secured", {"type": "double", "lock_count": 2, "width_m": 1.8}, 2),
    ("secured", {"lock": "strike-12-safe"}, 0),
])  # fmt: skip
def test_a_magnet_on_a_leaf_that_swings_to_it_takes_a_bracket(
    swings_to: str, more: dict[str, object], brackets: int
) -> None:
    """Common practice, no source: the magnet hangs in the head on the secured side, in the way of a leaf that opens there."""
    made = design_of({"door": "sensor", "opening": {"swings_to": swings_to, **more}})
    assert door_materials(made, made.door["101"]).get(BRACKET, 0) == brackets


def test_a_shared_supply_is_counted_once_and_where_it_stands(checked: Checked) -> None:
    design = checked.design
    for mark in ("103", "104"):
        assert "supply-24-4" not in {line.item for line in door_materials(design, design.door[mark])}
    assert named(door_materials(design, design.door["106"]), "supply-24-nb") == 1
    assert named(door_materials(design, design.door["107"]), "supply-12-3") == 1
    site = site_materials(design)
    assert [named(site, s) for s in ("supply-24-4", "supply-24-nb", "supply-12-3")] == [1, 1, 1]


def test_the_site_is_the_sum_of_its_doors_with_what_lies_between(checked: Checked) -> None:
    """Added up by hand, line by line, over all doors, the backbone and the closets."""
    design = checked.design
    total: Counter[MaterialLine] = Counter()
    for door in design.doors:
        total.update(door_materials(design, door))
    total.update(added_up(closet_lines(design)))
    assert dict(site_materials(design)) == pytest.approx(dict(total))
    between = added_up(closet_lines(design))
    # one cable of twelve fibres, 30 m
    assert named(between, "om4-12") == pytest.approx(30.0)
    assert named(between, "Fibre connector") == 24


def test_a_door_without_a_circuit_still_takes_its_poe_cable_and_says_so(checked: Checked) -> None:
    found = door_materials(checked.design, checked.design.door["108"])
    assert {line.kind for line in found} == {"part", "cable", "connector", "label"}
    notes = [row[2] for row in site_materials_table(checked.design).rows if row[0] == "note"]
    assert any("No wiring" in str(text) and "108" in str(text) for text in notes)
    assert any("Not resolved" in str(text) and "107" in str(text) for text in notes)


_WIRED = {"lock": "strike-12-secure", "fail_mode": "fail-secure", "egress": "mechanical", "rex": "rex-motion"}


@pytest.fixture(scope="module")
def one_undrawn(site_of: Callable[..., Design]) -> Design:
    """Two sound doors, and 103, a pair with a lock on each leaf, whose controller is not stated."""
    pair = {
        **_WIRED, "controller": "", "type": "double", "width_m": 1.83, "lock_count": 2, "x_m": 12.0, "reader_out": "reader-out",
        "fire_relay": "fire-relay", "fire_alarm_release": True,
    }  # fmt: skip
    made = site_of(_WIRED, {**_WIRED, "x_m": 6.0}, pair)
    assert [door.wiring.netlist is None for door in made.doors] == [False, False, True]
    return made


def test_parts_that_a_door_without_wiring_states_are_counted(one_undrawn: Design) -> None:
    found = door_materials(one_undrawn, one_undrawn.door["103"])
    parts = {line.item: quantity for line, quantity in found.items() if line.kind == "part"}
    assert parts == {"strike-12-secure": 2, "contact-reed": 2, "rex-motion": 1, "reader-out": 1, "fire-relay": 1}
    assert [line.note for line in found if line.item == "fire-relay"] == ["by fire alarm"]


def test_what_only_a_door_without_wiring_takes_is_not_ordered_and_the_rest_says_how_much_is_its_own(
    one_undrawn: Design,
) -> None:
    table = site_materials_table(one_undrawn, read_holds(one_undrawn, ()))
    said = {row[1]: (row[3], row[6]) for row in table.rows if row[0] == "part" and row[1]}
    # one line for each part, whether its door is wired or not
    assert said["strike-12-secure"] == (4, "HOLD: Do not order until resolved, 2 of these")
    assert said["contact-reed"] == (4, "HOLD: Do not order until resolved, 2 of these")
    assert said["rex-motion"] == (3, "HOLD: Do not order until resolved, 1 of these")
    assert said["reader-out"] == (1, "HOLD: Do not order until resolved")
    assert said["controller-c4"] == (2, "")
    notes = [str(row[2]) for row in table.rows if row[0] == "note"]
    assert f"{NO_WIRING}: 103." in notes


def test_a_pair_without_wiring_takes_a_bar_and_a_suppressor_for_each_leaf(site_of: Callable[..., Design]) -> None:
    made = site_of(
        {"controller": "", "rex": "rex-bar", "type": "double", "lock": "strike-12-secure", "lock_count": 2, "suppressor": "diode-1a"},
        {"controller": "", "rex": "rex-bar", "x_m": 9.0, "release": "release-30"},
    )  # fmt: skip
    one, two = (
        {line.item: q for line, q in door_materials(made, d).items() if line.kind == "part"} for d in made.doors
    )
    assert one == {"rex-bar": 2, "contact-reed": 2, "diode-1a": 2, "strike-12-secure": 2}
    assert two == {"rex-bar": 1, "contact-reed": 1, "release-30": 1}


def test_the_supply_of_a_door_without_wiring_is_counted(one_undrawn: Design) -> None:
    supply = Supply(id="P9", part="supply-12-3", opening="103")
    site = one_undrawn.site.model_copy(update={"supplies": (supply,)})
    made = replace(one_undrawn, site=site)
    assert named(door_materials(made, made.door["103"]), "supply-12-3") == 1


def test_a_packet_and_a_page_say_what_their_list_leaves_out(one_undrawn: Design) -> None:
    findings = tuple(check(one_undrawn))
    packets, pages = (FieldWork(one_undrawn, findings, {}), PageWork(one_undrawn, findings, {}, SetOptions(), ""))
    for mark, left_out in (("101", False), ("103", True)):
        door = one_undrawn.door[mark]
        blocks = door_paper(packets, door, A4).blocks
        assert any(getattr(block, "text", "") == f"{NO_WIRING}." for block in blocks) is left_out
        materials = door_page(pages, door, status=HELD, findings=(), sheets=(), more_sheets=(), neighbours=()).materials
        assert materials is not None
        assert (NO_WIRING in materials.title) is left_out


def test_tables_are_in_order_rounded_up_and_state_their_source_once(checked: Checked, imperial: Checked) -> None:
    table = site_materials_table(checked.design)
    kinds = [row[0] for row in table.rows if row[0] != "note"]
    assert kinds == sorted(kinds, key=KINDS.index)
    assert sum("common practice, no source" in str(row[2]) for row in table.rows) == 1
    length, note = next((row[4], row[5]) for row in table.rows if row[1] == "om4-12")
    assert (length, note) == (30.0, "rounded up, 30 m")
    feet = site_materials_table(imperial.design)
    # 30 m are 98.43 ft: 98.4 shown, 99 to bring
    assert next((row[4], row[5]) for row in feet.rows if row[1] == "om4-12") == (98.4, "rounded up, 99 ft")
    assert "length_ft" in feet.columns
    by_door = door_materials_table(checked.design)
    assert [r[0] for r in by_door.rows if r[1] == "part" and r[2] == "controller-c3"] == ["102"]
