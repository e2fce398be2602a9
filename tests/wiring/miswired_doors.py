"""Doors of every arrangement and of its variants, to be miswired one wire at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from riserkit.circuits.miswirings import Miswiring
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.shown import Judged, MeterSheet, door_miswirings

# variant -> (arrangement, what differs from the door that the tests of that arrangement use)
VARIANTS: Mapping[str, tuple[str, Mapping[str, Any]]] = {
    "direct": ("direct", {}),
    "direct, fail-safe": ("direct", {"lock": "strike-12-safe"}),
    "direct with peripherals": ("direct-with-peripherals", {}),
    "direct with peripherals, fail-safe": ("direct-with-peripherals", {"lock": "strike-12-safe"}),
    "direct with peripherals, two leaves": ("direct-with-peripherals", {"lock_count": 2, "type": "double"}),
    "direct with peripherals, in and out readers": (
        "direct-with-peripherals",
        {"controller": "controller-box", "reader_in": "reader-out", "reader_out": "reader-out"},
    ),
    "direct with peripherals, auxiliary contact": (
        "direct-with-peripherals",
        {"rex": "", "rex_aux_input": "auxiliary"},
    ),
    "direct with peripherals, exit switch": ("direct-with-peripherals", {"rex": "rex-button"}),
    "relay module": ("relay-module", {}),
    "relay module, fail-safe": ("relay-module", {"lock": "strike-12-safe"}),
    "relay module, magnet": ("relay-module", {"lock": "magnet-12-300", "release": "release-30"}),
    "relay by voltage": ("relay-by-voltage", {}),
    "relay by voltage, fail-safe": ("relay-by-voltage", {"lock": "strike-12-safe"}),
    "outside supply": ("relay-external-supply", {}),
    "outside supply, fail-secure": ("relay-external-supply", {"lock": "strike-24-secure", "egress": "mechanical"}),
    "outside supply, 12 V magnet": ("relay-external-supply", {"lock": "magnet-12-600"}),
    "outside supply, two leaves": ("relay-external-supply", {"lock_count": 2, "type": "double"}),
    "outside supply, by voltage": ("relay-external-supply", {"relay": "relay-volt"}),
    "controller's contact": ("controller-contact", {}),
    "controller's contact, fail-secure": ("controller-contact", {"lock": "strike-24-secure", "egress": "mechanical"}),
    "controller's contact, fail-safe strike alone": (
        "controller-contact",
        {"lock": "strike-24-safe", "egress": "mechanical", "rex": "", "fire_alarm_release": False},
    ),
    "controller's contact, two leaves": ("controller-contact", {"lock_count": 2, "type": "double"}),
    "relay module, controller with dry output": ("relay-module", {"controller": "controller-dry-reader"}),
    "dry trigger": ("dry-trigger", {}),
    "splitter": ("splitter-magnet", {}),
    "splitter, no fire relay": ("splitter-magnet", {"fire_alarm_release": False}),
    "splitter, in and out readers": (
        "splitter-magnet",
        {"controller": "controller-box", "reader_in": "reader-out", "reader_out": "reader-out"},
    ),
}


def variant_circuits(doors: Any) -> Iterator[tuple[str, DoorCircuit]]:
    """Every variant's circuit, by name."""
    for name, (arrangement, differs) in VARIANTS.items():
        yield name, doors.circuit(arrangement, {**doors.served[arrangement], **differs})


def judge_miswirings(
    circuit: DoorCircuit, at: Temperatures, wanted: Iterable[Miswiring] | None = None
) -> tuple[Judged, ...]:
    """Every miswiring of a door judged, functional or not.

    Args:
        circuit: the door's wiring.
        at: coldest and hottest conductor.
        wanted: those to judge; None for all.
    """
    sheet = MeterSheet(circuit, at)
    every = tuple(door_miswirings(circuit) if wanted is None else wanted)
    return tuple(map(Judged, every, sheet.all_changes(every), sheet.all_shown_by(every)))
