"""Another lock than the design has: delivered wrong, or changed over with that of another door.

Its wiring is as designed, so the bench of a page, which puts faults into the wiring, has none of these.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.troubleshooting.changes import OtherCoil
from riserkit.troubleshooting.suspects import Suspect, SuspectKind
from riserkit.wiring.arrangement import DoorCircuit

_WEIGHT: Final = 1.0
_BETWEEN_V: Final = 18.0
"""Locks are made for 12 V or for 24 V."""


def other_locks(circuit: DoorCircuit) -> Iterator[Suspect]:
    """A lock of the other action, or for the other of 12 V and 24 V.

    Of the other action only where a fail-secure one is designed: a magnet has none, and a netlist does not say which locks are magnets.
    """
    source = circuit.lock_source
    for ref in circuit.locks:
        name = circuit.coil(ref)
        blames, locks = frozenset({name}), frozenset({ref})
        if not circuit.fail_safe:
            words = f"{ref} is a fail-safe lock, not a fail-secure one"
            yield Suspect(SuspectKind.OTHER_PART, words, blames, ((),), _WEIGHT, other_action=locks)
        if not source:
            continue
        nominal_v = circuit.netlist.element(source).values["v_nominal_v"]
        factor = 2.0 if nominal_v < _BETWEEN_V else 0.5
        words = f"{ref} is a lock for {nominal_v * factor:.0f} V, not for {nominal_v:.0f} V"
        # one for 24 V has too little at 12 V: it may stay as it is, or act weakly
        unsure = locks if factor > 1.0 else frozenset[str]()
        yield Suspect(SuspectKind.OTHER_PART, words, blames, ((OtherCoil(name, factor),),), _WEIGHT, unsure=unsure)
