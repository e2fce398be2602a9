"""Relay module whose dry contacts switch an outside 12 or 24 V supply to the lock."""

from __future__ import annotations

from typing import ClassVar

from riserkit.model.parts import Relay
from riserkit.wiring import parts
from riserkit.wiring.arrangement import Choice, DoorCircuit
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
from riserkit.wiring.arrangements._shared.supply_feed import ONE_COMMON, land_supply, screen_supply
from riserkit.wiring.need import DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason


class RelayExternalSupply:
    """S+ through C and NO (fail-secure) or NC (fail-safe) to the lock, and back to S-."""

    name: ClassVar[str] = "relay-external-supply"
    title: ClassVar[str] = "Relay module with an outside DC supply"
    rank: ClassVar[float] = 40.0
    when_to_use: ClassVar[str] = (
        "A lock that needs more current, or another voltage, than the controller gives: 24 V locks, pairs of magnets, "
        "long lock cables. Wants a supply with battery and its mains feed."
    )

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """A module, a supply of the lock's voltage, and no supply of the lock's own."""
        relay = need.external_relay
        command = relay.command if relay else "authenticated"
        return (*screen_supply(need), trigger_in_reach(need, relay), *screen_relay(need, relay, command))

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
        land_supply(builder, need, choice, "K2.C", f"{JUNCTION}.0V")
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
