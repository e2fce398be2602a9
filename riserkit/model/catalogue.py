"""Generic parts and cable types that every site may use by id.

None of these is a product: each is a plausible part of its kind with round data. Figures are common practice, from
memory,
no source, unless `riserkit.standards` publishes them. A site's own part or cable type of the same id takes its place.
"""

from __future__ import annotations

from typing import Final

from riserkit.model.cabling import CableType
from riserkit.model.parts import (
    Accessory,
    Contact,
    Controller,
    DcSupply,
    FireRelay,
    Lock,
    Part,
    Reader,
    Relay,
    ReleaseButton,
    RexSensor,
    Splitter,
    Suppressor,
)


def _strike(part_id: str, title: str, rated_v: float, hold_a: float, action: str) -> Lock:
    return Lock.model_validate(
        {
            "id": part_id, "kind": "strike", "title": title, "action": action, "rated_v": rated_v, "hold_a": hold_a,
            "pull_in_a": hold_a, "tolerance_low": 0.15, "tolerance_high": 0.10 if rated_v < 20 else 0.15,
            "inductance_h": 0.25 * rated_v / 12,
            "v_pull_in_v": 0.75 * rated_v, "v_drop_out_v": 0.15 * rated_v,
        }
    )  # fmt: skip


def _magnet(part_id: str, title: str, rated_v: float, hold_a: float) -> Lock:
    return Lock.model_validate(
        {
            "id": part_id, "kind": "electromagnetic-lock", "title": title, "action": "fail-safe", "rated_v": rated_v,
            "hold_a": hold_a, "pull_in_a": hold_a, "tolerance_low": 0.15, "tolerance_high": 0.15,
            "inductance_h": 0.6 * rated_v / 12, "v_pull_in_v": 0.70 * rated_v, "v_drop_out_v": 0.05 * rated_v,
        }
    )  # fmt: skip


def _watched(lock: Lock, suffix: str, title: str, **contact: object) -> Lock:
    """The same lock with a contact of its own, closed while it holds."""
    own = {"contact_when_secured": "closed", "contact_a": 0.25, "contact_v": 30.0, **contact}
    return Lock.model_validate(
        {**lock.model_dump(), "id": f"{lock.id}-{suffix}", "title": f"{lock.title}, {title}", **own}
    )


_STRIKE_12_SECURE: Final = _strike("strike-12-secure", "Electric strike 12 V, fail-secure", 12.0, 0.25, "fail-secure")
_STRIKE_24_SAFE: Final = _strike("strike-24-safe", "Electric strike 24 V, fail-safe", 24.0, 0.15, "fail-safe")
_MAGNET_12_300: Final = _magnet("magnet-12-300", "Electromagnetic lock 12 V", 12.0, 0.35)
_MAGNET_24_600: Final = _magnet("magnet-24-600", "Electromagnetic lock 24 V, heavy", 24.0, 0.28)

