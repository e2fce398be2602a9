"""The lock's side of every arrangement: what is in series in its feed, the lock itself, and its suppression."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, Terminal
from riserkit.model.cabling import CableType
from riserkit.wiring import parts
from riserkit.wiring.arrangement import enough_conductors, holds
from riserkit.wiring.arrangements._shared.builder import NetlistBuilder, lock_ref
from riserkit.wiring.arrangements._shared.leaf import leaf_transfer, release_refs, signals_release
from riserkit.wiring.need import DeviceCable, DoorNeed
from riserkit.wiring.places import box_place, lock_place
from riserkit.wiring.reason import SLACK, Reason
from riserkit.wiring.roles import DeviceRole

JUNCTION = "X1"
_IN, _COMMON, _REQUEST, _RETURN = (f"{JUNCTION}.{name}" for name in ("IN", "0V", "REQ", "IC"))
# What is in the junction box itself where there is one.
_HOUSED = (DeviceRole.RELAY_MODULE, DeviceRole.SPLITTER)


def wants_release(need: DoorNeed) -> bool:
    """A manual release is in the feed: the opening names one, or a sensor-released door must have one.

    IBC 2021 1010.2.12 item 4 (verified): the manual device directly interrupts power to the lock.
    """
    return need.release is not None


def wants_fire_relay(need: DoorNeed) -> bool:
    """The fire alarm breaks the feed: asked for by the site, and only of use where unpowered means released."""
    return need.opening.fire_alarm_release and need.fail_safe


def source_reaches(need: DoorNeed, nominal_v: float | None, tolerance: float | None, what: str) -> tuple[Reason, ...]:
    """Is the source's lowest voltage enough for the lock at all? If not, no cable is thick enough."""
    least_v = need.lock_least_v
    if nominal_v is None or tolerance is None or least_v is None:
        return ()
    lowest_v = nominal_v * (1 - tolerance)
    return (
        Reason(
            "source-voltage", lowest_v >= least_v - SLACK, f"{what} gives at the lowest", lowest_v, least_v, "V", False
        ),
    )


def screen_feed(need: DoorNeed) -> tuple[Reason, ...]:
    """Tests of the cables to the lock and to what is in series with it."""
    reasons = [enough_conductors("lock", need.lock_cables[0], 2)]
    if "lock2" in need.cables and need.opening.lock_count > 1:
        reasons.append(enough_conductors("second leaf's lock", need.cables["lock2"].cable_type, 2))
    if need.release is not None:
        reasons.append(
            holds(
                "release-in-series",
                need.fail_safe,
                "breaking the lock's power releases it",
                "a manual release breaks the lock's power, which leaves a fail-secure lock locked",
            )
        )
        wires = 4 if signals_release(need) else 2
        reasons.append(enough_conductors("manual release", need.cables["release"].cable_type, wires))
        if need.release.in_leaf:
            cable = need.cables["release_leaf"].cable_type
            reasons.append(enough_conductors("manual release, within the leaf", cable, wires))
        if signals_release(need):
            reasons.append(enough_conductors("manual release's signal", need.cables["request"].cable_type, 2))
    if need.sensor_breaks:
        reasons.append(enough_conductors("REX sensor in the lock's feed", need.cables["rex_feed"].cable_type, 4))
    if wants_fire_relay(need):
        reasons.append(enough_conductors("fire alarm relay", need.cables["fire"].cable_type, 2))
    return tuple(reasons)


def junction_terminals(need: DoorNeed, *, common: bool, fed: bool, switched: bool = False) -> tuple[Terminal, ...]:
    """Terminals that the junction box needs, so that no cable's conductors part anywhere else.

    One after each device in series, the supply's common where it lands, lock power where a cable of its own brings it
    (`fed`), the supply's plus and lock power where it goes through a contact elsewhere (`switched`), and the two over
    by which the manual release signals the controller.
    """
    names: list[Terminal] = []
    common = common or switched
    if need.sensor_breaks or wants_release(need) or wants_fire_relay(need):
        common = common or fed
    else:
        fed = False
    if need.sensor_breaks:
        names.append(Terminal(str(len(names) + 1), "after REX sensor"))
    for ref in release_refs(need):
        which = f" {ref}" if len(release_refs(need)) > 1 else ""
        names.append(Terminal(str(len(names) + 1), f"after manual release{which}"))
    if wants_fire_relay(need):
        names.append(Terminal(str(len(names) + 1), "after fire alarm relay"))
    if common:
        names.append(Terminal("0V", "supply common", "-"))
    if fed or switched:
        names.insert(0, Terminal("IN", "lock power", "+"))
    if switched:
        names.insert(0, Terminal("SUP", "supply plus", "+"))
    if signals_release(need):
        names += [Terminal("REQ", "to the REX/AUX input"), Terminal("IC", "input return", "-")]
    return tuple(names)


