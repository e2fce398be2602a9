"""The rule `device-voltage`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.quantities.printed import format_at_least, format_at_most, format_pair
from riserkit.rules._shared.base import Measure, deciding_findings, follows, measured, not_evaluated
from riserkit.rules._shared.circuits import CircuitsAlike, over_limit
from riserkit.rules._shared.lookups import after_wiring, unsolved
from riserkit.standards import copper, poe
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.devices import PoweredDevice, feed_of_node, powered_devices
from riserkit.wiring.values import DeviceVoltage


class DeviceVoltageAtTerminals:
    """Every powered device has its voltage at its own terminals, on the feed that its wires really come from.

    Why:
        A reader at the end of thin cable resets when it draws its most, a sensor drops its relay, a module lets the
        lock go. It works on the bench, where the cable is short.
    Measures:
        Least and greatest voltage at each reader, REX sensor, relay module with its trigger, controller fed from
        outside and trigger input of an exit device's supply: lowest source over the hottest conductor, highest source
        over the coldest, solved on the door's own netlist. At what the PoE cable powers, the least voltage that
        arrives.
    Limit:
        The part's rated voltage less its lower tolerance, and more its upper tolerance; at the PoE cable the least
        voltage of the device's class. A lock has a rule of its own, lock-voltage.
    Remedy:
        The volts that are missing or too many, and where to take them from.
    Source:
        Copper's resistance: NBS Handbook 100, NEC chapter 9 table 8 (verified). The tolerance is the part's own data.
    """

    name: ClassVar[str] = "device-voltage"
    source: ClassVar[str] = f"{copper.NEC_TABLE_8.cite()}; tolerance: the part's data"
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Findings for each powered device of each opening."""
        alike = CircuitsAlike()
        for door in design.doors:
            yield from self._network(door)
            circuit, subject = alike.circuit(door), door.subject
            devices = powered_devices(circuit.netlist, design.site.part) if circuit else ()
            if circuit is None or not devices:
                continue
            if why := unsolved(door):
                yield follows(self, subject, f"The voltages of its devices are unknown: {why}.")
                continue
            for device, at in zip(devices, door.wiring.voltages.devices, strict=True):
                yield from self._device(door, circuit, device, at)

    def _device(
        self, door: DoorDesign, circuit: DoorCircuit, device: PoweredDevice, at: DeviceVoltage
    ) -> Iterator[Finding]:
        subject, named = door.subject, f"{device.what} {device.ref}"
        feed = feed_of_node(circuit.netlist, device.plus)
        if device.lacks:
            names = ", ".join(device.lacks)
            yield not_evaluated(
                self, subject, f"{device.ref}, {device.what}: {device.part} does not state {names}.",
                f"State {names} of {device.part}.", about=f"tolerance of {named}",
            )  # fmt: skip
        if feed and over_limit(door, circuit, feed.source):
            text = f"{device.ref}, {device.what}: not computed, {feed.terminal} is overloaded."
            yield follows(self, subject, text, about=f"voltage at {named}")
            return
        fed = f", fed from {feed.terminal}" if feed else ""
        yield from deciding_findings([*self._low(door, device, at, fed), *self._high(door, device, at, fed)])

    def _low(self, door: DoorDesign, device: PoweredDevice, at: DeviceVoltage, fed: str) -> Iterator[Finding]:
        if device.least_v is None:
            return
        shown, limit = format_pair(at.low_v, device.least_v, "V")
        short = format_at_least(device.least_v - at.low_v, "V")
        ways = f"Raise the voltage at {device.ref} by {short}: thicker conductors, a shorter cable, or a closer source."
        yield after_wiring(door, measured(
            self, door.subject, Measure(at.low_v, device.least_v, "V", at_most=False),
            message=f"{device.ref}, {device.what}{fed}: at least {shown}; it operates from {limit}.",
            remedy=ways,
            about=f"lowest voltage at {device.what} {device.ref}",
        ))  # fmt: skip

    def _high(self, door: DoorDesign, device: PoweredDevice, at: DeviceVoltage, fed: str) -> Iterator[Finding]:
        if device.most_v is None:
            return
        shown, limit = format_pair(at.high_v, device.most_v, "V")
        ways = (
            f"Feed {device.ref} from a source of at most {format_at_most(device.most_v, 'V')}, or use a part "
            f"rated to {format_at_least(at.high_v, 'V')}."
        )
        yield after_wiring(door, measured(
            self, door.subject, Measure(at.high_v, device.most_v, "V"),
            message=f"{device.ref}, {device.what}{fed}: highest {shown}; it is rated to {limit}.",
            remedy=ways,
            about=f"highest voltage at {device.what} {device.ref}",
        ))  # fmt: skip

    def _network(self, door: DoorDesign) -> Iterator[Finding]:
        """What the PoE cable powers: the least voltage of its class has to arrive."""
        link = door.link
        if link is None or link.pd_v is None or link.device_class is None:
            return
        row = poe.POE_CLASSES[min(link.device_class, link.poe_class)]
        shown, limit = format_pair(link.pd_v, row.v_pd_min_v, "V")
        yield measured(
            self, door.subject, Measure(link.pd_v, row.v_pd_min_v, "V", at_most=False),
            message=f"Lowest voltage at the end of the PoE cable {shown}; a class {row.number} device operates from {limit}.",
            remedy=f"Raise it by {format_at_least(row.v_pd_min_v - link.pd_v, 'V')}: a shorter channel, or less load.",
            source=row.pd_voltage_source.cite(), about="voltage at the end of the PoE cable",
        )  # fmt: skip
