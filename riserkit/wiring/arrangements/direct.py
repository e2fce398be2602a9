"""Direct: the controller's own solid-state output feeds the lock."""

from __future__ import annotations

from typing import ClassVar

from riserkit.wiring import parts
from riserkit.wiring.arrangement import Choice, DoorCircuit, holds, powered_output
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder
from riserkit.wiring.arrangements._shared.lock_feed import add_junction, land_lock, screen_feed, source_reaches
from riserkit.wiring.arrangements._shared.peripherals import (
    has_peripherals,
    land_data,
    land_peripherals,
    screen_peripherals,
)
from riserkit.wiring.need import DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason


def screen_direct(need: DoorNeed) -> tuple[Reason, ...]:
    """Tests that every arrangement without a relay shares."""
    outside = need.opening.controller_at == "unsecured"
    in_reach = outside and need.opening.lock_wiring_secured
    own_supply = need.lock is not None and need.lock.own_supply
    reasons = [
        *powered_output(need),
        holds(
            "own-supply",
            not own_supply,
            "the lock is fed by the controller's output",
            "the lock has its own supply and needs a dry trigger, not the output's voltage",
        ),
        holds(
            "exposed-wires",
            not in_reach,
            "no lock wire is accessible from the unsecured side, or the site accepts it",
            "L+ and L- are accessible from the unsecured side; this opening requires secured lock wiring",
        ),
    ]
    if need.fail_safe:
        reasons.append(backup_reason(need))
    output = need.controller
    if output is not None and not output.is_dry and not own_supply:
        reasons += source_reaches(need, output.output_v, output.output_tolerance, "the lock output")
    return (*reasons, *screen_feed(need))


def backup_reason(need: DoorNeed) -> Reason:
    """A lock that is held by power off the PoE cable wants a UPS behind the switch (common practice, no source)."""
    texts = {
        True: "the switch is on a UPS",
        False: "locked by power from a switch that is not on a UPS: a power cut releases the door",
        None: "locked by power from the switch; whether it is on a UPS is not stated",
    }
    return Reason("missing-backup", need.on_ups, texts[need.on_ups])


def build_direct(need: DoorNeed, choice: Choice) -> DoorCircuit:
    """The circuit with whatever peripherals there are."""
    if need.controller is None:
        raise ValueError("a controller is needed (checked earlier)")
    outside = need.opening.controller_at == "unsecured"
    builder = NetlistBuilder()
    land_data(builder, need)
    builder.add(parts.controller(need.controller, outside=outside))
    land_peripherals(builder, need)
    add_junction(builder, need, fed=True)
    locks = land_lock(builder, need, choice.lock_cable, ("K1.L+", "K1.L-"))
    # Fail-secure: the output turns on to release. Fail-safe: it is on to lock. Either way it is on to power the coil.
    reach = "a voltage on L+ and L- behind the controller releases the lock" if outside and not need.fail_safe else ""
    if outside and need.fail_safe:
        reach = "cutting either lock wire behind the controller releases the lock"
    return DoorCircuit(
        builder.netlist("K1.IC"),
        powered={"K1.output": True},
        commanded={"K1.output": False},
        locks=locks,
        fail_safe=need.fail_safe,
        output="K1.lock_rail",
        auxiliary="K1.auxiliary_rail",
        powered_part=need.controller.id,
        reachable_release=reach,
    )


class Direct:
    """Output to lock, and nothing else on the controller."""

    name: ClassVar[str] = "direct"
    title: ClassVar[str] = "Lock on the controller's output"
    rank: ClassVar[float] = 10.0
    when_to_use: ClassVar[str] = (
        "A lock alone on a controller: no contact, no REX, one strike within the output's limit, and lock wires that "
        "may be reached or stand on the secured side."
    )

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """Nothing but the lock."""
        bare = not has_peripherals(need)
        text = "the opening has devices on inputs, auxiliary output or bus"
        return (holds("peripherals", bare, "only a lock", text), *screen_direct(need))

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        """The PoE cable."""
        return (None,)

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        """Output to lock."""
        return build_direct(need, choice)


class DirectWithPeripherals:
    """Output to lock; contact, REX or auxiliary contact on the inputs, sensor on the auxiliary output."""

    name: ClassVar[str] = "direct-with-peripherals"
    title: ClassVar[str] = "Lock on the controller's output, with peripherals"
    rank: ClassVar[float] = 11.0
    when_to_use: ClassVar[str] = (
        "The usual door of one lock: door contact, REX or auxiliary contact and readers, the lock within the output's "
        "limit. Not where wires that release the lock may be reached from the unsecured side."
    )

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """At least one peripheral, and terminals and conductors for all."""
        some = has_peripherals(need)
        first = holds("peripherals", some, "contact, REX or readers are fitted", "the opening has no peripherals")
        return (first, *screen_direct(need), *screen_peripherals(need))

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        """The PoE cable."""
        return (None,)

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        """Output to lock, and the peripherals."""
        return build_direct(need, choice)
