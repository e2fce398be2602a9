"""Corner cases against single solutions, and where the worst of them must lie."""

from __future__ import annotations

import numpy as np
import pytest

from riserkit.circuits.cases import SourceLevel
from riserkit.circuits.corners import CORNERS, solve_corners
from riserkit.circuits.errors import UnknownControlError
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.solve import solve

ON = {"G1.mains": True}
PRESSED = {"G1.mains": True, "S3.pressed": True}


def test_every_corner_is_the_single_solution(magnet):
    nets = [magnet(0.2), magnet(0.9), magnet(1.5)]
    corners = solve_corners(nets, -20.0, 50.0, [ON, PRESSED])
    assert corners.count == 3 * 2 * 4
    for k, net in enumerate(nets):
        for s, state in enumerate((ON, PRESSED)):
            for c, corner in enumerate(CORNERS):
                one = solve(net, state, corner.level, 50.0 if corner.hot else -20.0)
                assert corners.element_v(k, "Y1.coil")[s, c] == one.element_v("Y1.coil")[0]
                assert corners.element_a(k, "K1.load")[s, c] == one.element_a("K1.load")[0]


def test_worst_corner_by_hand(make):
    """10 V to 14 V, 1 Ω of copper at 20 °C, 9 Ω: lowest at 10 V and 60 °C, highest at 14 V and 0 °C."""
    parts = (
        make.component("G", "+ -", make.element("s", "source + -", v_nominal_v=12.0, v_low_v=10.0, v_high_v=14.0)),
        make.component("Y", "+ -", make.element("r", "resistor + -", r_ohm=9.0)),
    )
    wires = (make.conductor("1", "G.+", "Y.+", 0.5), make.conductor("2", "Y.-", "G.-", 0.5))
    corners = solve_corners([Netlist(parts, (), wires, (), "G.-")], 0.0, 60.0)
    volts = corners.element_v(0, "Y.r")[0]
    hot, cold = 1.0 + 0.00393 * 40.0, 1.0 - 0.00393 * 20.0
    expected = [
        10.0 * 9.0 / (9.0 + cold),
        10.0 * 9.0 / (9.0 + hot),
        14.0 * 9.0 / (9.0 + cold),
        14.0 * 9.0 / (9.0 + hot),
    ]
    assert volts == pytest.approx(expected, rel=1e-6)
    assert str(CORNERS[int(volts.argmin())]) == "lowest source, hottest conductor"
    assert str(CORNERS[int(volts.argmax())]) == "highest source, coldest conductor"


def test_structures_are_mixed_and_each_netlist_keeps_its_place(make, magnet):
    plain = make.board(
        "0 1", make.element("s", "source 1 0", v_nominal_v=5.0, r_ohm=1.0), make.element("r", "resistor 1 0", r_ohm=4.0)
    )
    corners = solve_corners([magnet(0.2), plain, magnet(0.9)], 0.0, 50.0, [ON])
    assert corners.element_v(1, "N.r") == pytest.approx(np.full((1, 4), 4.0))
    assert (
        corners.element_v(2, "Y1.coil")[0, 1] == solve(magnet(0.9), ON, SourceLevel.LOW, 50.0).element_v("Y1.coil")[0]
    )


def test_temperatures_may_differ_by_netlist(magnet):
    corners = solve_corners([magnet(0.9), magnet(0.9)], np.array([0.0, 10.0]), np.array([40.0, 70.0]), [ON])
    assert (
        corners.element_v(1, "Y1.coil")[0, 1] == solve(magnet(0.9), ON, SourceLevel.LOW, 70.0).element_v("Y1.coil")[0]
    )
    assert corners.element_v(0, "Y1.coil")[0, 1] > corners.element_v(1, "Y1.coil")[0, 1]


def test_collapse_is_marked_for_its_netlist_alone(magnet):
    corners = solve_corners([magnet(0.2), magnet(9.0)], 0.0, 50.0, [ON])
    assert corners.sound(0)
    assert not corners.sound(1)


def test_unknown_state_is_named(magnet):
    with pytest.raises(UnknownControlError, match="typo"):
        solve_corners([magnet()], 0.0, 50.0, [{"typo": True}])