PARTS: Final[tuple[Part, ...]] = (
    Controller(
        id="controller-c3", kind="controller", title="Door controller with reader, class 3",
        temperature_min_c=-35, temperature_max_c=60, poe_class=3, own_w=3.5,
        output_v=12.0, output_limit_a=0.6, output_tolerance=0.05, auxiliary_v=12.0, auxiliary_limit_a=0.2,
        converter_efficiency=0.85, feed_v=12.0, tolerance_low=0.15, tolerance_high=0.15, input_v=3.3,
    ),
    Controller(
        id="controller-c4", kind="controller", title="Door controller with reader, class 4",
        temperature_min_c=-35, temperature_max_c=65, poe_class=4, own_w=5.0,
        output_v=12.0, output_limit_a=0.6, output_tolerance=0.05, auxiliary_v=12.0, auxiliary_limit_a=0.7,
        converter_efficiency=0.85, feed_v=12.0, tolerance_low=0.15, tolerance_high=0.15, input_v=3.3, reader_bus=True,
    ),
    Controller(
        id="controller-box", kind="controller", title="Door controller in a box, class 4",
        temperature_min_c=0, temperature_max_c=50, poe_class=4,
        own_w=4.0, output_v=12.0, output_limit_a=0.6, output_tolerance=0.05, auxiliary_v=12.0, auxiliary_limit_a=0.7,
        converter_efficiency=0.85, feed_v=12.0, tolerance_low=0.15, tolerance_high=0.15, input_v=3.3,
        has_reader=False, reader_bus=True,
    ),
    Controller(
        id="controller-small", kind="controller", title="Door controller with reader, small, class 2",
        temperature_min_c=-20, temperature_max_c=50, poe_class=2, own_w=2.0,
        output_v=12.0, output_limit_a=0.25, output_tolerance=0.08, auxiliary_v=12.0, auxiliary_limit_a=0.05,
        converter_efficiency=0.82, feed_v=12.0, tolerance_low=0.10, tolerance_high=0.15, input_v=5.0, module_link=False,
    ),
    Controller(
        id="controller-out-24", kind="controller", title="Door controller with reader, 24 V output, class 5",
        temperature_min_c=-30, temperature_max_c=55, poe_class=5,
        own_w=4.5, output_v=24.0, output_limit_a=1.0, output_tolerance=0.04, auxiliary_v=24.0, auxiliary_limit_a=0.15,
        converter_efficiency=0.90, feed_v=24.0, tolerance_low=0.20, tolerance_high=0.15, input_v=3.3,
    ),
    Controller(
        id="controller-out-2a", kind="controller", title="Door controller in a box, 2 A output, class 6",
        temperature_min_c=-10, temperature_max_c=50, poe_class=6,
        own_w=6.0, output_v=12.0, output_limit_a=2.0, output_tolerance=0.05, auxiliary_v=12.0, auxiliary_limit_a=0.5,
        converter_efficiency=0.88, feed_v=12.0, tolerance_low=0.15, tolerance_high=0.15, input_v=3.3, has_reader=False,
        module_link=False, reader_bus=True,
    ),
    Controller(
        id="controller-dry", kind="controller", title="Door controller in a box, dry output, class 3",
        temperature_min_c=0, temperature_max_c=50, poe_class=3, own_w=3.0,
        output_kind="dry", contact_a=2.0, contact_v=30.0, output_tolerance=0.05, auxiliary_v=12.0, auxiliary_limit_a=0.25,
        converter_efficiency=0.85, feed_v=12.0, tolerance_low=0.15, tolerance_high=0.15, input_v=5.0, has_reader=False,
        module_link=False, reader_bus=True,
    ),
    Controller(
        id="controller-dry-reader", kind="controller", title="Door controller with reader, dry output, class 2",
        temperature_min_c=-30, temperature_max_c=60, poe_class=2,
        own_w=2.5, output_kind="dry", contact_a=1.0, contact_v=30.0, output_tolerance=0.08, auxiliary_v=12.0,
        auxiliary_limit_a=0.15, converter_efficiency=0.82, feed_v=12.0, tolerance_low=0.10, tolerance_high=0.15, input_v=3.3,
    ),
    _STRIKE_12_SECURE,
    _strike("strike-12-safe", "Electric strike 12 V, fail-safe", 12.0, 0.25, "fail-safe"),
    _strike("strike-12-heavy", "Electric strike 12 V heavy duty, fail-secure", 12.0, 0.50, "fail-secure"),
    _strike("strike-24-secure", "Electric strike 24 V, fail-secure", 24.0, 0.15, "fail-secure"),
    _STRIKE_24_SAFE,
    _MAGNET_12_300,
    _magnet("magnet-12-600", "Electromagnetic lock 12 V, heavy", 12.0, 0.55),
    _MAGNET_24_600,
    _watched(
        _STRIKE_12_SECURE, "keeper",
        "with keeper contact", latch_contact="keeper",
    ),
    _watched(
        _STRIKE_24_SAFE, "bolt",
        "with bolt contact", latch_contact="bolt",
    ),
    _watched(_MAGNET_12_300, "bond", "with bond contact", bond_contact=True),
    _watched(
        _MAGNET_24_600, "bond", "with bond contact",
        bond_contact=True,
    ),
    Lock(
        id="exit-device-motor", kind="electrified-exit-device", title="Exit device with motor latch retraction",
        action="fail-secure", rated_v=24.0, hold_a=0.7, pull_in_a=12.0, tolerance_low=0.15, tolerance_high=0.10,
        own_supply=True, free_egress=True, suppressor_fitted=True,
    ),
    Lock(
        id="latch-24", kind="electrified-latch", title="Electrified mortise latch 24 V", action="fail-secure",
        rated_v=24.0, hold_a=0.25, pull_in_a=0.25, tolerance_low=0.15, tolerance_high=0.15, inductance_h=0.4,
        v_pull_in_v=18.0, v_drop_out_v=3.6, free_egress=True,
    ),
    Lock(
        id="latch-12-safe", kind="electrified-latch", title="Electrified mortise latch 12 V, fail-safe, stays latched",
        action="fail-safe", rated_v=12.0, hold_a=0.25, pull_in_a=0.25, tolerance_low=0.15, tolerance_high=0.1, inductance_h=0.25,
        v_pull_in_v=9.0, v_drop_out_v=1.8, free_egress=True,
    ),
    Lock(
        id="latch-24-safe", kind="electrified-latch", title="Electrified mortise latch 24 V, fail-safe, stays latched",
        action="fail-safe", rated_v=24.0, hold_a=0.2, pull_in_a=0.2, tolerance_low=0.15, tolerance_high=0.15, inductance_h=0.5,
        v_pull_in_v=18.0, v_drop_out_v=3.6, free_egress=True,
    ),
    Relay(
        id="relay-auth", kind="relay", title="Relay module, authenticated link",
        temperature_min_c=-20, temperature_max_c=60, command="authenticated", coil_v=12.0,
        coil_a=0.06, tolerance_low=0.15, tolerance_high=0.15, contact_a=3.0, contact_v=30.0, factory_link=True,
    ),
    Relay(
        id="relay-volt", kind="relay", title="Relay module, voltage-triggered",
        temperature_min_c=-25, temperature_max_c=60, command="voltage", coil_v=12.0,
        coil_a=0.05, trigger_v=12.0, trigger_a=0.01, tolerance_low=0.15, tolerance_high=0.15, contact_a=3.0,
        contact_v=30.0,
    ),
    Relay(
        id="relay-auth-24", kind="relay", title="Relay module, authenticated link, 24 V",
        temperature_min_c=-20, temperature_max_c=55, command="authenticated", coil_v=24.0,
        coil_a=0.03, tolerance_low=0.20, tolerance_high=0.15, contact_a=2.0, contact_v=30.0,
    ),
    Relay(
        id="relay-volt-5", kind="relay", title="Relay module, voltage-triggered, 5 A",
        temperature_min_c=-10, temperature_max_c=50, command="voltage", coil_v=12.0,
        coil_a=0.08, trigger_v=12.0, trigger_a=0.005, tolerance_low=0.10, tolerance_high=0.15, contact_a=5.0, contact_v=48.0,
        factory_link=True,
    ),
    RexSensor(
        id="rex-motion", kind="rex-sensor", title="Motion REX sensor, two poles",
        temperature_min_c=-20, temperature_max_c=50, rated_v=12.0, draw_a=0.025,
        tolerance_low=0.15, tolerance_high=0.15, releases_on_loss=True, poles=2, contact_a=1.0, contact_v=30.0, in_leaf=False,
    ),
    RexSensor(
        id="rex-motion-24", kind="rex-sensor", title="Motion REX sensor 24 V, two poles",
        temperature_min_c=-20, temperature_max_c=55, rated_v=24.0, draw_a=0.02,
        tolerance_low=0.20, tolerance_high=0.15, releases_on_loss=True, poles=2, contact_a=2.0, contact_v=30.0, in_leaf=False,
    ),
    RexSensor(
        id="rex-button", kind="rex-sensor", title="Exit switch, unpowered", draw_a=0.0, poles=1, contact_a=1.0,
        contact_v=30.0, in_leaf=False,
    ),
    RexSensor(
        id="rex-bar", kind="rex-sensor", title="Exit switch in the bar or handle", draw_a=0.0, poles=1, contact_a=0.5,
        contact_v=30.0, in_leaf=True,
    ),
    Contact(
        id="contact-reed", kind="door-contact", title="Door position switch, concealed", contact_a=0.1, contact_v=30.0,
    ),
    ReleaseButton(
        id="release-30", kind="release-button", title="Manual release, 30 s timer, two poles", contact_a=3.0,
        contact_v=30.0, poles=2, hold_s=30.0, in_leaf=False,
    ),
    ReleaseButton(
        id="release-bar", kind="release-button", title="Release switch in the bar or handle, two poles", contact_a=2.0,
        contact_v=30.0, poles=2, in_leaf=True,
    ),
    DcSupply(
        id="supply-12-3", kind="dc-supply", title="DC supply 12 V 3 A with battery", output_v=12.0, output_a=3.0,
        tolerance=0.02, battery_ah=7.0, float_v=13.7, end_v=10.8,
    ),
    DcSupply(
        id="supply-24-4", kind="dc-supply", title="DC supply 24 V 4 A with battery", output_v=24.0, output_a=4.0,
        tolerance=0.02, battery_ah=7.0, float_v=27.4, end_v=21.6,
    ),
    DcSupply(
        id="supply-24-nb", kind="dc-supply", title="DC supply 24 V 2 A", output_v=24.0, output_a=2.0, tolerance=0.03,
    ),
    DcSupply(
        id="supply-12-5", kind="dc-supply", title="DC supply 12 V 5 A with battery", output_v=12.0, output_a=5.0,
        tolerance=0.02, battery_ah=18.0, float_v=13.7, end_v=10.8,
    ),
    DcSupply(
        id="supply-24-reg", kind="dc-supply", title="DC supply 24 V 1.5 A, regulated, with battery", output_v=24.0, output_a=1.5,
        tolerance=0.02, battery_ah=4.5, regulated=True,
    ),
    Splitter(
        id="splitter-12", kind="splitter", title="PoE splitter 12 V",
        temperature_min_c=-20, temperature_max_c=55, poe_class=4, output_v=12.0, output_a=1.8,
        output_tolerance=0.05, efficiency=0.87, own_w=0.5,
    ),
    Suppressor(id="diode-1a", kind="diode", title="Flyback diode 1 A", clamp_v=0.7, rated_a=1.0),
    Suppressor(id="varistor-47", kind="varistor", title="Varistor suppressor", clamp_v=47.0, rated_a=1.0),
    Reader(
        id="reader-out", kind="reader", title="Reader",
        temperature_min_c=-35, temperature_max_c=65, rated_v=12.0, draw_a=0.08, tolerance_low=0.15,
        tolerance_high=0.15,
    ),
    FireRelay(
        id="fire-relay", kind="fire-alarm-relay", title="Fire alarm relay contact", in_alarm="opens", contact_a=2.0,
        contact_v=30.0,
    ),
    Accessory(id="back-box", kind="accessory", title="Back box, one gang, deep"),
    Accessory(id="hinge-transfer", kind="accessory", title="Hinge power transfer"),
)  # fmt: skip

