"""Relay module on the secured side, with lock power from the controller's auxiliary output."""

from __future__ import annotations

from typing import ClassVar

from riserkit.model.parts import Relay
from riserkit.wiring import parts
from riserkit.wiring.arrangement import Choice, DoorCircuit, holds
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder
from riserkit.wiring.arrangements._shared.lock_feed import add_junction, land_lock, source_reaches
from riserkit.wiring.arrangements._shared.peripherals import land_data, land_peripherals
from riserkit.wiring.arrangements._shared.relay_feed import (
    feed_in_reach,
    land_link,
    land_relay,
    lock_contact,
    powered_states,
    reach_of_relay,
    screen_relay,
)
from riserkit.wiring.arrangements.direct import backup_reason
from riserkit.wiring.need import DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason


def screen_from_auxiliary(need: DoorNeed, relay: Relay | None, command: str) -> tuple[Reason, ...]:
    """Tests shared by both kinds of module when the auxiliary output feeds the lock."""
    own_supply = need.lock is not None and need.lock.own_supply
    reasons = [
        holds("own-supply", not own_supply, "the lock takes the auxiliary output's voltage",
              "the lock has its own supply and needs a dry trigger"),
        *screen_relay(need, relay, command),
    ]  # fmt: skip
    controller = need.controller
    if controller is not None and not own_supply:
        reasons += source_reaches(need, controller.auxiliary_v, controller.output_tolerance, "the auxiliary output")
    if need.fail_safe:
        reasons += [backup_reason(need), feed_in_reach(need)]
    return tuple(reasons)


def build_from_auxiliary(need: DoorNeed, choice: Choice, relay: Relay | None) -> DoorCircuit:
    """A+ through C and NO or NC of the module to the lock."""
    if need.controller is None or relay is None:
        raise ValueError("a controller and a relay module are needed (checked earlier)")
    builder = NetlistBuilder()
    land_data(builder, need)
    builder.add(parts.controller(need.controller, outside=need.opening.controller_at == "unsecured"))
    land_peripherals(builder, need)
    land_relay(builder, need, relay)
    note = land_link(builder, relay)
    add_junction(builder, need)
    locks = land_lock(builder, need, choice.lock_cable, (lock_contact(need), "K2.V-"))
    powered, commanded = powered_states(need)
    voltage = relay.command == "voltage"
    return DoorCircuit(
        builder.netlist("K1.IC"), powered, commanded, locks,
        fail_safe=need.fail_safe, output="K1.lock_rail" if voltage else "",
        auxiliary="K1.auxiliary_rail",
        powered_part=need.controller.id, voltage_relay=voltage, relay="K2", notes=(note,), reachable_release=reach_of_relay(need, relay),
    )  # fmt: skip


class RelayModule:
    """Authenticated module on the secured side; lock power from the auxiliary output."""

    name: ClassVar[str] = "relay-module"
    title: ClassVar[str] = "Relay module, secured side, lock power from the controller"
    rank: ClassVar[float] = 20.0
    when_to_use: ClassVar[str] = (
        "A controller on the unsecured side where its wires must not release the lock: the module obeys only the "
        "controller's message. Lock and module within the auxiliary output's limit."
    )

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """A module with an authenticated link, and conductors for it."""
        return screen_from_auxiliary(need, need.relay, "authenticated")

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        """The PoE cable."""
        return (None,)

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        """A+ through the module's contact to the lock."""
        return build_from_auxiliary(need, choice, need.relay)
