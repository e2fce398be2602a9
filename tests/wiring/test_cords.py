"""Patch and equipment cords are part of the loop that a powered device is fed over."""

import pytest


def loop_ohm(site_of, **info):
    return (
        site_of({"lock": "strike-12-secure"}, cord_stranding="solid", coldest_c="20", pathway_c="20", **info)
        .doors[0]
        .link.loop_ohm
    )


def test_cords_add_their_own_copper_to_the_loop(site_of):
    """24 AWG: 25.67 ohm for 1000 ft of solid copper at 20 °C (NBS Handbook 100, table of annealed copper).

    Two pairs: out over two conductors side by side and back over two, so that the loop is that of one conductor.
    """
    at_20_c = {"ambient_c": "20", "cord_gauge": "24 AWG"}
    none, some = (loop_ohm(site_of, cords_total_m=length, **at_20_c) for length in ("0", "20"))
    assert some - none == pytest.approx(20 * 25.67 / 304.8, rel=2e-3)
    assert loop_ohm(site_of, cords_total_m="20", ambient_c="20", cord_gauge="26 AWG") > some
