"""What arrangements with an outside DC supply share: its tests, and landing it."""

from __future__ import annotations

from riserkit.wiring import parts
from riserkit.wiring.arrangement import Choice, enough_conductors, holds
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.places import box_place
from riserkit.wiring.reason import Reason

ONE_COMMON = "The lock returns to the supply's common only; do not join it with the controller's return."


def screen_supply(need: DoorNeed) -> tuple[Reason, ...]:
    """A supply of the lock's voltage, and no supply of the lock's own."""
    own_supply = need.lock is not None and need.lock.own_supply
    return (
        holds("own-supply", not own_supply, "the lock takes an outside supply",
              "the lock has its own supply and needs a dry trigger"),
        holds("supply", bool(need.supplies), "a DC supply of the lock's voltage is available",
              "no DC supply of the lock's voltage is available"),
        *(enough_conductors("supply", s.cable.cable_type, 2) for s in need.supplies if s.cable.pulled),
    )  # fmt: skip


def land_supply(builder: NetlistBuilder, need: DoorNeed, choice: Choice, plus: str, common: str) -> None:
    """The supply, and its cable to the terminals for its plus and its common.

    Raises:
        ValueError: the choice names no supply; arrangements screen for it first.
    """
    offer = choice.supply
    if offer is None:
        raise ValueError("a supply is needed (checked earlier)")
    # At the door it is put where the boxes are: elevation and table of devices have it there.
    builder.add(parts.dc_supply(offer.part, "G1", offer.closet, box_place(need.opening)))
    feed = builder.cable("feed", offer.cable.unless_pulled(choice.lock_cable))
    builder.wire(feed, "G1.S+", plus)
    builder.wire(feed, "G1.S-", common)
