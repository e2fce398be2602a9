"""Labels after the TIA-606 grammar, written out by hand."""

from __future__ import annotations

import pytest

from riserkit.model.place import Building, Level
from riserkit.model.power import Switch
from riserkit.model.records import IssuedLabel
from riserkit.model.site import Site
from riserkit.network.labels.floors import LabelError, building_codes, floor_numbers
from riserkit.network.plan import plan_network
from riserkit.network.values import Labels
from riserkit.standards.labels import parse_backbone, parse_horizontal_link, parse_port, parse_space

from .sites import changed, closet, door, run, site


def levels(**elevations_m: float) -> tuple[Level, ...]:
    return tuple(Level(id=name, elevation_m=z_m) for name, z_m in elevations_m.items())


def switch(name: str, at: str, **more: object) -> Switch:
    return Switch.model_validate({"id": name, "closet": at, "ports": 3, **more})


def labels_of(one: Site) -> Labels:
    return plan_network(one).labels


def issued(kind: str, subject: str, label: str) -> IssuedLabel:
    return IssuedLabel.model_validate({"kind": kind, "subject": subject, "label": label})


SMALL = site(
    closets=(closet("MAIN", 0, 0), closet("UP", 0, 0, "U", fed_from="MAIN")),
    switches=(switch("S1", "MAIN"), switch("S2", "MAIN"), switch("S3", "UP")),
    openings=(
        *(door(f"D{i}", 1, 0, closet="MAIN") for i in range(7)),
        door("U1", 1, 0, "U", closet="UP"),
    ),
)


def test_every_label_of_a_small_site() -> None:
    """Two switches of three ports and seven doors in the main closet: the seventh has no port."""
    labels = labels_of(SMALL)
    assert dict(labels.closet) == {"MAIN": "1A", "UP": "2A"}
    assert dict(labels.switch) == {"S1": "1A.R1-A", "S2": "1A.R1-B", "S3": "2A.R1-A"}
    assert labels.port["S1:1"] == "1A.R1-A:01"
    assert labels.port["S2:3"] == "1A.R1-B:03"
    assert dict(labels.cable) == {
        "D0": "1A-A01", "D1": "1A-A02", "D2": "1A-A03", "D3": "1A-B01", "D4": "1A-B02", "D5": "1A-B03",
        "D6": "1A-Z01", "U1": "2A-A01", "MAIN>UP": "1A/2A-1",
    }  # fmt: skip
    assert dict(labels.opening) == {o.mark: o.mark for o in SMALL.openings}
    assert labels.clashes == labels.overruled == ()


def test_labels_are_read_back_by_the_published_grammar() -> None:
    labels = labels_of(SMALL)
    for label in labels.closet.values():
        assert str(parse_space(label)) == label
    for label in labels.port.values():
        assert str(parse_port(label)) == label
    for subject, label in labels.cable.items():
        parse = parse_backbone if ">" in subject else parse_horizontal_link
        assert str(parse(label)) == label


@pytest.mark.parametrize(
    ("elevations_m", "floors"),
    [
        ({"a": 0.0, "b": 4.0, "c": 8.0}, {"a": 1, "b": 2, "c": 3}),
        ({"c": 8.0, "a": 0.0, "b": 4.0}, {"a": 1, "b": 2, "c": 3}),
        ({"a": -7.0, "b": -3.5, "c": 0.3, "d": 4.0}, {"a": 92, "b": 91, "c": 1, "d": 2}),
        ({"a": 120.0, "b": 124.0}, {"a": 1, "b": 2}),
        ({"a": 0.0, "wing": 0.0, "b": 4.0}, {"a": 1, "wing": 1, "b": 2}),
        ({"a": -2.0, "b": 2.0}, {"a": 1, "b": 2}),
    ],
)
def test_floors_count_from_the_level_nearest_to_elevation_zero(
    elevations_m: dict[str, float], floors: dict[str, int]
) -> None:
    assert dict(floor_numbers(site(levels=levels(**elevations_m)))) == floors


def test_stated_floor_numbers_stand_and_are_not_used_twice() -> None:
    stated = (Level(id="x", elevation_m=4, floor=1), *levels(a=0.0, b=8.0))
    assert dict(floor_numbers(site(levels=stated))) == {"a": 2, "x": 1, "b": 3}