def add_junction(
    builder: NetlistBuilder, need: DoorNeed, *, common: bool = False, fed: bool = False, switched: bool = False
) -> None:
    """The junction box on the secured side, above the ceiling where there is one, when anything lands in it.

    Args:
        builder: collects it; the relay module and the splitter that it holds already go into the box.
        need: the opening.
        common: the supply's common is landed in it.
        fed: lock power comes from a device elsewhere.
        switched: the supply lands in it, and its plus goes through a contact elsewhere.
    """
    terminals = junction_terminals(need, common=common, fed=fed, switched=switched)
    if terminals:
        place = box_place(need.opening)
        builder.add(Component(JUNCTION, "Junction box", terminals, place=place, role=DeviceRole.JUNCTION_BOX))
        builder.house(JUNCTION, f"in junction box {JUNCTION}, {place}", *_HOUSED)


def land_lock(
    builder: NetlistBuilder,
    need: DoorNeed,
    lock_cable: CableType,
    feed: tuple[str, str],
    *,
    suppressed: bool = True,
    sensor_from: tuple[str, str] | None = None,
) -> tuple[str, ...]:
    """The feed through everything in series to the lock or locks and back; returns the locks.

    Args:
        builder: collects it.
        need: the opening.
        lock_cable: to the lock.
        feed: terminals that lock power comes from, plus first.
        suppressed: a suppressor is at the lock.
        sensor_from: terminals that the REX sensor takes its supply from; None when the controller feeds it.
    """
    plus, minus = _into_box(builder, need, lock_cable, feed)
    plus = _series(builder, need, plus, sensor_from)
    exposed = _in_reach(need, plus, minus)
    return tuple(
        _one_lock(builder, need, lock_run(need, lock_cable, number), (plus, minus), number, exposed, suppressed)
        for number in range(1, need.opening.lock_count + 1)
    )


def _into_box(builder: NetlistBuilder, need: DoorNeed, lock_cable: CableType, feed: tuple[str, str]) -> tuple[str, str]:
    """Terminals that lock power comes from at the junction box: its own, with a cable to it, where it comes from afar."""
    in_series = need.sensor_breaks or wants_release(need) or wants_fire_relay(need)
    if not in_series or builder.place_of(feed[0]) == JUNCTION:
        return feed
    cable = builder.cable("box", need.cables["box"].unless_pulled(lock_cable), exposed=_in_reach(need, *feed))
    builder.wire(cable, feed[0], _IN)
    builder.wire(cable, _COMMON, feed[1])
    return _IN, _COMMON


def lock_run(need: DoorNeed, lock_cable: CableType, number: int) -> DeviceCable:
    """The cable to lock 1 or 2: of the type chosen, or of its own where it is pulled already."""
    spec = need.cables["lock2"] if number > 1 and "lock2" in need.cables else need.cables["lock"]
    return spec.unless_pulled(lock_cable)


def _in_reach(need: DoorNeed, *ends: str) -> bool:
    """An end behind a controller on the unsecured side is in the hand of whoever takes it off the wall."""
    return need.opening.controller_at == "unsecured" and any(end.startswith("K1.") for end in ends)


def _series(builder: NetlistBuilder, need: DoorNeed, plus: str, sensor_from: tuple[str, str] | None) -> str:
    number = 0
    if need.sensor_breaks:
        # Before the manual release: its cable holds a live plus, and a short in it must not bypass the button.
        number += 1
        cable = builder.cable("rex_feed", need.cables["rex_feed"], exposed=_in_reach(need, plus))
        builder.wire(cable, plus, "B2.2C", plus=True)
        builder.wire(cable, "B2.2NC", f"{JUNCTION}.{number}", plus=True)
        if sensor_from is not None:
            builder.wire(cable, sensor_from[0], "B2.+")
            builder.wire(cable, "B2.-", sensor_from[1])
        plus = f"{JUNCTION}.{number}"
    for leaf, ref in enumerate(release_refs(need), 1):
        number += 1
        plus = _one_release(builder, need, plus, ref, leaf, f"{JUNCTION}.{number}")
    if wants_fire_relay(need):
        number += 1
        ref = builder.add(parts.fire_relay(need.fire_relay))
        cable = builder.cable("fire", need.cables["fire"], exposed=_in_reach(need, plus))
        builder.wire(cable, plus, f"{ref}.C", plus=True)
        builder.wire(cable, f"{ref}.NC", f"{JUNCTION}.{number}", plus=True)
        plus = f"{JUNCTION}.{number}"
    return plus


