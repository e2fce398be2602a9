"""Reads a design into the values of its riser diagram: every text on it is made here."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from riserkit.checked import Checked
from riserkit.design import Design, DoorDesign
from riserkit.drawings.dxf.lettering import smallest_mm
from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.riser.flags import Flags, read_flags
from riserkit.drawings.riser.measure import CLOSET_NAME_MM, SWITCH_NAME_MM, TEXT_MM
from riserkit.drawings.riser.values import (
    UNKNOWN,
    Backbone,
    ClosetBox,
    ClosetOpenings,
    DeviceBox,
    DeviceCodes,
    Drop,
    LevelBand,
    RiserContent,
)
from riserkit.drawings.setting.scale import length_text as builders_length
from riserkit.findings import Severity
from riserkit.holds import Holds
from riserkit.model.cabling import LengthBasis, PathwayKind
from riserkit.model.parts import DcSupply, Lock
from riserkit.model.place import Level
from riserkit.model.power import Supply, Switch
from riserkit.model.site import Site
from riserkit.network.spots import building_of
from riserkit.network.values import CableRun, Route
from riserkit.quantities.printed import UnitSystem, format_length, format_value
from riserkit.wiring.cables import CableKind, DesignCable

OPENING_SYMBOLS: Final = {"single": "opening_single", "double": "opening_double", "gate": "opening_gate"}
BASIS_LETTERS: Final = {
    LengthBasis.MEASURED: "m",
    LengthBasis.STATED: "s",
    LengthBasis.ROUTED: "r",
    LengthBasis.ESTIMATED: "e",
}
LOCK_LETTERS: Final = {
    "strike": "ES",
    "electromagnetic-lock": "EML",
    "electrified-exit-device": "EED",
    "electrified-latch": "EL",
}
ACTION_WORDS: Final = {"fail-safe": "safe", "fail-secure": "secure"}
_CONDUITS: Final = frozenset({PathwayKind.CONDUIT, PathwayKind.SLEEVE})
BUDGET_RULE: Final = "switch-power-budget"


def read_content(checked: Checked) -> RiserContent:
    """The content of the riser diagram."""
    design, findings = checked.design, checked.findings
    flags = read_flags(findings)
    levels = _levels(design.site)
    used_w = {f.subject: f.value for f in findings if f.rule == BUDGET_RULE and f.severity is Severity.ERROR}
    closets = _closets(design, flags, used_w)
    return RiserContent(
        levels=levels,
        closets=closets,
        backbones=tuple(_backbone(design, cable, flags) for cable in design.backbone),
        groups=_groups(design, flags, checked.holds),
        accepted=flags.accepted,
        open_findings=flags.open_findings,
        closet={box.id: box for box in closets},
        small_mm=smallest_mm(design.site.info.unit_system),
    )


def _levels(site: Site) -> tuple[LevelBand, ...]:
    order = {building.id: n for n, building in enumerate(site.buildings)}
    names = {building.id: building.name or building.id for building in site.buildings}

    def key(level: Level) -> tuple[int, str, float, str]:
        building = building_of(site, level.id)
        return order.get(building, len(order)), building, -level.elevation_m, level.id

    several = len({building_of(site, level.id) for level in site.levels}) > 1
    return tuple(
        LevelBand(
            level.id,
            level.name or level.id,
            elevation_text(level.elevation_m, site.info.unit_system),
            names.get(building_of(site, level.id), building_of(site, level.id)) if several else "",
            building_of(site, level.id),
            level.elevation_m,
        )
        for level in sorted(site.levels, key=key)
    )


def elevation_text(elevation_m: float, unit_system: UnitSystem) -> str:
    r"""Height of a floor over the site's zero: metres, or feet and inches.

    Examples:
        >>> elevation_text(4.4, "metric"), elevation_text(-3, "metric"), elevation_text(0, "metric")
        ('+4.4 m', '-3 m', '0 m')
        >>> elevation_text(8, "imperial"), elevation_text(-3.048, "imperial")
        ('+26\'-3"', '-10\'-0"')
    """
    sign = {True: "+", False: "-"}[elevation_m > 0] if elevation_m else ""
    if unit_system == "imperial":
        return sign + builders_length(abs(elevation_m), unit_system)
    return sign + format_length(abs(elevation_m), unit_system)


def _closets(design: Design, flags: Flags, used_w: dict[str, float | None]) -> tuple[ClosetBox, ...]:
    site, ports = design.site, _ports_used(design)
    return tuple(
        ClosetBox(
            closet.id,
            closet.level,
            design.labels.closet_of(closet.id),
            *_short_name(closet.name, closet.id, CLOSET_NAME_MM),
            (
                *(
                    _switch(design, s, ports.get(s.id, 0), used_w, flags)
                    for s in site.switches
                    if s.closet == closet.id
                ),
                *(_supply(site, s, flags) for s in site.supplies if s.closet == closet.id),
            ),
            flags.of(("closet", closet.id)),
            (closet.x_m, closet.y_m),
            closet.fed_from,
        )
        for closet in site.closets
    )


def _short_name(name: str, record_id: str, room_mm: float) -> tuple[str, str]:
    """Text of a block: the name, or the id where the name has no room; then the name in full is below it."""
    fits = text_width_mm(name, TEXT_MM) <= room_mm
    return (name or record_id, "") if fits else (record_id, name)


def _ports_used(design: Design) -> dict[str, int]:
    used: dict[str, int] = {}
    for door in design.doors:
        if door.placement is not None and door.placement.switch:
            used[door.placement.switch] = used.get(door.placement.switch, 0) + 1
    return used


def _switch(design: Design, switch: Switch, used: int, used_w: dict[str, float | None], flags: Flags) -> DeviceBox:
    label = design.labels.switch_of(switch.id)
    name, full = _short_name(switch.name, switch.id, SWITCH_NAME_MM)
    values = {"REF": label, "PORTS": f"{used} / {switch.door_ports} ports", "LABEL": name}
    drawn = used_w.get(switch.id, None if used else 0.0)
    budget = UNKNOWN if switch.poe_budget_w is None else format_value(switch.poe_budget_w, "W")
    watts = UNKNOWN if drawn is None else format_value(round(drawn, 1), "").strip()
    ups = {True: "UPS", False: "no UPS", None: "UPS ?"}[switch.is_on_ups]
    lines = (*((full,) if full else ()), f"PoE {watts} / {budget}, {ups}")
    unknown = switch.is_on_ups is None or UNKNOWN in (watts, budget)
    return DeviceBox(f"switch:{switch.id}", "switch", values, lines, flags.of(("switch", switch.id)), unknown)


def _supply(site: Site, supply: Supply, flags: Flags) -> DeviceBox:
    part = site.part.get(supply.part)
    rating = UNKNOWN
    if isinstance(part, DcSupply):
        volts = UNKNOWN if part.output_v is None else format(part.output_v, "g")
        amps = UNKNOWN if part.output_a is None else format(part.output_a, "g")
        rating = f"{volts} V {amps} A"
    battery = {True: "with battery", False: "no battery", None: "battery ?"}[supply.on_battery]
    lines = tuple(line for line in (supply.name, battery) if line)
    return DeviceBox(
        f"supply:{supply.id}",
        "supply",
        {"REF": supply.id, "LABEL": rating},
        lines,
        flags.of(("supply", supply.id)),
        supply.on_battery is None,
    )


def _backbone(design: Design, cable: CableRun, flags: Flags) -> Backbone:
    label = cable.label or design.labels.cable.get(cable.subject, cable.subject)
    detail = f"{cable.cable_type}, {length_text(cable.route, design.site)}"
    found = flags.of(("cable", cable.subject))
    return Backbone(cable.subject, cable.from_id, cable.to_id, label, detail, _basis(cable.route), found)


def _basis(route: Route | None) -> str:
    return BASIS_LETTERS[route.basis] if route else ""


def length_text(route: Route | None, site: Site) -> str:
    """A cable's length in the site's units with the letter of how it is known, such as `71 m (r)`."""
    if route is None:
        return "no route"
    return f"{format_length(route.length_m, site.info.unit_system)} ({BASIS_LETTERS[route.basis]})"


def _groups(design: Design, flags: Flags, holds: Holds) -> tuple[ClosetOpenings, ...]:
    found: dict[tuple[str, str], list[Drop]] = {}
    with_supply = frozenset(supply.opening for supply in design.site.supplies if supply.opening)
    power = {cable.mark: cable for cable in design.pathway_cables if cable.kind is CableKind.LOCK_POWER}
    for door in design.doors:
        closet = door.placement.closet if door.placement is not None else ""
        drop = _drop(design, door, flags, _codes(design.site, door, with_supply))
        drop = replace(drop, held=door.mark in holds, power=_power(design.site, power.get(door.mark)))
        found.setdefault((closet, door.opening.level), []).append(drop)
    return tuple(ClosetOpenings(closet, level, tuple(drops)) for (closet, level), drops in found.items())


def _power(site: Site, cable: DesignCable | None) -> tuple[str, ...]:
    """A home run of lock power: its label, the supply that it comes from, its length."""
    if cable is None:
        return ()
    length = "no length" if cable.length_m is None else format_length(cable.length_m, site.info.unit_system)
    return cable.label, f"from {cable.from_id}, {length}"


def _drop(design: Design, door: DoorDesign, flags: Flags, codes: DeviceCodes) -> Drop:
    mark, opening, cable, placement = door.mark, door.opening, door.cable, door.placement
    labels = design.labels
    port = labels.port_of(placement)
    subject = cable.subject if cable else ""
    return Drop(
        mark=mark,
        name=labels.opening_of(mark),
        symbol=OPENING_SYMBOLS[opening.type],
        cable_subject=subject,
        cable=(cable.label or labels.cable.get(subject, "")) if cable else "no cable",
        length=length_text(cable.route, design.site) if cable else "",
        codes=codes,
        basis=_basis(cable.route) if cable else "",
        flags=flags.of(("opening", mark), *([("cable", subject)] if subject else [])),
        port=port,
        pathway=cable.route.segments[-1] if cable and cable.route and cable.route.segments else "",
        panel=labels.switch_of(placement.switch) if placement and placement.switch else "",
        way=_way(design.site, cable) if cable else (),
    )


def _way(site: Site, cable: CableRun) -> tuple[str, ...]:
    """The type of a cable, and the conduits and sleeves on its way; trays are on the plans."""
    passed = [site.pathway_segment[name] for name in (cable.route.segments if cable.route else ())]
    conduits = [f"{segment.kind} {segment.id}" for segment in passed if segment.kind in _CONDUITS]
    return (cable.cable_type, *dict.fromkeys(conduits))


def _codes(site: Site, door: DoorDesign, with_supply: frozenset[str]) -> DeviceCodes:
    opening = door.opening
    lock = site.part.get(opening.lock)
    action = opening.fail_mode or (lock.action if isinstance(lock, Lock) else "")
    return DeviceCodes(
        poe_class=getattr(site.part.get(opening.splitter or opening.controller), "poe_class", None),
        lock=LOCK_LETTERS[lock.kind] if isinstance(lock, Lock) else UNKNOWN,
        locks=opening.lock_count,
        action=ACTION_WORDS.get(action, UNKNOWN),
        supply=opening.mark in with_supply,
    )
