"""Schedules say what the design says, once each, in the site's units."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest

from riserkit.checked import Checked
from riserkit.design import design
from riserkit.holds import read_holds
from riserkit.model.records import IssuedLabel
from riserkit.reports.schedules.equipment import supplies_table
from riserkit.reports.schedules.site import all_schedules, standings
from riserkit.reports.table import ReportTable, to_csv
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS

NAMES = (
    "openings", "horizontal_cables", "backbone_cables", "lock_power_cables", "device_cables", "conductors", "spare_conductors",
    "switch_ports", "supplies", "issued_labels", "acceptances",
)  # fmt: skip


def tables(checked: Checked) -> dict[str, ReportTable]:
    return {table.name: table for table in all_schedules(checked)}


def rows(checked: Checked, name: str) -> list[dict[str, Any]]:
    table = tables(checked)[name]
    return [dict(zip(table.columns, row, strict=True)) for row in table.rows]


def test_every_schedule_is_there_and_reads_as_csv(checked: Checked) -> None:
    found = tables(checked)
    assert tuple(found) == NAMES
    for table in found.values():
        read = list(csv.reader(io.StringIO(to_csv(table))))
        assert tuple(read[0]) == table.columns
        assert len(read) == len(table.rows) + 1


def test_openings(checked: Checked) -> None:
    by_mark = {row["mark"]: row for row in rows(checked, "openings")}
    assert list(by_mark) == [d.mark for d in checked.design.doors]
    # 101 stands at (20, 5): 25 m in plan, 3 m of slack at the closet and 1 m at the door (common practice), and drops
    assert by_mark["101"]["cable"] == "1A-A01"
    assert by_mark["101"]["port"] == "1A.R1-A:01"
    assert by_mark["101"]["closet"] == "1A"
    assert by_mark["101"]["basis"] == "estimated"
    assert by_mark["101"]["length_m"] == pytest.approx(checked.design.door["101"].cable.route.length_m, abs=0.05)
    assert (by_mark["102"]["arrangement"], by_mark["102"]["fail_mode"]) == ("splitter-magnet", "fail-safe")
    assert by_mark["107"]["arrangement"] == "none feasible"
    assert by_mark["108"]["arrangement"] == "none feasible"


def test_an_opening_stands_as_the_worst_that_is_said_of_it(checked: Checked) -> None:
    by_mark = {row["mark"]: row["status"] for row in rows(checked, "openings")}
    for mark, shown in by_mark.items():
        about = [f for f in checked.findings if f.subject == mark and f.subject_kind in {"opening", "cable"}]
        open_ones = {str(f.severity) for f in about if f.is_open}
        worst = next((s for s in ("error", "warning", "note") if s in open_ones), None)
        accepted = any(f.acceptance for f in about)
        assert shown == (worst or ("accepted" if accepted else "pass"))
    assert standings(()) == {}


def test_device_cables_count_their_conductors(checked: Checked) -> None:
    by_label = {row["cable"]: row for row in rows(checked, "device_cables")}
    netlist = checked.design.door["105"].wiring.netlist
    locks = [f"105-{c.ref}" for c in netlist.cables if c.role == "lock"]
    assert len(locks) == 2
    for label, lock in zip(locks, ("M1", "M2"), strict=True):
        row = by_label[label]
        assert (row["from"], row["to"], row["conductors"], row["used"], row["spare"]) == ("K1", lock, 4, 2, 2)
    assert not any(row["serves"] == "data" for row in by_label.values())
    feed = next(row for row in by_label.values() if row["opening"] == "103" and row["serves"] == "feed")
    assert (feed["from"], feed["to"]) == ("G1", "K2, X1")


def test_conductors_are_those_of_the_netlists(checked: Checked) -> None:
    found = rows(checked, "conductors")
    expected = [
        (d.mark, c.ref, str(c.a), str(c.b), c.colour)
        for d in checked.design.doors
        if d.wiring.netlist
        for c in d.wiring.netlist.conductors
    ]
    assert [(r["opening"], r["no"], r["from"], r["to"], r["colour"]) for r in found] == expected
    data = [r for r in found if r["opening"] == "101" and r["from"] == "N1.J"]
    assert [r["cable"] for r in data] == ["1A-A01"]
    assert {r["length_m"] for r in found if r["cable"] == "lead"} == {None}


@pytest.mark.parametrize("name", ["device_cables", "conductors"])
def test_a_circuit_that_fails_its_checks_is_not_to_be_pulled(checked: Checked, name: str) -> None:
    holds = read_holds(checked.design, checked.findings)
    words = {(r["opening"], r["hold"]) for r in rows(checked, name)}
    assert words == {(str(mark), holds.words(str(mark))) for mark in range(101, 108)}
    assert holds.words("107").startswith(("HOLD: ", "ACCEPTED BY M. Iyer: no-suitable-wiring"))


def test_each_spare_conductor_is_named(checked: Checked) -> None:
    found = rows(checked, "spare_conductors")
    assert len([r for r in found if r["opening"] == "105"]) == 4
    assert len(found) == sum(len(d.wiring.netlist.spares) for d in checked.design.doors if d.wiring.netlist)
    assert {r["what_to_do"] for r in found} == {"cut back and insulate by itself, both ends"}


def test_every_port_is_listed_once(checked: Checked) -> None:
    found = rows(checked, "switch_ports")
    assert [r["port"] for r in found] == list(range(1, 13))
    assert [r["opening"] for r in found] == [*(str(m) for m in range(101, 109)), "free", "free", "uplink", "uplink"]
    assert len({r["label"] for r in found}) == 12
    assert found[0]["cable"] == "1A-A01"


def test_a_ups_stands_among_the_supplies_with_its_doors(site_of) -> None:
    site = site_of({"lock": "strike-12-secure"}, {"lock": "strike-12-secure"}).site
    ups = {"id": "UPS-1", "closet": "C1", "battery_wh": 800, "efficiency": 0.9}
    table = supplies_table(design(site.with_changes(upses=[ups], switches={"S": {"ups": "UPS-1"}})))
    row = dict(zip(table.columns, table.rows[-1], strict=True))
    assert (row["supply"], row["part"], row["openings"], row["on_battery"]) == (
        "UPS-1",
        "UPS, 800 Wh",
        "101 102",
        "yes",
    )


def test_supplies_carry_the_sum_of_their_doors(checked: Checked) -> None:
    by_name = {row["supply"]: row for row in rows(checked, "supplies")}
    first = by_name["PS-1"]
    load_a = sum(checked.design.door[m].wiring.voltages.supply_a for m in ("103", "104"))
    assert first["openings"] == "103 104"
    assert first["load_a"] == pytest.approx(load_a, abs=5e-4)
    assert (first["rated_a"], first["output_v"], first["on_battery"]) == (4.0, 24.0, "yes")
    assert (by_name["PS-2"]["openings"], by_name["PS-2"]["on_battery"]) == ("106", "no")
    assert by_name["to be added"]["openings"] == "107"


def test_issued_labels_can_be_fed_back(checked: Checked) -> None:
    table = tables(checked)["issued_labels"]
    read = list(csv.DictReader(io.StringIO(to_csv(table))))
    assert [IssuedLabel.model_validate(row) for row in read] == list(checked.design.labels.issued)


def test_acceptances_say_what_they_accept(checked: Checked) -> None:
    found = rows(checked, "acceptances")
    assert [r["subject"] for r in found] == ["107", "101"]
    assert found[0]["finding"].startswith(f"No suitable arrangement among {len(SHIPPED_ARRANGEMENTS)} considered; ")
    assert "highest voltage at the lock" in found[0]["finding"]
    assert found[1]["finding"] == "matches no finding"
    assert (found[0]["name"], found[0]["date"]) == ("M. Iyer", "2026-03-01")


def test_lengths_follow_the_sites_units(checked: Checked, imperial: Checked) -> None:
    """A foot is 0.3048 m exactly (NIST SP 811)."""
    metric, feet = rows(checked, "backbone_cables"), rows(imperial, "backbone_cables")
    assert metric[0]["length_m"] == 30.0
    assert feet[0]["length_ft"] == pytest.approx(30.0 / 0.3048, abs=0.05)
    for name in ("openings", "horizontal_cables", "device_cables", "conductors"):
        assert "length_ft" in tables(imperial)[name].columns
        assert "length_m" in tables(checked)[name].columns


def test_nothing_checked_stands_as_not_checked(checked: Checked) -> None:
    table = all_schedules(Checked(checked.design))[0]
    assert {row[table.columns.index("status")] for row in table.rows} == {"not checked"}
