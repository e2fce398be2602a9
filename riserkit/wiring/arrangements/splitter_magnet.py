"""Electromagnetic lock on a PoE splitter at the secured side, with a manual release in its feed."""

from __future__ import annotations

from typing import ClassVar

from riserkit.wiring import parts
from riserkit.wiring.arrangement import Choice, DoorCircuit, enough_conductors, holds
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder
from riserkit.wiring.arrangements._shared.lock_feed import add_junction, land_lock, source_reaches
from riserkit.wiring.arrangements._shared.peripherals import land_data, land_peripherals
from riserkit.wiring.arrangements._shared.relay_feed import feed_in_reach, land_link, screen_relay
from riserkit.wiring.arrangements.direct import backup_reason
from riserkit.wiring.need import DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason

FED_FROM_OUTSIDE = "The controller is fed at A+ A- from the splitter; its data jack carries data only."


class SplitterMagnet:
    """The splitter's 12 V feeds controller, module and magnet; the manual release breaks the magnet's current itself."""

    name: ClassVar[str] = "splitter-magnet"
    title: ClassVar[str] = "Electromagnetic lock on a PoE splitter, with manual release"
    rank: ClassVar[float] = 30.0
    when_to_use: ClassVar[str] = (
        "A 12 V magnet with everything on the secured side and one PoE cable for all: the splitter feeds controller, "
        "module and magnet, the manual release breaks the magnet's current. Wants a UPS behind the switch."
    )

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """A magnet, a splitter, an authenticated module, and a release that stays out for 30 s."""
        magnet = need.lock is not None and need.lock.kind == "electromagnetic-lock"
        reasons = [
            holds("magnet", magnet, "the lock is an electromagnetic lock", "the lock is not an electromagnetic lock"),
            holds("splitter", need.splitter is not None, "a splitter is available", "no splitter is available"),
            holds("release", need.release is not None, "a manual release is in the lock's feed",
                  "no manual release is available for the lock's feed"),
            enough_conductors("12 V feed", need.cables["relay"].cable_type, 4),
            backup_reason(need),
            feed_in_reach(need),
        ]  # fmt: skip
        if need.splitter is not None:
            reasons += source_reaches(need, need.splitter.output_v, need.splitter.output_tolerance, "the splitter")
        return (*reasons, *screen_relay(need, need.relay, "authenticated"))

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        """The PoE cable, through the splitter."""
        return (None,)

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        """Splitter to module to release to magnet."""
        if need.controller is None or need.relay is None or need.splitter is None:
            raise ValueError("a controller, a relay module and a splitter are needed (checked earlier)")
        outside = need.opening.controller_at == "unsecured"
        builder = NetlistBuilder()
        land_data(builder, need, "T1.JIN")
        builder.add(parts.splitter(need.splitter))
        builder.add(parts.controller(need.controller, outside=outside, fed_from_network=False))
        builder.data("data_tail", need.cables["data_tail"], "T1.JOUT", "K1.J")
        fed = need.sensor_takes(need.splitter.output_v)
        land_peripherals(builder, need, sensor_fed=fed)
        builder.add(parts.relay_module(need.relay))
        builder.lead("T1.P+", "K2.V+", "RD", "splitter tail, plus")
        builder.lead("T1.P-", "K2.V-", "BK", "splitter tail, minus")
        note = land_link(builder, need.relay)
        cable = builder.cable("relay", need.cables["relay"], exposed=outside)
        for theirs, ours in (("V+", "A+"), ("V-", "A-"), ("LKA", "LKA"), ("LKB", "LKB")):
            builder.wire(cable, f"K2.{theirs}", f"K1.{ours}")
        add_junction(builder, need)
        sensor_from = ("K2.V+", "K2.V-") if fed else None
        locks = land_lock(builder, need, choice.lock_cable, ("K2.NC", "K2.V-"), sensor_from=sensor_from)
        return DoorCircuit(
            builder.netlist("K1.IC"), {"K1.output": False}, {"K1.output": True}, locks, powered_part=need.splitter.id,
            fail_safe=need.fail_safe, supply="T1.output", relay="K2",
            notes=(note, FED_FROM_OUTSIDE),
        )  # fmt: skip
