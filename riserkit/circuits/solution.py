"""What a solved batch says: voltages, currents, powers and coil positions by name."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.errors import (
    CollapseError,
    ConvergenceError,
    FloatingNodeError,
    OscillationError,
    ShortedSourceError,
    UnknownControlError,
)
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.settle import COLLAPSED
from riserkit.circuits.topology import Topology


@dataclass(frozen=True, slots=True)
class Solution:
    """All cases of a batch; every array has one column a case.

    Islands without a path to the reference have a 0 V of their own (the minus of a source in them, if there
    is one): voltages within an island are meaningful, between islands they are not; see `floating`.

    Attributes:
        topology: the structure.
        v: node voltages in volts, shape (nodes, cases).
        a: branch currents from a to b in amperes, shape (branches, cases).
        coil: movers that are powered, shape (movers, cases).
        coil_low_v: least voltage across each mover, without sign; where the case does not come to rest, over its course.
        coil_high_v: most of it, shape (movers, cases).
        gate: elements that are in the circuit, shape (elements, cases).
        conducts: branches with a conductance, shape (branches, cases).
        load: state of each power load: 0 off, 1 running, 2 collapsed, shape (power loads, cases).
        trouble: 0 none, 1 a coil oscillates, 2 segments did not settle.
        culprit: the element in trouble or -1.
        adrift: node with a current that has no way out or -1.
        shorted: element index of a source across a connection without resistance or -1.
    """

    topology: Topology
    v: FloatArray
    a: FloatArray
    coil: BoolArray
    coil_low_v: FloatArray
    coil_high_v: FloatArray
    gate: BoolArray
    conducts: BoolArray
    load: npt.NDArray[np.int8]
    trouble: npt.NDArray[np.int8]
    culprit: IntArray
    adrift: IntArray
    shorted: IntArray

    @property
    def count(self) -> int:
        """Number of cases."""
        return int(self.v.shape[1])

    def node_v(self, name: str) -> FloatArray:
        """Voltage of a node `component.terminal`, shape (cases,); UnknownNodeError if there is none."""
        return _row(self.v, self.topology.node(name))

    def element_v(self, name: str) -> FloatArray:
        """Voltage across an element `component.element` from a to b, shape (cases,)."""
        branch = self.topology.elements[self.topology.element(name)]
        return _row(self.v, branch.a) - _row(self.v, branch.b)

    def element_a(self, name: str) -> FloatArray:
        """Current through an element from a to b, shape (cases,); a source that feeds has a negative one."""
        return _row(self.a, self.topology.element(name))

    def conductor_a(self, ref: str) -> FloatArray:
        """Current through a conductor from a to b, shape (cases,)."""
        return _row(self.a, len(self.topology.elements) + self.topology.conductor(ref))

    def powered(self, name: str) -> BoolArray:
        """Whether a coil (or a load that moves contacts) is pulled in, shape (cases,)."""
        element = self.topology.element(name)
        if element not in self.topology.movers:
            raise UnknownControlError(name, "moves nothing")
        return _flags(self.coil, self.topology.movers.index(element))

    def closed(self, name: str) -> BoolArray:
        """Whether a contact is closed, shape (cases,)."""
        return _flags(self.gate, self.topology.element(name))

    def collapsed(self, name: str) -> BoolArray:
        """Whether a constant-power load asks for more than can reach it, shape (cases,)."""
        return _flags(self.load == COLLAPSED, self._power(name))

    def _power(self, name: str) -> int:
        element = self.topology.element(name)
        power = self.topology.of_kind(ElementKind.POWER_LOAD)
        if element not in power:
            raise UnknownControlError(name, "is no constant-power load")
        return power.index(element)

    @property
    def power_w(self) -> FloatArray:
        """Power taken in by each branch, shape (branches, cases); negative for a source that feeds."""
        ends = self.topology.branches
        across = self.v[[b.a for b in ends]] - self.v[[b.b for b in ends]]
        power_w: FloatArray = across * self.a
        return power_w

    @property
    def _reference(self) -> str:
        return self.topology.nodes[self.topology.reference]

    @property
    def sound(self) -> BoolArray:
        """Cases without any trouble, shape (cases,)."""
        ill = (self.trouble != 0) | (self.adrift >= 0) | (self.shorted >= 0)
        ill |= np.logical_or.reduce(self.load == COLLAPSED, axis=0)
        sound: BoolArray = ~ill
        return sound

    def demand_sound(self) -> Solution:
        """This solution, if every case is sound.

        Raises:
            ShortedSourceError: a source without resistance is across a connection without resistance.
            FloatingNodeError: a current has no way back.
            OscillationError: a coil cannot come to rest.
            CollapseError: a constant-power load asks for more than can reach it.
            ConvergenceError: piecewise-linear elements did not settle.
        """
        if self.sound.all():
            return self
        case = int((~self.sound).argmax())
        names = [b.name for b in self.topology.elements]
        if self.shorted[case] >= 0:
            source = self.topology.elements[self.shorted[case]]
            ends = f"{self.topology.nodes[source.a]} and {self.topology.nodes[source.b]}"
            raise ShortedSourceError(
                source.name, f"no resistance between {ends}; state r_ohm or i_limit_a, or find the short"
            )
        if self.adrift[case] >= 0:
            node = self.topology.nodes[self.adrift[case]]
            raise FloatingNodeError(node, "a current is driven in here and has no way back")
        if self.trouble[case] == 1:
            raise OscillationError(
                names[self.culprit[case]], "its own contacts release it and pull it in again without end"
            )
        if (self.load[:, case] == COLLAPSED).any():
            load = self.topology.of_kind(ElementKind.POWER_LOAD)[int((self.load[:, case] == COLLAPSED).argmax())]
            raise CollapseError(names[load], "asks for more power than its supply and conductors can carry")
        raise ConvergenceError(names[self.culprit[case]], "its working point did not settle")


def _row(values: FloatArray, k: int) -> FloatArray:
    row: FloatArray = values[k]
    return row


def _flags(values: BoolArray, k: int) -> BoolArray:
    row: BoolArray = values[k]
    return row


def joined(parts: list[Solution]) -> Solution:
    """Solutions of one structure, one after the other."""
    if len(parts) == 1:
        return parts[0]
    return Solution(
        parts[0].topology,
        np.concatenate([p.v for p in parts], axis=1),
        np.concatenate([p.a for p in parts], axis=1),
        np.concatenate([p.coil for p in parts], axis=1),
        np.concatenate([p.coil_low_v for p in parts], axis=1),
        np.concatenate([p.coil_high_v for p in parts], axis=1),
        np.concatenate([p.gate for p in parts], axis=1),
        np.concatenate([p.conducts for p in parts], axis=1),
        np.concatenate([p.load for p in parts], axis=1),
        np.concatenate([p.trouble for p in parts]),
        np.concatenate([p.culprit for p in parts]),
        np.concatenate([p.adrift for p in parts]),
        np.concatenate([p.shorted for p in parts]),
    )
