"""Each hand-made hole is caught by the right rule and by no other: rules run over a door told to be wired so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from riserkit.circuits.netlist import Element, ElementKind
from riserkit.findings import Verdict
from riserkit.proofs.values import DoorProof
from riserkit.rules._shared.evaluate import check

PLACED = {"release_height_m": 1.1, "release_distance_m": 0.5, "release_sign": True}
DOOR = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "rex-motion", "release": "release-30",
        "fire_alarm_release": True, **PLACED}  # fmt: skip


def input_only(lab):
    return lab.circuit(lab.rewired(("X1.1 S1.11", "X1.1 X1.2"), ("S1.12 X1.2", "")))


def normally_open_side(lab):
    return lab.circuit(lab.rewired(("K2.NC B2.C2", "K2.NO B2.C2")))


def diode_backwards(lab):
    diode = lab.part("R1", "A K", Element("diode", ElementKind.DIODE, "A", "K", {"v_forward_v": 0.7, "r_on_ohm": 0.05}))
    limited = lab.part(
        "G1", "S+ S-", lab.source("output", "_s", "S-", 12.0, i_limit_a=3.0),
        lab.contact("mains", "_s", "S+", "G1.mains_lost", True),
    )  # fmt: skip
    return lab.circuit((*lab.sound, ("", "R1.A", "M1.+"), ("", "R1.K", "M1.-")), diode, G1=limited)


def wrong_pole(lab):
    changes = (("X1.1 S1.11", "X1.1 S1.23"), ("S1.12 X1.2", "S1.24 X1.2"), ("K1.R S1.23", "K1.R S1.11"),
               ("K1.IC S1.24", "K1.IC S1.12"))  # fmt: skip
    return lab.circuit(lab.rewired(*changes))


def shared_return(lab):
    """The alarm relay breaks a return that the sensor shares, and the lock's current finds back over an input's wire."""
    return lab.circuit((
        *lab.rewired(
            ("X1.2 K3.C", "X1.2 X1.3"), ("K3.NC X1.3", ""), ("M1.- X1.0", "M1.- K3.C"), ("B2.- X1.0", "B2.- K3.C")
        ),
        ("W7", "K3.NC", "X1.0"), ("W9", "K3.C", "B2.C"), ("W9", "K1.A-", "X1.0"),
    ))  # fmt: skip


HOLES = [
    pytest.param(input_only, "release-by-hand", id="release wired into an input only"),
    pytest.param(normally_open_side, "lock-follows-controller", id="fail-safe on the normally open side"),
    pytest.param(diode_backwards, "lock-follows-controller", id="diode backwards"),
    pytest.param(wrong_pole, "release-by-hand lock-follows-controller", id="button across the wrong pole"),
    pytest.param(shared_return, "release-on-fire-alarm", id="shared return broken"),
]


class Told:
    """A book of proofs that tells one proof, whatever door is asked for."""

    def __init__(self, proof):
        self._proof = proof

    def proof(self, mark):
        return self._proof


def failing_rules(site_of, lab, wired):
    """Rules with a failing finding on a door that is told to be wired so; not what is noted of the site's own facts."""
    made = site_of(DOOR)
    door = made.doors[0]
    proof = DoorProof(door.mark, lab.prove(wired), door.proof.asked)
    told = replace(made, doors=(replace(door, book=Told(proof)),))
    return {f.rule for f in check(told) if f.verdict is Verdict.FAIL} - {"assumed-values"}


def test_the_sound_door_has_only_what_every_fail_safe_door_has(site_of, lab):
    assert failing_rules(site_of, lab, lab.circuit()) == {"fault-leaves-unlocked", "undetected-fault"}


@pytest.mark.parametrize(("hole", "rule"), HOLES)
def test_a_hole_is_caught_by_its_rule_and_by_no_other(site_of, lab, hole, rule):
    found = failing_rules(site_of, lab, hole(lab))
    assert found - {"fault-leaves-unlocked", "undetected-fault"} == set(rule.split())
