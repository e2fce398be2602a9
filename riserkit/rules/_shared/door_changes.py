"""Changes of a door that its owner could order, in words, the least first: what a remedy may be looked for among."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

from riserkit.design import Design, DoorDesign
from riserkit.model.opening import EgressRole
from riserkit.model.parts import Controller, DcSupply, FireRelay, Lock, PartBase, Relay, ReleaseButton, RexSensor
from riserkit.model.power import Supply
from riserkit.model.run_ends import device_of, ends_at
from riserkit.model.site import Site
from riserkit.rules._shared.said import is_of_a_door
from riserkit.standards.copper import larger_gauges

_P = TypeVar("_P", bound=PartBase)
Edit = Callable[[Site, Sequence[str]], Site]

# What a change takes, in an arbitrary unit: a word in the list is the least, then a device, the lock or the controller, then
# a supply. Common practice, no source.
_STATEMENT, _DEVICE, _MAIN_DEVICE, _SUPPLY, _NEW_SUPPLY = 1.0, 2.0, 3.0, 5.0, 6.0
# A coil of much less power is a weaker lock: no replacement.
_SAME_STRENGTH: Final = 0.75


@dataclass(frozen=True, slots=True)
class Change:
    """One change.

    Args:
        what: the column or table that changes; two changes of one stand in each other's way.
        words: an instruction, without its full stop.
        cost: what it takes; no price.
        apply: a site with the change at the openings of these marks.
        note: a sentence more, to be heeded when it is carried out.
        unlike: how far the new part is from the old one, where two would do alike.
    """

    what: str
    words: str
    cost: float
    apply: Edit
    note: str = ""
    unlike: float = 0.0


def changes(design: Design, door: DoorDesign) -> list[Change]:
    """Every change that could make this door work, the least first. None changes how people get out or in.

    Args:
        design: the design.
        door: one of the doors with the same parts, which the change is for.
    """
    found = [
        *_statements(design, door), *_devices(design, door), *_locks(design, door), *_controllers(design, door),
        *_cables(design, door), *_supplies(design, door),
    ]  # fmt: skip
    return sorted(found, key=lambda change: (change.cost, change.words))


def _edit_openings(**fields: object) -> Edit:
    def apply(site: Site, marks: Sequence[str]) -> Site:
        chosen = set(marks)
        openings = tuple(o.model_copy(update=fields) if o.mark in chosen else o for o in site.openings)
        return site.model_copy(update={"openings": openings})

    return apply


def _statements(design: Design, door: DoorDesign) -> Iterator[Change]:
    opening, placement = door.opening, door.placement
    if opening.arrangement:
        words = f"Leave the arrangement of the opening empty in place of {opening.arrangement}"
        yield Change("arrangement", words, _STATEMENT, _edit_openings(arrangement=""))
    if opening.release and opening.egress is EgressRole.MECHANICAL and opening.free_egress_hardware:
        words = f"Leave out the manual release {opening.release}: the hardware opens the door from inside"
        yield Change("release", words, _STATEMENT, _edit_openings(release=""))
    switch = design.site.switch.get(placement.switch) if placement else None
    if switch is not None and switch.is_on_ups is False:

        def on_ups(site: Site, _marks: Sequence[str]) -> Site:
            kept = (s.model_copy(update={"on_ups": True}) if s.id == switch.id else s for s in site.switches)
            return site.model_copy(update={"switches": tuple(kept)})

        yield Change("switches", f"Put switch {switch.id} on a UPS and state on_ups yes", _STATEMENT, on_ups)


def _devices(design: Design, door: DoorDesign) -> Iterator[Change]:
    site, opening = design.site, door.opening
    rex = site.part.get(opening.rex)
    if isinstance(rex, RexSensor):
        for sensor in _others(site, rex):
            as_safe = sensor.releases_on_loss or not rex.releases_on_loss
            if (
                as_safe
                and bool(sensor.in_leaf) == bool(rex.in_leaf)
                and (sensor.poles or 0) >= (rex.poles or 0)
                and sensor.is_powered == rex.is_powered
            ):
                yield _instead("rex", rex, sensor, unlike=(sensor.poles or 0) - (rex.poles or 0))
    release = site.part.get(opening.release or site.info.release)
    if isinstance(release, ReleaseButton):
        for button in _others(site, release):
            if (
                bool(button.in_leaf) == bool(release.in_leaf)
                and (button.poles or 0) >= (release.poles or 0)
                and (button.hold_s or 0.0) >= (release.hold_s or 0.0)
            ):
                yield _instead("release", release, button)
    fire = site.part.get(opening.fire_relay)
    if opening.fire_alarm_release and isinstance(fire, FireRelay):
        yield from (_instead("fire_relay", fire, other) for other in _others(site, fire))
    relay = site.part.get(opening.relay or site.info.relay)
    if isinstance(relay, Relay):
        for module in _others(site, relay):
            # A relay that any voltage moves takes no place of one that obeys a coded message only.
            if module.command == "authenticated" or relay.command == "voltage":
                yield _instead("relay", relay, module)


def _others(site: Site, part: _P) -> Iterator[_P]:
    yield from (other for other in site.parts if isinstance(other, type(part)) and other.id != part.id)


def _instead(
    column: str, old: PartBase, new: PartBase, cost: float = _DEVICE, note: str = "", unlike: float = 0.0
) -> Change:
    words = f"Use {new.id} in place of {old.id}"
    return Change(column, words, cost, _edit_openings(**{column: new.id}), note, unlike)


def _locks(design: Design, door: DoorDesign) -> Iterator[Change]:
    """Locks of the same kind with another voltage, or that do without power what is wanted."""
    lock = design.site.part.get(door.opening.lock)
    if not isinstance(lock, Lock):
        return
    wanted = door.opening.fail_mode or lock.action
    fits = lock.action in ("", wanted)
    for other in _others(design.site, lock):
        another = other.rated_v != lock.rated_v if fits else True
        another = another and is_of_a_door(other) == is_of_a_door(lock)
        same = all(getattr(other, name) == getattr(lock, name) for name in ("kind", "free_egress", "own_supply"))
        if another and same and other.action in ("", wanted) and _coil_w(other) >= _SAME_STRENGTH * _coil_w(lock):
            note, unlike = "Compare strength and fit of the two locks.", abs(_coil_w(other) - _coil_w(lock))
            yield _instead("lock", lock, other, _MAIN_DEVICE, note, unlike)


def _coil_w(lock: Lock) -> float:
    return (lock.rated_v or 0.0) * (lock.hold_a or 0.0)


def _controllers(design: Design, door: DoorDesign) -> Iterator[Change]:
    """Controllers that have what this one has, on the port that is there."""
    old, placement = design.site.part.get(door.opening.controller), door.placement
    if not isinstance(old, Controller):
        return
    for new in _others(design.site, old):
        has = all(getattr(new, name) or not getattr(old, name) for name in ("has_reader", "module_link", "reader_bus"))
        port_class = placement.poe_class if placement else 0
        if has and new.poe_class is not None and new.poe_class <= max(port_class or 0, old.poe_class or 0):
            yield _instead("controller", old, new, _MAIN_DEVICE)


def _cables(design: Design, door: DoorDesign) -> Iterator[Change]:
    site, opening = design.site, door.opening
    for column in ("rex_cable", "contact_cable"):
        used = site.cable_type.get(getattr(opening, column) or getattr(site.info, column))
        for new in site.cable_types:
            alike = used and new.kind == "control" and (new.jacket, new.gauge) == (used.jacket, used.gauge)
            if used and alike and new.conductors > used.conductors:
                words = f"Use {new.id} in place of {used.id} for {column}"
                yield Change(column, words, _DEVICE + 0.01 * new.conductors, _edit_openings(**{column: new.id}))
    # A lock cable that is in the wall already: it can be pulled anew.
    for run in site.runs:
        old = site.cable_type.get(run.cable_type)
        if old is None or device_of(run) != "lock" or run.basis != "measured" or not ends_at(run, opening.mark):
            continue
        thicker = larger_gauges(old.gauge or "")
        usual = site.cable_type.get(opening.lock_cable or site.info.lock_cable)
        jackets = {old.jacket, usual.jacket if usual else ""}
        for new in site.cable_types:
            fit = new.kind == "control" and new.conductors >= old.conductors and new.jacket in jackets
            if fit and new.gauge in thicker:
                cost = _DEVICE + 0.1 * (thicker.index(new.gauge) + new.conductors)
                yield Change(
                    "runs", f"Pull {new.id} in place of {old.id} to the lock", cost, _pulled_anew(run.id, new.id)
                )


def _pulled_anew(run_id: str, cable_type: str) -> Edit:
    def apply(site: Site, _marks: Sequence[str]) -> Site:
        told = {"cable_type": cable_type, "basis": "stated"}
        return site.model_copy(
            update={"runs": tuple(r.model_copy(update=told) if r.id == run_id else r for r in site.runs)}
        )

    return apply


def _supplies(design: Design, door: DoorDesign) -> Iterator[Change]:
    site, opening = design.site, door.opening
    lock = site.part.get(opening.lock)
    if not isinstance(lock, Lock) or lock.own_supply:
        return
    fail_safe = (opening.fail_mode or lock.action) == "fail-safe"
    parts = [p for p in site.parts if isinstance(p, DcSupply) and (p.battery_ah or not fail_safe)]
    stated = site.supply.get(opening.supply)
    old = site.part.get(stated.part) if stated else None
    if stated is not None and isinstance(old, DcSupply):
        shared = any(
            d.mark != door.mark and d.wiring.drawn and d.wiring.drawn.supply_id == stated.id for d in design.doors
        )
        for part in parts:
            larger = part.output_v == old.output_v and (part.output_a or 0.0) > (old.output_a or 0.0)
            if larger and (not shared or part.range_v == old.range_v):
                words = f"Use {part.id} in place of {old.id} as supply {stated.id}"
                yield Change("supplies", words, _SUPPLY, _other_part(stated.id, part.id))
        return
    closet = door.placement.closet if door.placement else ""
    for part in parts:
        if part.output_v != lock.rated_v:
            continue
        if closet:
            words = f"Add a supply {part.id} in closet {closet} and state it as the opening's supply"
            yield Change("supplies", words, _NEW_SUPPLY, _added_supply(part.id, closet=closet))
        words = f"Add a supply {part.id} at the door and state it as the opening's supply"
        yield Change("supplies", words, _NEW_SUPPLY + 1.0, _added_supply(part.id))


def _other_part(supply_id: str, part_id: str) -> Edit:
    def apply(site: Site, _marks: Sequence[str]) -> Site:
        kept = (s.model_copy(update={"part": part_id}) if s.id == supply_id else s for s in site.supplies)
        return site.model_copy(update={"supplies": tuple(kept)})

    return apply


def _added_supply(part_id: str, closet: str = "") -> Edit:
    def apply(site: Site, marks: Sequence[str]) -> Site:
        taken, added = {s.id for s in site.supplies}, []
        for mark in marks:
            name = next(n for k in range(1, len(taken) + 2) if (n := f"PS-NEW{k}") not in taken)
            taken.add(name)
            place = {"closet": closet} if closet else {"opening": mark}
            added.append(Supply.model_validate({"id": name, "part": part_id, **place}))
            site = _edit_openings(supply=name)(site, [mark])
        return site.model_copy(update={"supplies": (*site.supplies, *added)})

    return apply
