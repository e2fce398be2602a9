"""The bench of a site's doors: which table each uses, and the script of each table."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Final

from riserkit.bench.topology import has_bench, topology_name, topology_script
from riserkit.circuits.errors import CircuitError
from riserkit.design import DoorDesign
from riserkit.page.values import Bench
from riserkit.wiring.arrangement import DoorCircuit

BENCH_FOLDER: Final = "bench"


def door_bench(door: DoorDesign) -> Bench | None:
    """A door's bench, its script left to `bench_file`; None where it has no circuit, or one that cannot be computed."""
    circuit = door.wiring.circuit
    if circuit is None or not has_bench(circuit):
        return None
    return Bench(topology_name(circuit), "", {"mark": door.mark})


def topologies(doors: Iterable[DoorDesign]) -> dict[str, DoorCircuit]:
    """One circuit for each table that these doors use, by its name."""
    found: dict[str, DoorCircuit] = {}
    for door in doors:
        circuit = door.wiring.circuit
        if circuit is not None and has_bench(circuit):
            found.setdefault(topology_name(circuit), circuit)
    return found


def bench_file(circuit: DoorCircuit) -> str:
    """Text of `bench/<topology>.js`; where the circuit cannot be solved, a table that says why."""
    try:
        return topology_script(circuit)
    except CircuitError as error:
        name = json.dumps(topology_name(circuit))
        return f"(window.riserkitBench ??= {{}})[{name}] = {json.dumps({'failed': str(error)})};\n"
