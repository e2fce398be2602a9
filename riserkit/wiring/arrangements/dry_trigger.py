"""Relay module as a dry trigger for an electrified exit device's own supply."""

from __future__ import annotations

from typing import ClassVar

from riserkit.wiring import parts
from riserkit.wiring.arrangement import Choice, DoorCircuit, enough_conductors, holds
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder
from riserkit.wiring.arrangements._shared.lock_feed import add_junction, land_lock
from riserkit.wiring.arrangements._shared.peripherals import land_data, land_peripherals
from riserkit.wiring.arrangements._shared.relay_feed import (
    TAKE_LINK_OUT,
    land_relay,
    lock_contact,
    powered_states,
    reach_of_relay,
    screen_relay,
    trigger_in_reach,
)
from riserkit.wiring.need import DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason


class DryTrigger:
    """C and NO (fail-safe: NC) across the trigger input; no lock current through the module."""

    name: ClassVar[str] = "dry-trigger"
    title: ClassVar[str] = "Relay module as dry trigger of the exit device's own supply"
    rank: ClassVar[float] = 30.0
    when_to_use: ClassVar[str] = (
        "An electrified exit device or latch with a supply of its own, whose trigger input wants a dry contact."
    )

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """A lock with a supply of its own, and a module."""
        own = need.lock is not None and need.lock.own_supply
        first = holds("own-supply", own, "the lock's own supply has a dry trigger input",
                      "the lock has no supply of its own to trigger")  # fmt: skip
        relay = need.external_relay
        trigger = enough_conductors("trigger", need.cables["trigger"].cable_type, 2)
        command = relay.command if relay else "authenticated"
        return (first, trigger, trigger_in_reach(need, relay), *screen_relay(need, relay, command))

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        """The exit device's own supply, which is not the site's."""
        return (None,)

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        """The module's contact on the trigger; the supply's output through what is in series to the device."""
        if need.controller is None or need.external_relay is None or need.lock is None:
            raise ValueError("a controller, a relay module and a lock are needed (checked earlier)")
        builder = NetlistBuilder()
        land_data(builder, need)
        builder.add(parts.controller(need.controller, outside=need.opening.controller_at == "unsecured"))
        land_peripherals(builder, need)
        land_relay(builder, need, need.external_relay)
        add_junction(builder, need, fed=True)
        builder.add(parts.exit_device_supply(need.lock))
        trigger = builder.cable("trigger", need.cables["trigger"])
        builder.wire(trigger, "K2.C", "G1.TRA")
        builder.wire(trigger, lock_contact(need), "G1.TRB")
        # The device's own supply takes up its coil's kick.
        locks = land_lock(builder, need, choice.lock_cable, ("G1.O+", "G1.O-"), suppressed=False)
        powered, commanded = powered_states(need)
        voltage = need.external_relay.command == "voltage"
        notes = (TAKE_LINK_OUT,) if need.external_relay.factory_link else ()
        title = parts.own_supply_title(need.lock)
        mains = f"The {title[:1].lower()}{title[1:]} and its mains feed are by a licensed electrician."
        return DoorCircuit(
            builder.netlist("K1.IC"), powered, commanded, locks, fail_safe=need.fail_safe,
            output="K1.lock_rail" if voltage else "",
            auxiliary="K1.auxiliary_rail",
            relay="K2",
            powered_part=need.controller.id,
            voltage_relay=voltage,
            notes=(*notes, mains),
            reachable_release=reach_of_relay(need, need.external_relay),
        )  # fmt: skip
