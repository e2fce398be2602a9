"""Voltage-triggered relay in place of the authenticated module."""

from __future__ import annotations

from typing import ClassVar

from riserkit.wiring.arrangement import Choice, DoorCircuit
from riserkit.wiring.arrangements._shared.relay_feed import trigger_in_reach
from riserkit.wiring.arrangements.relay_module import build_from_auxiliary, screen_from_auxiliary
from riserkit.wiring.need import DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason


class RelayByVoltage:
    """The lock output's voltage moves a relay on the secured side. Whoever puts a voltage there moves it too."""

    name: ClassVar[str] = "relay-by-voltage"
    title: ClassVar[str] = "Voltage-triggered relay, lock power from the controller"
    rank: ClassVar[float] = 25.0
    when_to_use: ClassVar[str] = (
        "A controller without a link for an authenticated module, whose lock output cannot feed the lock itself. "
        "Whoever puts a voltage on the trigger wires moves the relay."
    )

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """A voltage-triggered relay, and trigger wires that may be accessible."""
        relay = need.voltage_relay
        return (*screen_from_auxiliary(need, relay, "voltage"), trigger_in_reach(need, relay))

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        """The PoE cable."""
        return (None,)

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        """A+ through the relay's contact to the lock, L+ L- to its trigger."""
        return build_from_auxiliary(need, choice, need.voltage_relay)
