"""Materials: counted from the netlists, added up for the site. Connectors and consumables: common practice, no source."""

from __future__ import annotations

from collections import Counter

import pytest

from riserkit.pipeline import Checked
from riserkit.reports.materials.between import closet_lines
from riserkit.reports.materials.door import BRACKET
from riserkit.reports.materials.site import (
    added_up,
    door_materials,
    door_materials_table,
    site_materials,
    site_materials_table,
)
from riserkit.reports.materials.values import CABLE_LABELS, JACKS, KINDS, METRES, SPLICES, MaterialLine
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
    assert {line.kind for line in found} == {"cable", "connector", "label"}
    notes = [row[2] for row in site_materials_table(checked.design).rows if row[0] == "note"]
    assert any("No circuit" in str(text) and "108" in str(text) for text in notes)
    assert any("Not resolved" in str(text) and "107" in str(text) for text in notes)


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
