"""Hand-made circuits, each with one known hole: the right property fails, and no other."""

from __future__ import annotations

from dataclasses import replace

import pytest

from riserkit.circuits.netlist import Element, ElementKind
from riserkit.proofs.values import Outcome

DIODE = {"v_forward_v": 0.7, "r_on_ohm": 0.05}


def test_the_sound_door_has_no_hole(lab):
    found = lab.outcomes(lab.prove(lab.circuit()))
    assert found.pop("fail-secure-on-power-loss") is Outcome.NOT_APPLICABLE
    found.pop("fault-leaves-unlocked"), found.pop("undetected-fault")
    assert set(found.values()) == {Outcome.PASS}


def test_release_wired_into_an_input_only(lab):
    wires = lab.rewired(("X1.1 S1.11", "X1.1 X1.2"), ("S1.12 X1.2", ""))
    proof = lab.prove(lab.circuit(wires))
    assert lab.failing(proof) == {"release-by-hand"}
    example = proof.about("release-by-hand").counterexample
    assert example is not None
    assert not example.faults, "the sound circuit shows it, with a controller that does not listen"
    assert example.state["S1.pressed"]
    assert not example.state["K1.output"]
    # Nine wires of 0.2 Ω, four contacts and the source in series with 24 Ω; the sensor's 25 mA share the way to it.
    assert example.coil_v == pytest.approx(12.0 * 24.0 / (24.0 + 9 * 0.2 + 4 * 0.05 + 0.02), abs=0.02)
    joined = {
        str(k) for k, wire in enumerate(wires, start=1) if wire[0] in {"W3", "W5", "W7", "W8"} or wire[2] == "X1.2"
    }
    assert {"18", "17"} <= set(example.path) <= joined, "the lock's own feed, and nothing of the inputs"


def test_fail_safe_lock_on_the_normally_open_side(lab):
    proof = lab.prove(lab.circuit(lab.rewired(("K2.NC B2.C2", "K2.NO B2.C2"))))
    assert lab.failing(proof) == {"lock-follows-controller"}
    assert proof.about("release-on-sensor-loss").outcome is Outcome.NOT_EVALUATED


def test_diode_backwards(lab):
    """Anode at plus it is a short across the coil: the lock never gets more than the diode's forward voltage."""
    wires = (*lab.sound, ("", "R1.A", "M1.+"), ("", "R1.K", "M1.-"))
    diode = lab.part("R1", "A K", Element("diode", ElementKind.DIODE, "A", "K", DIODE))
    limited = lab.part(
        "G1", "S+ S-", lab.source("output", "_s", "S-", 12.0, i_limit_a=3.0),
        lab.contact("mains", "_s", "S+", "G1.mains_lost", True),
    )  # fmt: skip
    proof = lab.prove(lab.circuit(wires, diode, G1=limited))
    assert lab.failing(proof) == {"lock-follows-controller"}
    example = proof.about("lock-follows-controller").counterexample
    assert example is not None
    assert example.coil_v == pytest.approx(0.7 + 3.0 * (0.05 + 2 * 0.2), abs=0.06), "3 A through diode and its leads"
    right = (*lab.sound, ("", "R1.K", "M1.+"), ("", "R1.A", "M1.-"))
    assert lab.failing(lab.prove(lab.circuit(right, diode, G1=limited))) == set()


def test_button_across_the_wrong_pole(lab):
    """The lock on the closing pole, the input on the opening one: pressed it locks, and at rest it asks for release."""
    changes = (("X1.1 S1.11", "X1.1 S1.23"), ("S1.12 X1.2", "S1.24 X1.2"), ("K1.R S1.23", "K1.R S1.11"),
               ("K1.IC S1.24", "K1.IC S1.12"))  # fmt: skip
    proof = lab.prove(lab.circuit(lab.rewired(*changes)))
    assert lab.failing(proof) == {"release-by-hand", "lock-follows-controller"}


def test_alarm_relay_in_a_return_that_is_shared(lab):
    """In alarm the shared return is broken, and the lock's current finds back over the sensor's input wire."""
    wires = (
        *lab.rewired(
            ("X1.2 K3.C", "X1.2 X1.3"), ("K3.NC X1.3", ""), ("M1.- X1.0", "M1.- K3.C"), ("B2.- X1.0", "B2.- K3.C")
        ),
        ("W7", "K3.NC", "X1.0"), ("W9", "K3.C", "B2.C"), ("W9", "K1.A-", "X1.0"),
    )  # fmt: skip
    proof = lab.prove(lab.circuit(wires))
    assert lab.failing(proof) == {"release-on-fire-alarm"}
    example = proof.about("release-on-fire-alarm").counterexample
    assert example is not None
    back = {f"{a} {b}" for k, (_, a, b) in enumerate(wires, start=1) if str(k) in example.path}
    assert "K1.IC B2.C" in back


def test_sensor_that_only_tells_an_input(lab):
    """Without its own contact in the feed, an open wire or a controller without power leaves the lock powered."""
    wires = lab.rewired(("K2.NC B2.C2", "K2.NC X1.1"), ("B2.NC2 X1.1", ""))
    assert lab.failing(lab.prove(lab.circuit(wires))) == {"release-on-sensor-loss"}


def test_live_plus_beside_the_switched_feed(lab):
    """A cable with the supply's plus and the conductor after the button: shorted together they bypass the button."""
    wires = lab.rewired(
        ("K2.NC B2.C2", "K2.NC S1.11"), ("X1.1 S1.11", "S1.12 X1.1"), ("S1.12 X1.2", "X1.1 B2.C2"),
        ("B2.NC2 X1.1", "B2.NC2 X1.2"),
    )  # fmt: skip
    moved = tuple(("W5", a, b) if (a, b) == ("X1.1", "B2.C2") else (c, a, b) for c, a, b in wires)
    proof = lab.prove(lab.circuit(moved))
    assert lab.failing(proof) == {"release-by-hand"}
    example = proof.about("release-by-hand").counterexample
    assert example is not None
    assert "shorted" in example.words


def test_fail_secure_strike_on_the_normally_closed_side(lab):
    """Powered, that is released, whenever the module is at rest: it neither obeys nor stays locked."""
    strike = lab.part("M1", "+ -", lab.coil("coil", "+", "-", 48.0, 9.0, 1.8))
    told = {"powered": {"K1.output": True}, "commanded": {"K1.output": False}}
    proof = lab.prove(replace(lab.circuit(M1=strike), **told), fail_safe=False)
    assert {"lock-follows-controller", "fail-secure-on-power-loss", "release-on-power-loss"} <= lab.failing(proof)
    right = lab.circuit(lab.rewired(("K2.NC B2.C2", "K2.NO X1.3"), ("X1.3 M1.+", "X1.3 M1.+")), M1=strike)
    sound = lab.prove(replace(right, **told), fail_safe=False)
    assert sound.about("lock-follows-controller").outcome is Outcome.PASS
    assert sound.about("fail-secure-on-power-loss").outcome is Outcome.PASS
