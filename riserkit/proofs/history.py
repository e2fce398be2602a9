"""What a circuit's relays can have done before: the start of the corner at which they are to hold on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from riserkit.circuits.cases import SourceLevel, State
from riserkit.circuits.elimination import BoolArray
from riserkit.circuits.faults import Fault
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.study import study

_TOGETHER: Final = 2


def pulled_in_before(
    netlist: Netlist, states: Sequence[State], faults: Sequence[tuple[Fault, ...]], at_c: float
) -> BoolArray:
    """Coils that can have been powered before, shape (faults, coils): no corner begins where no history leads.

    A coil that pulls in from rest at the highest source, in the sound circuit before the fault or with it, may be held on by
    less than that later. Asked in the states in which at most two things are on: nothing pulls a relay in by coincidences.
    """
    few = [state for state in states if sum(state.values()) <= _TOGETHER]
    pulled = study(netlist, few, faults, (), (SourceLevel.HIGH, at_c)).pulled_in()
    before: BoolArray = pulled | pulled[:1]
    return before
