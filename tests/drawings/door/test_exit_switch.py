"""An exit switch in the elevation and its table: where a hand finds it."""

from __future__ import annotations

from typing import Any

import pytest

from riserkit.design import DoorDesign, design
from riserkit.drawings.door.devices import elevation_devices, opening_shape
from riserkit.drawings.door.tables import device_table
from riserkit.drawings.elevation.values import ElevationDevice, OpeningShape
from riserkit.drawings.wiring.problem import heading_of
from riserkit.drawings.wiring.values import Style
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site
from riserkit.reports.test_sheet import site_test_table
from riserkit.wiring.readings.questions import questions

BASE = {"level": "L1", "x_m": 6.0, "y_m": 4.0, "controller": "controller-c4", "contact": "contact-reed",
        "lock": "strike-12-secure", "fail_mode": "fail-secure", "egress": "mechanical", "free_egress_hardware": True}  # fmt: skip


def _door(**stated: Any) -> tuple[Site, DoorDesign, OpeningShape]:
    rows = {
        "levels": {"id": "L1", "elevation_m": 0.0, "ceiling_m": 2.9},
        "closets": {"id": "C1", "level": "L1", "x_m": 2.0, "y_m": 2.0},
        "switches": {"id": "SW1", "closet": "C1", "ports": 24, "poe_class": 4, "on_ups": True},
        "openings": {"mark": "101", **BASE, **stated},
    }
    site = assemble_site(RawSite(None, {name: [RawRecord(row, Where(name, 2))] for name, row in rows.items()}))
    door = design(site).door["101"]
    return site, door, opening_shape(door.opening, site)


def _request(**stated: Any) -> tuple[ElevationDevice, OpeningShape, tuple[ElevationDevice, ...]]:
    site, door, shape = _door(**stated)
    devices = elevation_devices(door, site, shape)
    return next(d for d in devices if d.ref == "B2"), shape, devices


@pytest.mark.parametrize("hinges", ["left", "right"])
def test_an_exit_switch_stands_beside_the_latch_at_button_height(hinges: str) -> None:
    """40 to 48 in (common practice, no source)."""
    switch, shape, devices = _request(rex="rex-button", hinges=hinges)
    assert 40 * 0.0254 <= switch.y_m <= 48 * 0.0254
    assert switch.dimensioned
    assert switch.symbol == "elev_release"
    assert switch.hidden
    # on the wall at the latch, not over the leaf
    assert (switch.x_m > shape.width_m) if hinges == "left" else (switch.x_m < 0)
    row = next(row for row in device_table(devices, "metric").rows if row[0] == "B2")
    assert row[2:] == ("secured side", "1016", "typical")


def test_a_stated_height_moves_it_and_is_called_stated() -> None:
    switch, _, _ = _request(rex="rex-button", rex_height_m=1.1)
    assert (switch.y_m, switch.basis) == (1.1, "stated")


def test_a_motion_sensor_stays_above_the_header() -> None:
    sensor, shape, _ = _request(rex="rex-motion")
    assert sensor.y_m > shape.height_m
    assert sensor.symbol == "elev_rex"


@pytest.mark.parametrize(
    ("stated", "ref"), [({"rex": "rex-button"}, "B2"), ({"rex": "rex-motion", "release": "release-30"}, "S1")]
)
def test_a_stated_height_moves_symbol_table_cable_and_test_sheet(
    stated: dict[str, Any], ref: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("riserkit.reports.test_sheet._cached_gaps", lambda *_: "")
    name = "release_height_m" if ref == "S1" else "rex_height_m"
    said, lengths_m = [], []
    for height_m in (1.05, 1.2):
        site, door, shape = _door(
            **stated,
            **{name: height_m},
            hinges="left",
            lock="magnet-12-600",
            fail_mode="fail-safe",
            egress="sensor-release",
        )
        devices = elevation_devices(door, site, shape)
        device = next(d for d in devices if d.ref == ref)
        assert (device.y_m, device.symbol) == (height_m, "elev_release")
        row = next(row for row in device_table(devices, "metric").rows if row[0] == ref)
        assert row[3:] == (f"{height_m * 1000:.0f}", "stated")
        rows = site_test_table(design(site)).rows
        said.append(next(text for row in rows for text in row if isinstance(text, str) and f"{ref}: measure" in text))
        assert f"note: {ref}: measure {height_m * 1000:.0f} mm (stated) from the floor to its centre; " in said[-1]
        assert "beside the door" in said[-1]
        netlist = door.wiring.netlist
        assert netlist is not None
        cables = {c.cable for c in netlist.conductors if ref in (c.a.component, c.b.component)}
        lengths_m.append(next(c.length_m for c in netlist.cables if c.ref in cables))
    # each is a whole centimetre
    assert lengths_m[0] - lengths_m[1] == pytest.approx(0.15, abs=0.01 + 1e-9)


def test_a_crew_is_told_to_press_an_exit_switch_and_to_move_at_a_sensor() -> None:
    for rex, act, other in (("rex-button", "B2 pressed", "motion at B2"), ("rex-motion", "motion at B2", "B2 pressed")):
        circuit = _door(rex=rex)[1].wiring.circuit
        assert circuit is not None
        states = {one.state for one in questions(circuit)}
        assert act in states
        assert other not in states


def test_a_lock_in_reach_says_so_once() -> None:
    netlist = _door(type="gate", lock_accessible=True)[1].wiring.netlist
    assert netlist is not None
    heading = heading_of(netlist.component("M1"), Style())
    assert " ".join(heading.place) == "at the door, accessible"
