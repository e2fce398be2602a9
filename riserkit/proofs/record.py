"""Proofs kept from an earlier build, so that a circuit that is still the same is not proven again.

A proof is kept under a digest of all that it depends on: every field of the circuit at the lengths it is solved with, the
temperatures, and the code. Beside it is a digest of the proof itself, as it was when it was solved; what is read back
must come to the same, or the circuit is proven anew. Both digests find what was spoilt, not what was forged: whoever hands
over a record answers for where it comes from.
"""

from __future__ import annotations

import platform
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, fields, is_dataclass, replace
from enum import Enum
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from typing import Any, Final, TypeVar

from riserkit.circuits.faults import Fault, FaultKind
from riserkit.circuits.netlist import Component, Netlist
from riserkit.code_digest import code_digest
from riserkit.proofs.behaviour import Extremes
from riserkit.proofs.values import Counterexample, Outcome, Property, TopologyProof, TruthRow
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.roles import DeviceRole

Kept = Mapping[str, Any]
"""What was worked out in plain values, as JSON has them, as `kept`; and `digest` of it and its key."""

_T = TypeVar("_T")

_PLAIN: Final = (type(None), bool, int, str)
_SPOILT: Final = (KeyError, TypeError, ValueError, AttributeError, RecursionError)


class ProofRecord:
    """Proofs of an earlier build by key, and those of this one, which the next may use."""

    def __init__(self, earlier: Mapping[str, Kept] | None = None, made_with: str = "") -> None:
        """Take an earlier record in; nothing of it is believed before it is asked for.

        Args:
            earlier: proofs by key, as `kept` gave them.
            made_with: what else the circuits come from, such as plugins; other proofs are kept for each.
        """
        self._earlier, self._made_with = earlier or {}, made_with
        self._kept: dict[str, Kept] = {}
        self._to_keep: list[Callable[[], None]] = []

    @property
    def kept(self) -> Mapping[str, Kept]:
        """What was worked out or taken over in this build by key, sorted."""
        while self._to_keep:
            self._to_keep.pop()()
        return dict(sorted(self._kept.items()))

    def proven(
        self, extremes: Extremes, fail_safe: bool, at_c: tuple[float, float], prove: Callable[[], TopologyProof]
    ) -> TopologyProof:
        """The proof of a circuit at some temperatures: the one kept if it is whole and of just this circuit, else a new one."""

        def key() -> str:
            return self._key("proof", (_without_port_places(extremes), fail_safe, at_c))

        return self._kept_or_new(key, _proof, lambda proof: asdict(replace(proof, doors=1)), prove)

    def said(self, what: str, of: object, work_out: Callable[[], str]) -> str:
        """The sentence kept that says something of a circuit, if it is whole and of just this circuit; else a new one.

        Args:
            what: the question, in a word of its own.
            of: all that the answer depends on.
            work_out: answers it.
        """
        return self._kept_or_new(lambda: self._key(what, of), str, str, work_out)

    def _key(self, what: str, of: object) -> str:
        """A digest of what is asked, of what, and with which code; empty where not all of that is plain data."""
        try:
            return _digest((what, _code(), self._made_with, *_words(of)))
        except TypeError:
            return ""

    def _kept_or_new(
        self,
        key_of: Callable[[], str],
        read: Callable[[Any], _T],
        plain: Callable[[_T], Any],
        work_out: Callable[[], _T],
    ) -> _T:
        if not self._earlier:
            # a check keeps nothing, so that its digests are worked out when somebody asks for them
            new = work_out()
            self._to_keep.append(lambda: self._keep(key_of(), new, read, plain))
            return new
        key = key_of()
        kept = self._earlier.get(key) if key else None
        found = _read(key, kept, read) if kept is not None else None
        if found is None or kept is None:
            new = work_out()
            self._keep(key, new, read, plain)
            return new
        self._kept[key] = kept
        return found

    def _keep(self, key: str, found: _T, read: Callable[[Any], _T], plain: Callable[[_T], Any]) -> None:
        kept: Kept = {"digest": _digest((key, repr(found))), "kept": plain(found)}
        # what would not be read back as it is now is not kept
        if key and _read(key, kept, read) is not None:
            self._kept[key] = kept


