"""The wiring of openings as they were built: the design's own, with what was landed and measured otherwise, judged anew.

Nothing is chosen: the arrangement, its cables and its supply are in the wall. What no longer holds fails its tests.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from riserkit.circuits.errors import FAILURES, failure_words
from riserkit.circuits.netlist import Netlist
from riserkit.model.as_built import AsBuilt
from riserkit.wiring.arrangement import CircuitBuild, DoorCircuit
from riserkit.wiring.choose.judge import Temperatures, solve_built
from riserkit.wiring.choose.reasons import solved_reasons
from riserkit.wiring.landed import OtherLanding, landed_otherwise, with_devices, with_landings, with_loop_resistance
from riserkit.wiring.need import DATA
from riserkit.wiring.readings.signals import Signals
from riserkit.wiring.readings.wired import without_message
from riserkit.wiring.reason import Reason
from riserkit.wiring.unstated import STATED_VALUES
from riserkit.wiring.values import DoorVoltages, DoorWiring

_SOLVED: Final = "computed"


@dataclass(frozen=True, slots=True)
class BuiltCircuit:
    """What makes the circuit of an opening as it was built: called, it gives it.

    Args:
        circuit: as built.
        design: as drawn, of the parts and lengths as built.
        build: what made that.
        landed: conductors landed otherwise than drawn.
    """

    circuit: DoorCircuit
    design: DoorCircuit
    build: CircuitBuild
    landed: tuple[OtherLanding, ...] = ()

    def __call__(self) -> DoorCircuit:
        """The circuit."""
        return self.circuit


def as_built_wiring(wiring: DoorWiring, built: AsBuilt, at: Temperatures) -> DoorWiring:
    """The wiring of one opening with what was landed and measured; itself where that changes nothing of its circuit.

    Args:
        wiring: as designed, of the parts and lengths as built.
        built: what has come back.
        at: coldest and hottest conductor.
    """
    build, circuit = wiring.build, wiring.circuit
    if circuit is None or not isinstance(build, CircuitBuild) or wiring.drawn is None:
        return wiring
    landed = landed_otherwise(circuit.netlist, built.landings_of.get(wiring.mark, ()))
    netlist = _as_built(circuit, landed, built, (wiring.mark, at.coldest_c))
    if netlist == circuit.netlist:
        return wiring
    as_built = replace(circuit, netlist=netlist)
    kept = tuple(r for r in wiring.drawn.reasons if not _is_solved(r))
    try:
        if netlist.unknown:
            volts = DoorVoltages()
            reasons: tuple[Reason, ...] = (Reason(STATED_VALUES, None, "not computed: its parts lack values"),)
        else:
            volts = solve_built(build.need, as_built, at)
            reasons = solved_reasons(build.need, as_built, build.choice, (volts,))[0]
    except FAILURES as error:
        volts = DoorVoltages()
        reasons = (Reason(_SOLVED, False, f"its circuit as built cannot be solved: {failure_words(error)}"),)
    candidate = replace(wiring.drawn, reasons=(*kept, *reasons), voltages=volts)
    return replace(
        wiring,
        chosen=candidate,
        considered=(candidate,),
        voltages=volts,
        build=BuiltCircuit(as_built, circuit, build, landed),
        nearest=None,
    )


def _is_solved(reason: Reason) -> bool:
    """Whether a reason came from the solved circuit: those of the screening say nothing of voltages."""
    return bool(reason.unit) or reason.name in {STATED_VALUES, _SOLVED, "steady-state"}


def _as_built(circuit: DoorCircuit, landed: tuple[OtherLanding, ...], built: AsBuilt, of: tuple[str, float]) -> Netlist:
    (mark, coldest_c), netlist = of, circuit.netlist
    for ref, ohms in _loop_resistances(netlist, built, mark).items():
        netlist = with_loop_resistance(netlist, ref, ohms, coldest_c)
    netlist = with_devices(netlist, built.devices_of.get(mark, {}).values())
    if landed:
        netlist = with_landings(netlist, landed)
        netlist = without_message(netlist, Signals(circuit.netlist).lost(netlist))
    return netlist


def _loop_resistances(netlist: Netlist, built: AsBuilt, mark: str) -> Mapping[str, float]:
    """Loop resistances measured, by the cable's designation, of cables at the door."""
    tests = ((c.ref, built.test_of.get(f"{mark}-{c.ref}")) for c in netlist.cables if c.role != DATA)
    return {ref: test.loop_ohm for ref, test in tests if test is not None and test.loop_ohm is not None}


def landed_rows(wiring: DoorWiring) -> tuple[OtherLanding, ...]:
    """The landings of an opening that are not as drawn."""
    return wiring.build.landed if isinstance(wiring.build, BuiltCircuit) else ()


def designed_circuit(wiring: DoorWiring) -> DoorCircuit | None:
    """The circuit of an opening as it was drawn, of the parts and lengths as built."""
    return wiring.build.design if isinstance(wiring.build, BuiltCircuit) else wiring.circuit
