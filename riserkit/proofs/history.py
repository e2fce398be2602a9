"""What a circuit's relays can have done before: the start of the worst case at which they are to hold on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from riserkit.circuits.cases import SourceLevel, State
from riserkit.circuits.elimination import BoolArray
from riserkit.circuits.faults import Fault
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.study import study

_TOGETHER: Final = 2


def pulled_in_before(
    netlist: Netlist, states: Sequence[State], faults: Sequence[tuple[Fault, ...]], at_c: float
) -> BoolArray:
    """Coils that can have been powered before, shape (faults, coils): no worst case begins where no history leads.

    A coil that pulls in from rest at the highest source, in the healthy circuit before the fault or with it, may be held on by
    less than that later. Asked in the states in which at most two things are on: nothing pulls a relay in by coincidences.
    Faults are looked at only where the healthy circuit leaves some coil with contacts at rest; one without has no history.
    """
    few = [state for state in states if sum(state.values()) <= _TOGETHER]
    at = (SourceLevel.HIGH, at_c)
    sound = study(netlist, few, ((),), (), at)
    before: BoolArray = sound.pulled_in()
    moving = {e.control for c in netlist.components for e in c.elements}
    if all(before[0, k] for k, coil in enumerate(sound.coils) if coil in moving):
        return np.repeat(before, len(faults), axis=0)
    return before | study(netlist, few, faults, (), at).pulled_in()
