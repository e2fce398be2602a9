"""What arrangements with a relay module share: landing the module, and which of its contacts carries the lock."""

from __future__ import annotations

from collections.abc import Mapping

from riserkit.model.parts import Relay
from riserkit.wiring import parts
from riserkit.wiring.arrangement import enough_conductors, holds, powered_output
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder
from riserkit.wiring.arrangements._shared.lock_feed import screen_feed
from riserkit.wiring.arrangements._shared.peripherals import screen_peripherals
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.reason import Reason

TAKE_LINK_OUT = "Take the supply-to-common link (V+ to C) out of the relay module before landing the supply."
KEEP_LINK = "Leave the supply-to-common link (V+ to C) of the relay module in place: it feeds the lock."
ADD_JUMPER = "Land a jumper from V+ to C of the relay module: it feeds the lock."


def lock_contact(need: DoorNeed, ref: str = "K2") -> str:
    """NO for fail-secure (commanded: powered, released); NC for fail-safe (commanded: unpowered, released)."""
    return f"{ref}.NC" if need.fail_safe else f"{ref}.NO"


def powered_states(need: DoorNeed) -> tuple[Mapping[str, bool], Mapping[str, bool]]:
    """(states in which the lock is powered, states with the command the other way)."""
    return {"K1.output": not need.fail_safe}, {"K1.output": need.fail_safe}


def screen_relay(need: DoorNeed, relay: Relay | None, command: str) -> tuple[Reason, ...]:
    """Tests of the module and of what commands it."""
    if relay is None or relay.command != command:
        kind = "authenticated" if command == "authenticated" else "voltage-triggered"
        return (Reason("relay", False, f"no {kind} relay module is available for this opening"),)
    reasons = [
        Reason("relay", True, f"{relay.id} is available"),
        enough_conductors("relay module", need.cables["relay"].cable_type, 4),
    ]
    if command == "authenticated" and need.controller is not None:
        reasons.append(
            holds("module-link", need.controller.module_link, "the controller has a link for a module",
                  "the controller has no link for an authenticated module")
        )  # fmt: skip
    if command == "voltage":
        reasons += powered_output(need)
    return (*reasons, *screen_feed(need), *screen_peripherals(need))


def trigger_in_reach(need: DoorNeed, relay: Relay | None) -> Reason:
    """May the wires that move the relay be where they are?"""
    in_reach = need.opening.controller_at == "unsecured" and need.opening.lock_wiring_secured
    by_voltage = relay is not None and relay.command == "voltage"
    return holds(
        "exposed-wires",
        not (in_reach and by_voltage),
        "nothing accessible from the unsecured side energises the relay, or the site accepts it",
        "a voltage on the two accessible trigger wires operates the relay; this opening requires secured lock wiring",
    )


def feed_in_reach(need: DoorNeed) -> Reason:
    """May the wires that a fail-safe lock's power comes through be where they are? Cut or shorted they release it."""
    in_reach = need.opening.controller_at == "unsecured" and need.opening.lock_wiring_secured
    return holds(
        "exposed-wires",
        not in_reach,
        "no wire that holds the lock is accessible from the unsecured side, or the site accepts it",
        "cutting or shorting A+ A- on the unsecured side releases the lock; this opening requires secured lock wiring",
    )


def land_relay(builder: NetlistBuilder, need: DoorNeed, relay: Relay) -> None:
    """The module on the secured side, fed from the auxiliary output and commanded over two more wires of one cable."""
    outside = need.opening.controller_at == "unsecured"
    builder.add(parts.relay_module(relay))
    cable = builder.cable("relay", need.cables["relay"], exposed=outside)
    builder.wire(cable, "K1.A+", "K2.V+")
    builder.wire(cable, "K1.A-", "K2.V-")
    pairs = (("LKA", "LKA"), ("LKB", "LKB")) if relay.command == "authenticated" else (("L+", "T+"), ("L-", "T-"))
    for ours, theirs in pairs:
        builder.wire(cable, f"K1.{ours}", f"K2.{theirs}")


def land_link(builder: NetlistBuilder, relay: Relay) -> str:
    """V+ to C, as the supply-to-common link or as a jumper; returns the note for the crew."""
    note = "supply-to-common link, stays in" if relay.factory_link else "jumper"
    builder.lead("K2.V+", "K2.C", "", note)
    return KEEP_LINK if relay.factory_link else ADD_JUMPER


def reach_of_relay(need: DoorNeed, relay: Relay) -> str:
    """How the module is worked from the unsecured side, if it can be."""
    if need.opening.controller_at != "unsecured" or relay.command == "authenticated":
        return ""
    return "a voltage on the two trigger wires behind the controller energises the relay"