def test_a_floor_number_in_an_issued_closet_label_is_kept() -> None:
    """A mezzanine between ground and upper floor: the upper floor stays 2, also for a new closet on it."""
    one = site(
        levels=levels(G=0.0, M=2.0, U=4.0),
        closets=(closet("UP", 0, 0, "U"), closet("UP2", 5, 0, "U"), closet("MEZZ", 0, 0, "M")),
        openings=(door("D1", 0, 0),),
        issued_labels=(issued("closet", "UP", "2A"),),
    )
    assert dict(labels_of(one).closet) == {"UP": "2A", "UP2": "2B", "MEZZ": "3A"}


def test_with_several_buildings_labels_begin_with_the_code() -> None:
    one = site(
        buildings=(Building(id="X"), Building(id="Y", code="LAB"), Building(id="W")),
        levels=tuple(Level(id=name, building=name.upper(), elevation_m=0) for name in "xyw"),
        closets=tuple(closet(f"C{name}", 0, 0, name) for name in "xyw"),
        openings=(door("D1", 0, 0, "y"),),
        runs=(run("R", "Cy", "Cx", 200),),
    )
    assert dict(building_codes(one)) == {"X": "B1", "Y": "LAB", "W": "B2"}
    labels = labels_of(one)
    assert dict(labels.closet) == {"Cx": "B1-1A", "Cy": "LAB-1A", "Cw": "B2-1A"}
    assert dict(labels.cable) == {"D1": "LAB-1A-Z01", "Cx>Cy": "B1-1A/LAB-1A-1"}


def test_what_the_user_gives_stands_and_new_labels_go_around_it() -> None:
    one = changed(
        SMALL,
        closets=(closet("NEW", 9, 0), closet("MAIN", 0, 0, letter="A"), closet("UP", 0, 0, "U", fed_from="MAIN")),
        switches=(switch("S0", "MAIN"), switch("S1", "MAIN", panel="A"), switch("S3", "UP", panel="C")),
        runs=(run("R1", "D0", "MAIN", label="1A-A02"),),
    )
    labels = labels_of(one)
    assert labels.closet == {"NEW": "1B", "MAIN": "1A", "UP": "2A"}
    assert labels.switch == {"S0": "1A.R1-B", "S1": "1A.R1-A", "S3": "2A.R1-C"}
    assert labels.cable["D0"] == "1A-A02"
    assert labels.cable["D3"] == "1A-A01"  # its port; 1A-A02 is D0's own, so the next door on that port gets a spare
    assert labels.cable["D4"] == "1A-Z01"


def test_what_is_on_record_overrules_what_the_user_gives_and_says_so() -> None:
    record = (issued("closet", "MAIN", "1C"), issued("cable", "D0", "OLD-7"), issued("opening", "D0", "FRONT"))
    one = changed(
        SMALL,
        closets=(closet("MAIN", 0, 0, letter="B"), closet("UP", 0, 0, "U", fed_from="MAIN")),
        runs=(run("R1", "MAIN", "D0", label="NEW-7"),),
        issued_labels=record,
    )
    labels = labels_of(one)
    assert (labels.closet["MAIN"], labels.cable["D0"], labels.opening["D0"]) == ("1C", "OLD-7", "FRONT")
    assert labels.overruled == (("cable", "D0", "NEW-7"), ("closet", "MAIN", "1B"))


def test_labels_given_twice_are_told_with_their_subjects() -> None:
    one = changed(
        SMALL,
        closets=(closet("MAIN", 0, 0, letter="A"), closet("UP", 0, 0, letter="A", fed_from="MAIN")),
        runs=(run("R1", "MAIN", "D0", label="X-1"), run("R2", "D1", "MAIN", label="x-1")),
    )
    assert labels_of(one).clashes == (("1A", ("MAIN", "UP")), ("X-1", ("D0", "D1")))


def test_a_label_of_the_users_own_making_carries_those_that_stand_on_it() -> None:
    record = (issued("closet", "MAIN", "CELLAR"),)
    labels = labels_of(changed(SMALL, issued_labels=record))
    assert labels.switch["S1"] == "CELLAR.R1-A"
    assert labels.port["S1:2"] == "CELLAR.R1-A:02"
    assert labels.cable["D0"] == "CELLAR-A01"
    assert labels.cable["MAIN>UP"] == "2A/CELLAR-1"


