"""From a site and its network plan to what each opening asks of its wiring."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final, TypeVar

from riserkit.model.as_built import MeasuredCable
from riserkit.model.cabling import CableType, LengthBasis, Run
from riserkit.model.opening import EgressRole, Opening
from riserkit.model.parts import (
    Contact,
    Controller,
    DcSupply,
    FireRelay,
    Lock,
    PartBase,
    Reader,
    Relay,
    ReleaseButton,
    RexSensor,
    Splitter,
    Suppressor,
)
from riserkit.model.power import Supply
from riserkit.model.run_ends import device_of
from riserkit.model.site import Site
from riserkit.network.estimate import estimated_length_m as across_m
from riserkit.network.spots import opening_spot
from riserkit.network.values import CableRun, Placement, Route
from riserkit.standards.copper import larger_gauges
from riserkit.wiring.closets import AT_DOOR, TO_BE_ADDED, at_opening
from riserkit.wiring.lengths import FED_FROM, estimated_length_m, rex_place
from riserkit.wiring.need import NOT_KNOWN, DeviceCable, DoorNeed, SupplyOffer
from riserkit.wiring.places import strike_in_leaf

_P = TypeVar("_P", bound=PartBase)
_FEED: Final = "feed"
_HEAD_LOCKS = frozenset({"electromagnetic-lock"})
_NO_RUNS: Final[Mapping[str, Run]] = MappingProxyType({})


class NeedReader:
    """Looks up once what many openings share: parts, stated runs at doors, supplies by place."""

    def __init__(self, site: Site, route: Callable[[str, str], Route | None] | None = None) -> None:
        """Read a site's needs.

        Args:
            site: the site.
            route: the way from a closet to an opening, for a supply in another closet than the opening's
                own; without it such a supply's cable is taken to be as long as the opening's PoE cable.
        """
        self._site = site
        self._built = site.as_built
        self._route = route
        self._runs = _device_runs(site)
        self._supplies: dict[tuple[str, str], list[Supply]] = {}  # by opening, and closet where there is none
        for supply in site.supplies:
            at = (supply.opening, "" if supply.opening else supply.closet)
            self._supplies.setdefault(at, []).append(supply)
        self._thicker: dict[str, tuple[CableType, ...]] = {}
        self._estimated: dict[tuple[object, ...], Mapping[str, DeviceCable]] = {}

    def need(self, opening: Opening, placement: Placement | None, cable: CableRun | None, label: str) -> DoorNeed:
        """What this opening asks for. Never raises for missing data; `DoorNeed.missing` lists it."""
        info = self._site.info
        lock = self._part(opening.lock, Lock)
        sensor_released = opening.egress is EgressRole.SENSOR_RELEASE
        relay, voltage_relay = self._relays(opening)
        cables = self._cables(opening, lock, cable)
        closet = placement.closet if placement else ""
        switch = self._site.switch.get(placement.switch) if placement else None
        return DoorNeed(
            opening=opening,
            controller=self._part(opening.controller, Controller),
            lock=lock,
            contact=self._part(opening.contact, Contact),
            rex=self._part(opening.rex, RexSensor),
            release=self._part(opening.release or (info.release if sensor_released else ""), ReleaseButton),
            relay=relay,
            voltage_relay=voltage_relay,
            splitter=self._part(opening.splitter or info.splitter, Splitter),
            suppressor=self._part(opening.suppressor or _usual_suppressor(self._site, lock), Suppressor),
            reader_in=self._part(opening.reader_in, Reader),
            reader_out=self._part(opening.reader_out, Reader),
            fire_relay=self._part(opening.fire_relay, FireRelay),
            supplies=self._kept_supply(opening, self._supply_offers(opening, lock, closet, cable, cables["supply"])),
            cables=cables,
            lock_cables=self._kept_cable(opening) or self._lock_cables(cables["lock"]),
            data_label=label,
            closet=closet,
            on_ups=switch.is_on_ups if switch else None,
            missing=_missing(self._site, opening, lock),
            issued_cables=self._site.issued_cables_of.get(opening.mark, ()),
        )

    def _part(self, part_id: str, kind: type[_P]) -> _P | None:
        part = self._site.part.get(part_id)
        return part if isinstance(part, kind) else None

    def _relays(self, opening: Opening) -> tuple[Relay | None, Relay | None]:
        stated = self._part(opening.relay, Relay)
        if stated is None:
            return self._part(self._site.info.relay, Relay), self._part(self._site.info.voltage_relay, Relay)
        return (stated, None) if stated.command == "authenticated" else (None, stated)

    def _cables(self, opening: Opening, lock: Lock | None, run: CableRun | None) -> Mapping[str, DeviceCable]:
        cables = dict(self._estimates(opening, lock))
        for device, stated in self._runs.get(opening.mark, _NO_RUNS).items():
            cables[device] = self._as_stated(stated, cables.get(device) or cables["lock"])
        data_type = (run.cable_type if run else "") or opening.horizontal_cable or self._site.info.horizontal_cable
        route = run.route if run else None
        basis = str(route.basis) if route else "unknown"
        cables["data"] = DeviceCable(self._site.cable_type[data_type], route.length_m if route else 0.0, basis)
        for measured in self._built.measured_of.get(opening.mark, ()) if self._built else ():
            key = "supply" if measured.key == _FEED else measured.key
            cables[key] = self._as_measured(measured, cables.get(key) or cables["lock"])
        return cables

    def _as_measured(self, measured: MeasuredCable, designed: DeviceCable) -> DeviceCable:
        """A cable as it came back; what nobody has said of it is as designed."""
        cable_type = self._site.cable_type.get(measured.cable_type, designed.cable_type)
        if measured.length_m is None:
            return replace(designed, cable_type=cable_type, pulled=True)
        return DeviceCable(cable_type, measured.length_m, str(LengthBasis.MEASURED), pulled=True)

    def _kept_cable(self, opening: Opening) -> tuple[CableType, ...]:
        """The lock's cable that is in the wall; none on a site that is worked out as designed."""
        kept = self._built.kept_of.get(opening.mark) if self._built else None
        if kept is None or self._built is None:
            return ()
        measured = (m.cable_type for m in self._built.measured_of.get(opening.mark, ()) if m.key == "lock")
        pulled = next(filter(None, measured), kept.lock_cable)
        return (self._site.cable_type[pulled],) if pulled in self._site.cable_type else ()

    def _kept_supply(self, opening: Opening, offers: tuple[SupplyOffer, ...]) -> tuple[SupplyOffer, ...]:
        """The supply that feeds the lock as built, of those on offer; the offers themselves where none was chosen."""
        kept = self._built.kept_of.get(opening.mark) if self._built else None
        if kept is None or not kept.supply_at:
            return offers
        stands_at_door = kept.supply_at in (AT_DOOR, TO_BE_ADDED)
        return tuple(o for o in offers if (o.closet == "") == stands_at_door and kept.supply_id in ("", o.supply_id))

    def _estimates(self, opening: Opening, lock: Lock | None) -> Mapping[str, DeviceCable]:
        """Every cable at the door as nobody has stated it. Doors of one build share them."""
        at_head = lock is not None and lock.kind in _HEAD_LOCKS
        in_leaf = strike_in_leaf(opening, lock)
        ceiling_m = self._site.level[opening.level].ceiling_m
        o, rex = opening, self._part(opening.rex, RexSensor)
        key = (
            ceiling_m, at_head, rex_place(rex), o.height_m, o.one_leaf_m, o.lock_count, in_leaf, o.reader_height_m, o.rex_height_m,
            o.release_height_m, o.lock_cable, o.contact_cable, o.rex_cable, o.horizontal_cable, o.has_ceiling,
        )  # fmt: skip
        if key not in self._estimated:
            types = self._types(opening)
            self._estimated[key] = {
                device: DeviceCable(
                    self._site.cable_type[types[device]],
                    estimated_length_m(
                        opening, device, ceiling_m, lock_at_head=at_head, rex=rex, strike_in_leaf=in_leaf
                    ),
                    str(LengthBasis.ESTIMATED),
                )
                for device in FED_FROM
            }
        return self._estimated[key]

    def _types(self, opening: Opening) -> Mapping[str, str]:
        info = self._site.info
        return {
            "lock": opening.lock_cable or info.lock_cable,
            "contact": opening.contact_cable or info.contact_cable,
            "lock_contact": opening.contact_cable or info.contact_cable,
            "rex": opening.rex_cable or info.rex_cable,
            "reader": info.reader_cable,
            "relay": info.relay_cable,
            "leaf": opening.lock_cable or info.lock_cable,
            "rex_leaf": opening.rex_cable or info.rex_cable,
            "release_leaf": info.release_cable,
            "box": opening.lock_cable or info.lock_cable,
            "request": info.contact_cable,
            "release": info.release_cable,
            "rex_feed": info.release_cable,
            "fire": info.fire_cable,
            "supply": opening.lock_cable or info.lock_cable,
            "trigger": info.contact_cable,
            "data_tail": opening.horizontal_cable or info.horizontal_cable,
        }

    def _as_stated(self, run: Run, estimate: DeviceCable) -> DeviceCable:
        """A cable with what its run says. Measured with its type named, it is in the wall and stays what it is."""
        cable_type = self._site.cable_type[run.cable_type] if run.cable_type else estimate.cable_type
        if run.length_m is None:
            return DeviceCable(cable_type, estimate.length_m, estimate.basis)
        pulled = run.basis == "measured" and bool(run.cable_type)
        return DeviceCable(cable_type, run.length_m, run.basis, pulled)

    def _lock_cables(self, lock: DeviceCable) -> tuple[CableType, ...]:
        """The cable asked for, then thicker ones of the site with as many conductors and its jacket, thinnest first.

        One that is pulled already is taken alone: a thicker one would have to be pulled anew, which is no choice of wiring.
        """
        asked = lock.cable_type
        if lock.pulled:
            return (asked,)
        if asked.id not in self._thicker:
            thicker = {gauge: place for place, gauge in enumerate(larger_gauges(asked.gauge or ""))}
            found = [
                (thicker[c.gauge], c.jacket != asked.jacket, c.conductors, c.id, c)
                for c in self._site.cable_types
                if c.kind == "control" and c.gauge in thicker and c.conductors >= asked.conductors
            ]
            best: dict[int, CableType] = {}
            for place, *_, cable in sorted(found, key=lambda item: item[:4]):
                best.setdefault(place, cable)
            self._thicker[asked.id] = (asked, *best.values())
        return self._thicker[asked.id]

    def _supply_offers(
        self, opening: Opening, lock: Lock | None, closet: str, run: CableRun | None, at_door: DeviceCable
    ) -> tuple[SupplyOffer, ...]:
        if lock is None or lock.rated_v is None:
            return ()
        offers = []
        stated = self._site.supply.get(opening.supply)
        own = self._supplies.get((opening.mark, ""), [])
        for supply in [stated] if stated else own + self._supplies.get(("", closet), []):
            part = self._part(supply.part, DcSupply)
            if part is not None and part.output_v == lock.rated_v:
                cable = self._supply_cable(opening, supply, closet, run, at_door)
                offers.append(_offer(supply, part, cable, opening.mark))
        if stated is None and not own:
            part = self._part(_door_supply(self._site, lock.rated_v), DcSupply)
            if part is not None and part.output_v == lock.rated_v:
                offers.append(SupplyOffer("", part, "", at_door, bool(part.battery_ah)))
        return tuple(offers)

    def _supply_cable(
        self, opening: Opening, supply: Supply, closet: str, run: CableRun | None, at_door: DeviceCable
    ) -> DeviceCable:
        """What brings lock power from this supply to the door: its own run when one is stated, else as the PoE cable goes."""
        stated = self._runs.get(opening.mark, _NO_RUNS).get("supply")
        measured = self._built.measured_of.get(opening.mark, ()) if self._built else ()
        if any(cable.key == _FEED and cable.length_m is not None for cable in measured):
            return at_door
        if supply.opening == opening.mark:
            return at_door
        if stated is not None and {supply.id, supply.closet} & {stated.from_end, stated.to_end}:
            return at_door
        if supply.opening:
            return self._from_other_opening(opening, supply.opening, at_door)
        route = run.route if run else None
        if supply.closet != closet and self._route is not None:
            route = self._route(supply.closet, opening.mark)
        if route is None:  # the cable's ends meet nowhere: the length at the door alone is no length of it
            return replace(at_door, basis=NOT_KNOWN)
        return DeviceCable(at_door.cable_type, route.length_m, str(route.basis))

    def _from_other_opening(self, opening: Opening, other: str, at_door: DeviceCable) -> DeviceCable:
        """Lock power from a supply at another opening: across at ceiling height and down at both; not known between buildings."""
        start, end = (opening_spot(self._site, self._site.opening[mark]) for mark in (other, opening.mark))
        length_m = across_m(start, end)
        if length_m is None:
            return replace(at_door, basis=NOT_KNOWN)
        slack_m = 2 * self._site.info.door_slack_m
        return DeviceCable(at_door.cable_type, round(length_m + slack_m, 2), str(LengthBasis.ESTIMATED))


