"""What the wiring stage yields: the candidates considered for an opening, with reasons, and the one chosen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from riserkit.circuits.netlist import Netlist
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.reason import Reason
from riserkit.wiring.unstated import STATED_VALUES


@dataclass(frozen=True, slots=True)
class DeviceVoltage:
    """Voltage at one powered device's own terminals: least and most over states and worst cases.

    `ref` and `what` are those of its `PoweredDevice`.
    """

    ref: str
    what: str
    low_v: float
    high_v: float


@dataclass(frozen=True, slots=True)
class ContactLoad:
    """Most current through one contact, of all locks behind it. `element` is that of its `RatedContact`."""

    element: str
    most_a: float


@dataclass(frozen=True, slots=True)
class DoorVoltages:
    """The solved circuit of one door at its worst cases. None where it does not apply or cannot be computed.

    Args:
        lock_low_v: least voltage at the lock while energised: lowest source, hottest conductor, highest current.
        lock_high_v: most: highest source, coldest conductor, lowest current.
        lock_off_v: most voltage at a lock with the controller's command the other way round.
        lock_a: most current that one lock draws (pull-in where it is higher than holding).
        output_a: most current out of the controller's lock output, with the limit that holds there.
        auxiliary_a: most current out of its auxiliary output.
        supply_a: most current out of the outside supply or splitter.
        pd_w: most power that the powered device at the door draws from the cable.
        devices: every other powered device, as `powered_devices` lists them.
        contacts: every contact of the door's parts, as `rated_contacts` lists them.
    """

    lock_low_v: float | None = None
    lock_high_v: float | None = None
    lock_a: float | None = None
    output_a: float | None = None
    auxiliary_a: float | None = None
    supply_a: float | None = None
    pd_w: float | None = None
    lock_off_v: float | None = None
    devices: tuple[DeviceVoltage, ...] = ()
    contacts: tuple[ContactLoad, ...] = ()


@dataclass(frozen=True, slots=True)
class Candidate:
    """One arrangement with one lock cable and one supply position.

    `cost` only orders candidates (fewer parts, thinner copper first); it is no price. `voltages` is None when a test that
    needs no circuit has failed, so that there was nothing to solve. `supply_id` is the site's supply that feeds the lock;
    empty when none does, or when it is one to be added.
    """

    arrangement: str
    title: str
    lock_cable: str
    supply_at: str
    cost: float
    reasons: tuple[Reason, ...]
    voltages: DoorVoltages | None = None
    powered_part: str = ""
    supply_id: str = ""

    @property
    def failed(self) -> tuple[Reason, ...]:
        """The tests that reject it."""
        return tuple(reason for reason in self.reasons if reason.passed is False)

    @property
    def feasible(self) -> bool:
        """No test failed. One that could not be evaluated for lack of data does not reject, but a rule reports it."""
        return self.voltages is not None and not self.failed


@dataclass(frozen=True)
class DoorWiring:
    """The wiring of one opening.

    Args:
        mark: the opening.
        chosen: None when nothing is feasible. One that the user forced is here though tests fail; rules speak then.
        considered: all candidates judged, in order of cost; those that a test without circuit rejects come last.
        voltages: of the circuit.
        build: makes the circuit of the chosen candidate, else of the nearest miss.
        nearest: when nothing is feasible, the candidate that misses by the least.
        forced: the user named the arrangement.
        missing: data without which nothing can be chosen, such as `lock` or `lock.rated_v`.
        failure: why the door could not be worked out though nothing is missing; empty when it could.
    """

    mark: str
    chosen: Candidate | None
    considered: tuple[Candidate, ...]
    voltages: DoorVoltages
    build: Callable[[], DoorCircuit] | None = field(default=None, compare=False, repr=False)
    nearest: Candidate | None = None
    forced: bool = False
    missing: tuple[str, ...] = ()
    failure: str = ""

    @cached_property
    def circuit(self) -> DoorCircuit | None:
        """The circuit; None when there is nothing to draw. Built when first asked for: most doors of a campus need not."""
        return self.build() if self.build else None

    @property
    def netlist(self) -> Netlist | None:
        """The netlist that everything about this door is read off."""
        return self.circuit.netlist if self.circuit else None

    @property
    def drawn(self) -> Candidate | None:
        """The candidate whose circuit is drawn: the chosen one, else the nearest miss."""
        return self.chosen or self.nearest

    @property
    def not_computed(self) -> str:
        """Why its circuit is drawn but not computed, in a phrase; empty when it is."""
        reasons = self.drawn.reasons if self.drawn else ()
        return next((reason.what for reason in reasons if reason.name == STATED_VALUES), "")

    @property
    def powered_part(self) -> str:
        """Id of the part that is the powered device on the PoE cable; empty when there is no circuit."""
        return self.drawn.powered_part if self.drawn else ""
