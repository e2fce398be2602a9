"""The controller's own dry contact switches an outside 12 or 24 V supply to the lock; no relay module."""

from __future__ import annotations

from typing import ClassVar

from riserkit.wiring import parts
from riserkit.wiring.arrangement import Choice, DoorCircuit, enough_conductors, holds
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder
from riserkit.wiring.arrangements._shared.lock_feed import JUNCTION, add_junction, land_lock, screen_feed
from riserkit.wiring.arrangements._shared.peripherals import land_data, land_peripherals, screen_peripherals
from riserkit.wiring.arrangements._shared.relay_feed import lock_contact, powered_states
from riserkit.wiring.arrangements._shared.supply_feed import ONE_COMMON, land_supply, screen_supply
from riserkit.wiring.need import DeviceCable, DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason

_PLUS, _IN, _COMMON = (f"{JUNCTION}.{name}" for name in ("SUP", "IN", "0V"))
_SWITCHED = "switched plus, whatever its colour"
BOTH_PLUS = (
    "Both wires between junction box and controller contact carry the supply's plus: mark both as plus at each end."
)


class ControllerContact:
    """S+ through C and NO (fail-secure) or NC (fail-safe) of the controller to the lock, and back to S-.

    Supply and lock meet in the junction box; two wires go from there to the controller's contact and back. Common
    practice, no source.
    """

    name: ClassVar[str] = "controller-contact"
    title: ClassVar[str] = "Controller's dry contact with an outside DC supply"
    rank: ClassVar[float] = 35.0
    when_to_use: ClassVar[str] = (
        "A controller with a dry lock output on the secured side, and a lock fed by a supply of its voltage."
    )

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """A dry lock output that nobody outside can reach, and a supply of the lock's voltage."""
        dry = need.controller is not None and need.controller.is_dry
        in_reach = need.opening.controller_at == "unsecured" and need.opening.lock_wiring_secured
        way = "cutting the contact's wires" if need.fail_safe else "joining C and NO"
        output = holds("lock-output", dry, "the controller's lock output is a dry contact",
                       "the controller's lock output is powered, not a dry contact")  # fmt: skip
        exposed = holds(
            "exposed-wires",
            not in_reach,
            "no lock wire is accessible from the unsecured side, or the site accepts it",
            f"{way} behind the controller releases the lock; this opening requires secured lock wiring",
        )
        box = enough_conductors("controller's contact", _contact_cable(need, Choice(need.lock_cables[0])).cable_type, 2)
        return (output, *screen_supply(need), exposed, box, *screen_feed(need), *screen_peripherals(need))

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        """Every supply of the lock's voltage: at the door, in the closet."""
        return need.supplies

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        """The supply through the controller's contact to the lock."""
        if need.controller is None or choice.supply is None:
            raise ValueError("a controller and a supply are needed (checked earlier)")
        outside = need.opening.controller_at == "unsecured"
        builder = NetlistBuilder()
        land_data(builder, need)
        builder.add(parts.controller(need.controller, outside=outside))
        fed = need.sensor_takes(choice.supply.part.output_v)
        land_peripherals(builder, need, sensor_fed=fed)
        add_junction(builder, need, switched=True)
        land_supply(builder, need, choice, _PLUS, _COMMON)
        cable = builder.cable("box", _contact_cable(need, choice), exposed=outside)
        # Both carry the supply's plus, before and after the contact; in a cable of two, one of them is black.
        builder.wire(cable, _PLUS, "K1.C", plus=True)
        builder.wire(cable, lock_contact(need, "K1"), _IN, _SWITCHED, plus=True)
        sensor_from = (_PLUS, _COMMON) if fed else None
        locks = land_lock(builder, need, choice.lock_cable, (_IN, _COMMON), sensor_from=sensor_from)
        powered, commanded = powered_states(need)
        return DoorCircuit(
            builder.netlist("K1.IC"), powered, commanded, locks, fail_safe=need.fail_safe, auxiliary="K1.auxiliary_rail",
            powered_part=need.controller.id, supply="G1.output", notes=(BOTH_PLUS, ONE_COMMON), reachable_release=_reach(need),
        )  # fmt: skip


def _contact_cable(need: DoorNeed, choice: Choice) -> DeviceCable:
    """The two wires between junction box and contact: of the lock cable's type, unless pulled already."""
    return need.cables["box"].unless_pulled(choice.lock_cable)


def _reach(need: DoorNeed) -> str:
    """How the lock is released from the unsecured side, if it can be."""
    if need.opening.controller_at != "unsecured":
        return ""
    if need.fail_safe:
        return "cutting either contact wire behind the controller releases the lock"
    return "joining C and NO behind the controller releases the lock"
