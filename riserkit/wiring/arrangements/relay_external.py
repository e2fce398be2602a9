"""Relay module whose dry contacts switch an outside 12 or 24 V supply to the lock."""

from __future__ import annotations

from typing import ClassVar

from riserkit.model.parts import Relay
from riserkit.wiring import parts
from riserkit.wiring.arrangement import Choice, DoorCircuit, enough_conductors, holds
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder
from riserkit.wiring.arrangements._shared.lock_feed import JUNCTION, add_junction, land_lock
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
from riserkit.wiring.need import DeviceCable, DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason

ONE_COMMON = "The lock returns to the supply's common only; do not join it with the controller's return."


class RelayExternalSupply:
    """S+ through C and NO (fail-secure) or NC (fail-safe) to the lock, and back to S-."""

    name: ClassVar[str] = "relay-external-supply"
    title: ClassVar[str] = "Relay module with an outside DC supply"
    rank: ClassVar[float] = 40.0

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """A module, a supply of the lock's voltage, and no supply of the lock's own."""
        relay = need.external_relay
        own_supply = need.lock is not None and need.lock.own_supply
        offers = holds("supply", bool(need.supplies), "a DC supply of the lock's voltage is available",
                       "no DC supply of the lock's voltage is available")  # fmt: skip
        own = holds("own-supply", not own_supply, "the lock takes an outside supply",
                    "the lock has its own supply and needs a dry trigger")  # fmt: skip
        pulled = tuple(enough_conductors("supply", s.cable.cable_type, 2) for s in need.supplies if s.cable.pulled)
        command = relay.command if relay else "authenticated"
        return (own, offers, *pulled, trigger_in_reach(need, relay), *screen_relay(need, relay, command))

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        """Every supply of the lock's voltage: at the door, in the closet."""
        return need.supplies

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        """The supply through the module's contact to the lock."""
        relay, offer = need.external_relay, choice.supply
        if need.controller is None or relay is None or offer is None:
            raise ValueError("a controller, a relay module and a supply are needed (checked earlier)")
        builder = NetlistBuilder()
        land_data(builder, need)
        builder.add(parts.controller(need.controller, outside=need.opening.controller_at == "unsecured"))
        fed = need.sensor_takes(offer.part.output_v)
        land_peripherals(builder, need, sensor_fed=fed)
        land_relay(builder, need, relay)
        add_junction(builder, need, common=True)
        builder.add(parts.dc_supply(offer.part, "G1", offer.at))
        bought = DeviceCable(choice.lock_cable, offer.cable.length_m, offer.cable.basis)
        feed = builder.cable("feed", offer.cable if offer.cable.pulled else bought)
        builder.wire(feed, "G1.S+", "K2.C")
        builder.wire(feed, "G1.S-", f"{JUNCTION}.0V")
        ends, sensor_from = (lock_contact(need), f"{JUNCTION}.0V"), ("K2.C", f"{JUNCTION}.0V") if fed else None
        locks = land_lock(builder, need, choice.lock_cable, ends, sensor_from=sensor_from)
        powered, commanded = powered_states(need)
        return DoorCircuit(
            builder.netlist("K1.IC"), powered, commanded, locks, fail_safe=need.fail_safe,
            output="K1.lock_rail" if relay.command == "voltage" else "", auxiliary="K1.auxiliary_rail",
            powered_part=need.controller.id, voltage_relay=relay.command == "voltage",
            supply="G1.output", relay="K2", notes=_notes(relay), reachable_release=reach_of_relay(need, relay),
        )  # fmt: skip


def _notes(relay: Relay) -> tuple[str, ...]:
    return (TAKE_LINK_OUT, ONE_COMMON) if relay.factory_link else (ONE_COMMON,)
