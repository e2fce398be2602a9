"""What a wiring arrangement is, and what it hands over: a netlist with what has to be known to judge it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import ClassVar, Final, Protocol, runtime_checkable

from riserkit.circuits.netlist import Netlist
from riserkit.model.cabling import CableType
from riserkit.wiring.issued import with_issued_numbers
from riserkit.wiring.need import DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

# Tests that say what is unwise or will not hold, not that there is nothing to land: an arrangement that fails only these can
# be built, for whoever forces it, and as the nearest miss.
BUILDABLE: Final = frozenset({"exposed-wires", "missing-backup", "source-voltage", "lock-action"})


@dataclass(frozen=True, slots=True)
class Choice:
    """What varies within an arrangement: the cable to the lock and where lock power comes from (None: the PoE cable)."""

    lock_cable: CableType
    supply: SupplyOffer | None = None


@dataclass(frozen=True, slots=True)
class DoorCircuit:
    """A netlist with the names needed to judge it.

    Args:
        netlist: all of it.
        powered: outside states in which the lock is energised; every other state is at rest.
        commanded: outside states with the controller's command the other way round: other loads may be on then.
        locks: designations of the locks.
        fail_safe: a lock without power is released.
        output: `component.element` of the source behind the controller's lock output, empty when unused.
        auxiliary: of the source behind its auxiliary output, empty when unused.
        supply: of the outside supply or splitter, empty when there is none.
        relay: designation of the module whose contact carries lock current, empty when none does.
        voltage_relay: that module is moved by voltage, not by an authenticated message.
        powered_part: id of the part that is the powered device on the PoE cable.
        notes: what the crew must do at this arrangement beyond landing wires.
        reachable_release: how the lock is released from the unsecured side with the controller off the wall; empty
            when nothing accessible does.
    """

    netlist: Netlist
    powered: Mapping[str, bool] = field(hash=False)
    commanded: Mapping[str, bool] = field(hash=False)
    locks: tuple[str, ...]
    fail_safe: bool = field(kw_only=True)
    output: str = ""
    auxiliary: str = ""
    supply: str = ""
    relay: str = ""
    voltage_relay: bool = False
    powered_part: str = ""
    notes: tuple[str, ...] = ()
    reachable_release: str = ""

    @property
    def locked_state(self) -> Mapping[str, bool]:
        """Outside states in which the controller locks: with nobody near, the door is idle."""
        return self.powered if self.fail_safe else self.commanded

    @property
    def lock_source(self) -> str:
        """`component.element` of the source that lock current comes from."""
        if self.supply:
            return self.supply
        for component in self.netlist.devices(DeviceRole.OWN_SUPPLY):
            return next(f"{component.ref}.{e.name}" for e in component.elements if e.role == ElementRole.SUPPLY_OUTPUT)
        return self.auxiliary if self.relay else self.output

    @property
    def network_sources(self) -> tuple[str, ...]:
        """`component.element` of every source behind which the powered device passes on power of the PoE cable."""
        if self.fed_by(DeviceRole.SPLITTER):
            return (self.supply,)
        return tuple(filter(None, (self.output, self.auxiliary)))

    def fed_by(self, role: DeviceRole) -> bool:
        """Whether `supply` is a device of this role."""
        return bool(self.supply) and self.netlist.component(self.supply.partition(".")[0]).role == role

    def coil(self, lock: str) -> str:
        """`component.element` of a lock's coil; KeyError when it has none."""
        for element in self.netlist.component(lock).elements:
            if element.role == ElementRole.LOCK_COIL:
                return f"{lock}.{element.name}"
        raise KeyError(f"{lock} has no element with the role {str(ElementRole.LOCK_COIL)!r}")

    @property
    def command(self) -> str:
        """The outside state that is on while the controller's output is; empty when no controller commands the lock."""
        return next(iter(self.netlist.states(StateRole.COMMAND)), "")


@runtime_checkable
class Arrangement(Protocol):
    """One way of wiring an opening. `rank` orders arrangements by how much they take; it is no price."""

    name: ClassVar[str]
    title: ClassVar[str]
    rank: ClassVar[float]

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """Tests that need no circuit: are the parts, terminals and conductors there? All are listed, passed or not."""
        ...

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        """Where lock power may come from; `(None,)` when it comes over the PoE cable."""
        ...

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        """The circuit. Called only when no test of `screen` has failed but those in `BUILDABLE`."""
        ...


@dataclass(frozen=True, slots=True)
class CircuitBuild:
    """What makes the circuit of one opening: called, it builds it."""

    arrangement: Arrangement
    need: DoorNeed
    choice: Choice

    def __call__(self) -> DoorCircuit:
        """The circuit, its cables under the designations they were issued under."""
        circuit = self.arrangement.build(self.need, self.choice)
        netlist = with_issued_numbers(circuit.netlist, self.need.issued_cables)
        return circuit if netlist is circuit.netlist else replace(circuit, netlist=netlist)

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for builds whose circuits differ by lengths only."""
        supply = self.choice.supply
        fed = (supply.part.id, supply.closet == "", supply.supply_id == "") if supply else ()
        return self.arrangement.name, self.choice.lock_cable.id, fed, self.need.spec


def holds(name: str, condition: bool, passed_text: str, failed_text: str) -> Reason:
    """A test that is no number."""
    return Reason(name, condition, passed_text if condition else failed_text)


def powered_output(need: DoorNeed) -> tuple[Reason, ...]:
    """Does the controller have the terminals L+ and L- that this arrangement lands?"""
    if need.controller is None:
        return ()
    dry = need.controller.is_dry
    passed = "the controller's lock output is powered"
    failed = "the controller's lock output is a dry contact, without the voltage of L+ and L-"
    return (holds("lock-output", not dry, passed, failed),)


def enough_conductors(what: str, cable: CableType, needed: int) -> Reason:
    """Does the cable have the conductors that this arrangement lands?"""
    text = f"{what}: {needed} conductors needed, {cable.id} has {cable.conductors}"
    return Reason("conductors", cable.conductors >= needed, text)
