"""The bench of a site's doors: which table each uses, and the script of each table."""

from __future__ import annotations

import json
from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path
from typing import Final

from riserkit.bench.topology import has_bench, topology_name, topology_script
from riserkit.circuits.errors import CircuitError
from riserkit.design import DoorDesign
from riserkit.kept import KeptWork
from riserkit.page.values import Bench
from riserkit.wiring.arrangement import DoorCircuit

BENCH_FOLDER: Final = "bench"
_KEPT_AS: Final = "bench script"


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


def script_of_before(circuit: DoorCircuit, kept: KeptWork, earlier: Path) -> str | None:
    """Text of a topology's file as an earlier page has it; None where anything that it rests on has changed, or the file has.

    Args:
        circuit: of the topology.
        kept: has the digest of the file.
        earlier: the folder of the earlier page, which need not be there.
    """

    def read(digest: str) -> str:
        try:
            text = (earlier / _file_name(circuit)).read_text("utf-8")
        except OSError as error:
            raise ValueError("there is no such file that can be read") from error
        if _digest(text) != digest:
            raise ValueError("the file is not what was worked out")
        return text

    return kept.found(_KEPT_AS, circuit, read)


def write_bench(circuit: DoorCircuit, text: str, kept: KeptWork, folder: Path) -> None:
    """Write a topology's file into the folder of a page, and keep its digest for the next page."""
    (folder / _file_name(circuit)).write_text(text, "utf-8")
    kept.keep(_KEPT_AS, circuit, _digest(text), str, str)


def _file_name(circuit: DoorCircuit) -> str:
    return f"{BENCH_FOLDER}/{topology_name(circuit)}.js"


def _digest(text: str) -> str:
    return sha256(text.encode("utf-8")).hexdigest()
