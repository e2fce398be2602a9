"""All states a circuit can be put into from outside: every combination of what moves contacts and switches sources."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import product

from riserkit.circuits.cases import State
from riserkit.circuits.circuit import circuit_of
from riserkit.circuits.errors import CircuitError
from riserkit.circuits.netlist import Netlist

MOST_STATES = 2**16
"""More combinations than this are not spelt out; fix some of the names."""


def outside_names(netlist: Netlist) -> tuple[str, ...]:
    """What moves contacts (and switches sources and loads) from outside, sorted.

    Raises:
        CircuitError: the netlist is ill-posed.
    """
    return circuit_of(netlist).topology.outside


def all_states(names: Iterable[str], fixed: Mapping[str, bool] | None = None) -> tuple[State, ...]:
    """Every combination of on and off, first name slowest, all off first.

    Args:
        names: outside states.
        fixed: those that stay as they are; they may be among the names.

    Raises:
        CircuitError: there are more than `MOST_STATES` combinations.

    Examples:
        >>> [dict(state) for state in all_states(["a", "b"], {"b": True})]
        [{'b': True, 'a': False}, {'b': True, 'a': True}]
    """
    held = dict(fixed or {})
    free = [name for name in dict.fromkeys(names) if name not in held]
    if 2 ** len(free) > MOST_STATES:
        raise CircuitError(", ".join(free), f"{2 ** len(free)} states, more than {MOST_STATES}; fix some of them")
    return tuple({**held, **dict(zip(free, bits, strict=True))} for bits in product((False, True), repeat=len(free)))