def _offer(supply: Supply, part: DcSupply, cable: DeviceCable, mark: str) -> SupplyOffer:
    on_battery = supply.on_battery if supply.on_battery is not None else bool(part.battery_ah)
    closet = supply.closet
    if supply.opening:
        closet = "" if supply.opening == mark else at_opening(supply.opening)
    return SupplyOffer(supply.id, part, closet, cable, on_battery)


def _door_supply(site: Site, rated_v: float) -> str:
    return site.info.door_supply_24 if rated_v > 18 else site.info.door_supply_12


def _usual_suppressor(site: Site, lock: Lock | None) -> str:
    # A plain diode would slow a magnet's release; a strike does not mind.
    magnet = lock is not None and lock.kind == "electromagnetic-lock"
    return site.info.suppressor if magnet else site.info.diode


def _device_runs(site: Site) -> dict[str, dict[str, Run]]:
    """Runs to devices at a door, by mark and device; a measured one precedes a stated one."""
    runs: dict[str, dict[str, Run]] = {}
    for run in site.runs:
        device = device_of(run)
        mark = next((end.partition("/")[0] for end in (run.to_end, run.from_end) if "/" in end), "")
        known = runs.get(mark, {}).get(device)
        if device:
            runs.setdefault(mark, {})[device] = _surer(run, known)
    return runs


def _surer(run: Run, known: Run | None) -> Run:
    """The measured one of two rows of a cable, with the cable type that only the other one states."""
    if known is None:
        return run
    best, other = (known, run) if known.basis == "measured" else (run, known)
    return best if best.cable_type else best.model_copy(update={"cable_type": other.cable_type})


def _missing(site: Site, opening: Opening, lock: Lock | None) -> tuple[str, ...]:
    missing = [name for name in ("controller", "lock") if not getattr(opening, name)]
    if lock is not None:
        missing += [f"lock.{name}" for name in ("rated_v", "hold_a") if not getattr(lock, name)]
        if not opening.fail_mode and not lock.action:
            missing.append("fail_mode")
    controller = site.part.get(opening.controller)
    if isinstance(controller, Controller) and not controller.is_dry:
        missing += [f"controller.{n}" for n in controller.output_needs if getattr(controller, n) is None]
    return tuple(missing)