CABLE_TYPES: Final[tuple[CableType, ...]] = (
    CableType(
        id="cat6", title="Category 6, 4 pair 23 AWG, riser", kind="category", category="6", gauge="23 AWG", stranding="solid",
        outside_diameter_m=0.0058, jacket="CMR",
    ),
    CableType(
        id="cat6-plenum", title="Category 6, 4 pair 23 AWG, plenum", kind="category", category="6", gauge="23 AWG", stranding="solid",
        outside_diameter_m=0.0056, jacket="CMP",
    ),
    CableType(
        id="cat6-outdoor", title="Category 6, 4 pair 23 AWG, outdoor", kind="category", category="6", gauge="23 AWG", stranding="solid",
        outside_diameter_m=0.0065, jacket="CMR / CMX OUTDOOR",
    ),
    CableType(
        id="cat5e", title="Category 5e, 4 pair 24 AWG, riser", kind="category", category="5e", gauge="24 AWG", stranding="solid",
        outside_diameter_m=0.0052, jacket="CMR",
    ),
    CableType(
        id="om4-12", title="Optical OM4, 12 fibre, riser", kind="optical", conductors=12, outside_diameter_m=0.006,
        jacket="OFNR",
    ),
    *(
        CableType(
            id=f"{awg}-{count}{place}", title=f"Control, {count} conductor {awg} AWG{title}", kind="control",
            conductors=count, gauge=f"{awg} AWG", stranding="stranded", outside_diameter_m=diameter_m, jacket=jacket,
        )
        for place, title, jacket in (("", "", "CL3R"), ("-plenum", ", plenum", "CL3P"), ("-outdoor", ", outdoor", "PLTC"))
        for awg, count, diameter_m in (
            (22, 2, 0.0036), (22, 4, 0.0043), (22, 6, 0.0050), (18, 2, 0.0050), (18, 4, 0.0060), (16, 2, 0.0060),
            (14, 2, 0.0074), (12, 2, 0.0090),
        )
    ),
)  # fmt: skip