def _one_release(builder: NetlistBuilder, need: DoorNeed, plus: str, ref: str, leaf: int, after: str) -> str:
    """The release of leaf 1 or 2 between `plus` and the box's terminal `after`, which it returns."""
    if need.release is None:
        raise ValueError("a manual release is needed")
    builder.add(parts.release_button(need.release, ref))
    signals = signals_release(need)
    if signals and leaf == 1:
        signal = builder.cable("request", need.cables["request"], exposed=_in_reach(need, "K1.REQ"))
        builder.wire(signal, "K1.REQ", _REQUEST)
        builder.wire(signal, "K1.IC", _RETURN)
    cable = builder.cable("release", need.cables["release"], exposed=_in_reach(need, plus))
    at = leaf_transfer(builder, need, leaf) if need.release.in_leaf else ref
    builder.wire(cable, plus, f"{at}.11", plus=True)
    builder.wire(cable, f"{at}.12", after, plus=True)
    if signals:
        builder.wire(cable, _REQUEST, f"{at}.23")
        builder.wire(cable, _RETURN, f"{at}.24")
    if at != ref:
        within = builder.cable("release_leaf", need.cables["release_leaf"])
        for name in ("11", "12", "23", "24") if signals else ("11", "12"):
            builder.wire(within, f"{at}.{name}", f"{ref}.{name}", plus=name in ("11", "12"))
    return after


def _one_lock(
    builder: NetlistBuilder,
    need: DoorNeed,
    cable: DeviceCable,
    ends: tuple[str, str],
    number: int,
    exposed: bool,
    suppressed: bool,
) -> str:
    if need.lock is None:
        raise ValueError("a lock is needed; arrangements screen for it first")
    accessible = bool(need.opening.lock_accessible)
    place = lock_place(need.opening, need.lock)
    lock = parts.lock(need.lock, lock_ref(number), accessible=accessible, own_contact=_own(need, number), place=place)
    ref = builder.add(lock)
    wire = builder.cable("lock", cable, exposed=exposed or accessible)
    if need.lock_in_leaf:
        hinge = leaf_transfer(builder, need, need.leaf_of_lock(number))
        builder.wire(wire, ends[0], f"{hinge}.+")
        builder.wire(wire, f"{hinge}.-", ends[1])
        leaf = need.cables["leaf"].unless_pulled(cable.cable_type)
        wire, ends = builder.cable("leaf", leaf, exposed=accessible), (f"{hinge}.+", f"{hinge}.-")
    builder.wire(wire, ends[0], f"{ref}.+")
    builder.wire(wire, f"{ref}.-", ends[1])
    if suppressed and not need.lock.suppressor_fitted:
        land_suppressor(builder, need, ref, f"R{number}")
    return ref


def _own(need: DoorNeed, number: int) -> parts.OwnContact | None:
    """How the own contact of lock 1 or 2 is landed, with the door contact of its leaf before it."""
    if not need.lands_lock_contact:
        return None
    return parts.OwnContact(need.fail_safe, f"{'B1' if number == 1 else 'B4'}.open" if need.contact else "")


def land_suppressor(builder: NetlistBuilder, need: DoorNeed, lock_ref: str, ref: str) -> None:
    """The suppressor at the lock's own terminals; a diode with its cathode to plus."""
    builder.add(parts.suppressor(need.suppressor, ref))
    if need.suppressor is None or need.suppressor.kind == "diode":
        builder.lead(f"{ref}.K", f"{lock_ref}.+", "", "cathode (banded end) to plus")
        builder.lead(f"{ref}.A", f"{lock_ref}.-", "", "anode to minus")
    else:
        builder.lead(f"{ref}.1", f"{lock_ref}.+", "", "no polarity; as near the lock as can be")
        builder.lead(f"{ref}.2", f"{lock_ref}.-", "", "no polarity")