def _digest(words: Iterable[str]) -> str:
    return sha256("\n".join(words).encode()).hexdigest()


@cache
def _code() -> str:
    """All of riserkit, and what it computes with."""
    made_with = [f"{name} {version(name)}" for name in ("numpy", "networkx")]
    at = (platform.python_version(), platform.machine(), *made_with)
    return f"{code_digest([Path(__file__).parents[1]]).hex()} {' '.join(at)}"


def _words(value: object) -> Iterable[str]:
    """Everything in a value, in order, types included.

    Raises:
        TypeError: something in it that is not known to be all data, such as an object of a plugin's own.
    """
    if isinstance(value, Enum):
        yield f"{type(value).__qualname__} {value.value!r}"
    elif type(value) in _PLAIN:
        yield repr(value)
    elif type(value) is float:
        yield value.hex()
    elif is_dataclass(value) and type(value).__module__.startswith("riserkit."):
        yield f"{type(value).__qualname__} {len(fields(value))}"
        for one in fields(value):
            yield from _words(getattr(value, one.name))
    elif isinstance(value, Mapping):
        yield f"mapping {len(value)}"
        for name, of in value.items():
            yield from (*_words(name), *_words(of))
    elif isinstance(value, tuple):
        yield f"tuple {len(value)}"
        for of in value:
            yield from _words(of)
    else:
        raise TypeError(f"{type(value)} is no plain data")


def _without_port_places(extremes: Extremes) -> Extremes:
    return Extremes(
        without_port_places(extremes.circuit), _without_places(extremes.shortest), _without_places(extremes.longest)
    )


def without_port_places(circuit: DoorCircuit) -> DoorCircuit:
    """The port in the closet has a name of its own at each door, which nothing reads that is said of doors wired alike.

    Of one within reach it stays: an attack is told with the place where it is done.
    """
    return replace(circuit, netlist=_without_places(circuit.netlist))


def _without_places(netlist: Netlist) -> Netlist:
    def named(component: Component) -> Component:
        hidden = component.role == DeviceRole.NETWORK_PORT and not component.exposed
        return replace(component, place="", title="") if hidden else component

    return replace(netlist, components=tuple(map(named, netlist.components)))


def _read(key: str, kept: Kept, read: Callable[[Any], _T]) -> _T | None:
    """What is kept; None unless it is, to the last digit, what was worked out under this key."""
    try:
        found = read(kept["kept"])
        return found if kept["digest"] == _digest((key, repr(found))) else None
    except _SPOILT:
        return None


def _proof(kept: Kept) -> TopologyProof:
    properties = tuple(map(_property, kept["properties"]))
    table = tuple(TruthRow(tuple(row["state"]), row["lock_state"]) for row in kept["table"])
    lists = {name: tuple(kept[name]) for name in ("locks", "names")}
    return TopologyProof(**{**kept, **lists, "properties": properties, "table": table})


def _property(kept: Kept) -> Property:
    example = kept["counterexample"]
    return Property(**{
        **kept, "outcome": Outcome(kept["outcome"]), "faults": tuple(map(_fault, kept["faults"])),
        "fault_phrases": tuple(kept["fault_phrases"]), "counterexample": _counterexample(example) if example else None,
    })  # fmt: skip


def _counterexample(kept: Kept) -> Counterexample:
    lists = {name: tuple(kept[name]) for name in ("affected", "path", "backward")}
    return Counterexample(
        **{**kept, **lists, "state": dict(kept["state"]), "faults": tuple(map(_fault, kept["faults"]))}
    )


def _fault(kept: Kept) -> Fault:
    join = kept["join"]
    return Fault(
        FaultKind(kept["kind"]), tuple(kept["subjects"]), (join[0], join[1]) if join else None, kept["foreign_v"]
    )