def test_a_mark_that_is_another_things_label_gets_its_floor_in_front() -> None:
    one = changed(SMALL, openings=(door("1A", 0, 0), door("x1", 0, 0), door("X1", 0, 0, "U"), door("1-1A", 0, 0)))
    assert labels_of(one).opening == {"1A": "1-1A", "x1": "x1", "X1": "2-X1", "1-1A": "1-1-1A"}


def test_several_cables_between_two_closets_are_numbered() -> None:
    runs = (run("R1", "UP", "MAIN", 30), run("R2", "MAIN", "UP", 40, cable_type="cat6a"))
    plan = plan_network(changed(SMALL, runs=runs))
    assert [(c.subject, c.label, c.run_id) for c in plan.backbone] == [
        ("MAIN>UP", "1A/2A-1", "R1"),
        ("MAIN>UP>R2", "1A/2A-2", "R2"),
    ]
    assert [(c.from_id, c.to_id, c.cable_type) for c in plan.backbone] == [
        ("MAIN", "UP", "om4-12"),
        ("MAIN", "UP", "cat6a"),
    ]
    assert [c.route.length_m for c in plan.backbone if c.route] == [30, 40]


def test_a_run_recorded_later_takes_over_the_label_of_its_cable() -> None:
    before = labels_of(SMALL)
    first = changed(SMALL, runs=(run("R9", "MAIN", "UP", 30),), issued_labels=before.issued)
    after = labels_of(first)
    assert after.cable == before.cable
    both = changed(first, runs=(run("R1", "UP", "MAIN", 31), run("R9", "MAIN", "UP", 30)), issued_labels=after.issued)
    assert {c.label for c in plan_network(both).backbone} == {"1A/2A-1", "1A/2A-2"}


def test_the_label_of_a_thing_that_is_gone_is_not_issued_again() -> None:
    one = site(
        closets=(closet("C1", 0, 0), closet("C2", 9, 0)),
        switches=(switch("S1", "C1"), switch("S2", "C2")),
        openings=(door("D1", 0, 0), door("D2", 9, 0)),
    )
    record = labels_of(one).issued
    later = changed(
        one,
        closets=(closet("C3", 9, 0), closet("C2", 0, 0)),
        switches=(switch("S2", "C2"), switch("S3", "C3")),
        openings=(door("D2", 9, 0),),
        issued_labels=record,
    )
    labels = labels_of(later)
    assert labels.closet == {"C3": "1C", "C2": "1B"}
    assert {(i.kind, i.subject): i.label for i in labels.issued}["closet", "C1"] == "1A"


def test_a_floor_of_more_closets_than_letters_is_refused_in_words() -> None:
    closets = tuple(closet(f"C{i}", i, 0) for i in range(27))
    with pytest.raises(LabelError, match="closet C26: floor 1 has more than the 26 closets"):
        plan_network(site(closets=closets, openings=(door("D1", 0, 0),)))
    assert labels_of(site(closets=closets[:26], openings=(door("D1", 0, 0),))).closet["C25"] == "1Z"


def test_more_storeys_than_two_digits_are_refused_in_words() -> None:
    with pytest.raises(LabelError, match="the site has more levels"):
        floor_numbers(site(levels=tuple(Level(id=f"L{i}", elevation_m=i) for i in range(100))))


def test_more_switches_than_letters_go_on_in_the_next_rack() -> None:
    switches = tuple(switch(f"S{i}", "MAIN") for i in range(27))
    labels = labels_of(changed(SMALL, switches=switches, openings=(door("D1", 0, 0, switch="S26", port=1),)))
    assert (labels.switch["S25"], labels.switch["S26"]) == ("1A.R1-Z", "1A.R2-A")
    assert labels.port["S26:1"] == "1A.R2-A:01"


def test_a_door_added_at_the_end_takes_no_label_from_a_mark_that_looks_like_a_cables() -> None:
    one = changed(SMALL, openings=(door("1A-A02", 0, 0), door("D1", 0, 0)))
    before = labels_of(one)
    assert (before.opening["1A-A02"], before.cable["1A-A02"], before.cable["D1"]) == ("1A-A02", "1A-A01", "1A-Z01")
    after = labels_of(changed(one, openings=(*one.openings, door("1A-Z01", 0, 0))))
    assert after.cable.items() >= before.cable.items()
    assert after.opening == {**before.opening, "1A-Z01": "1-1A-Z01"}


def test_the_record_names_each_port_in_use_and_who_is_on_it() -> None:
    one = changed(SMALL, openings=SMALL.openings[:1])
    ports = [(i.subject, i.label) for i in labels_of(one).issued if i.kind == "port"]
    assert ports == [("D0", "1A.R1-A:01"), ("S1:1", "1A.R1-A:01")]


def test_a_door_that_the_user_moves_leaves_its_old_port_on_the_record_behind() -> None:
    first = changed(SMALL, openings=(door("D0", 0, 0, closet="MAIN"),))
    moved = changed(first, openings=(door("D0", 0, 0, switch="S2", port=2),), issued_labels=labels_of(first).issued)
    labels = labels_of(moved)
    assert [i.label for i in labels.issued if (i.kind, i.subject) == ("port", "D0")] == ["1A.R1-B:02"]
    assert labels.cable["D0"] == "1A-A01"


def test_the_record_of_a_door_that_is_gone_stays_through_every_build() -> None:
    first = changed(SMALL, openings=SMALL.openings[:2])
    second = changed(first, openings=first.openings[1:], issued_labels=labels_of(first).issued)
    third = changed(second, openings=second.openings, issued_labels=labels_of(second).issued)
    assert ("port", "D0") in {(i.kind, i.subject) for i in labels_of(third).issued}


def test_a_label_of_a_run_is_kept_free_for_its_cable() -> None:
    labels = labels_of(changed(SMALL, runs=(run("R1", "MAIN", "D0", label="1A"),)))
    assert (labels.cable["D0"], labels.closet["MAIN"]) == ("1A", "1B")


def test_what_the_user_gives_and_the_record_confirms_is_not_overruled() -> None:
    closets = (closet("MAIN", 0, 0, letter="A"), closet("UP", 0, 0, "U"))
    one = changed(SMALL, closets=closets, issued_labels=(issued("closet", "MAIN", "1A"),))
    assert labels_of(one).overruled == ()


def test_cables_between_two_closets_keep_their_labels_when_runs_change_places_or_go() -> None:
    r9, r1 = run("R9", "MAIN", "UP", 30), run("R1", "MAIN", "UP", 31)
    record = labels_of(changed(SMALL, runs=(r9, r1))).issued

    def backbone(*runs: object) -> dict[str, str]:
        return {c.run_id: c.label for c in plan_network(changed(SMALL, runs=runs, issued_labels=record)).backbone}

    assert backbone(r9, r1) == backbone(r1, r9) == {"R9": "1A/2A-1", "R1": "1A/2A-2"}
    assert backbone(r1) == {"R1": "1A/2A-2"}


def test_a_building_keeps_the_code_that_its_issued_closets_bear() -> None:
    """A building put before it in the input would else take B1 from it."""
    levels_xy = tuple(Level(id=name, building=name.upper(), elevation_m=0) for name in "xy")
    one = site(
        buildings=(Building(id="Y"), Building(id="X")),
        levels=levels_xy,
        closets=(closet("CX", 0, 0, "x"), closet("CX2", 9, 0, "x"), closet("CY", 0, 0, "y")),
        openings=(door("D1", 0, 0, "x"),),
        issued_labels=(issued("closet", "CX", "B1-1A"),),
    )
    assert labels_of(one).closet == {"CX": "B1-1A", "CX2": "B1-1B", "CY": "B2-1A"}


def test_a_port_whose_label_is_anothers_takes_a_number_past_the_last() -> None:
    """S1 has three ports; the label of its second is on record for a cable."""
    labels = labels_of(changed(SMALL, issued_labels=(issued("cable", "D0", "1A.R1-A:02"),)))
    assert [labels.port[f"S1:{n}"] for n in (1, 2, 3)] == ["1A.R1-A:01", "1A.R1-A:04", "1A.R1-A:03"]
