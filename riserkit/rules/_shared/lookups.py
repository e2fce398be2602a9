"""What several rules look up in a design."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Verdict
from riserkit.model.opening import Opening
from riserkit.model.parts import Controller, Lock
from riserkit.network.placement import held_ports
from riserkit.quantities.printed import upper_first
from riserkit.wiring.values import DoorVoltages

_NOTHING_SOLVED = DoorVoltages()
_MARKS_LISTED = 6
AS_FOR_WIRING = "Carry out the remedy of no-suitable-wiring."
"""What to do about a test that an opening without a suitable wiring fails: its circuit is that of the closest one."""
_NO_WIRING = ("no-suitable-wiring",)


def after_wiring(door: DoorDesign, finding: Finding) -> Finding:
    """The finding as it is, or where the door has no suitable wiring as one that follows from that."""
    if finding.verdict is not Verdict.FAIL or door.wiring.chosen is not None:
        return finding
    return replace(finding, remedy=AS_FOR_WIRING, causes=_NO_WIRING)


def lock_of(design: Design, door: DoorDesign) -> Lock | None:
    """The opening's lock; None when none is stated."""
    part = design.site.part.get(door.opening.lock)
    return part if isinstance(part, Lock) else None


def fail_mode_of(design: Design, door: DoorDesign) -> str:
    """What the opening states, else what its lock is; empty where neither says so."""
    lock = lock_of(design, door)
    return door.opening.fail_mode or (lock.action if lock is not None else "")


def fail_safe_lock(opening: Opening) -> str:
    """What to fit where a door has to unlock without power, in words: a fire-rated one stays latched all the same."""
    if opening.fire_rating_min:
        return "a fail-safe electrified latch or exit device, whose latch stays engaged (the door is fire-rated)"
    return "a fail-safe lock"


def controller_of(design: Design, door: DoorDesign) -> Controller | None:
    """The opening's controller; None when none is stated."""
    part = design.site.part.get(door.opening.controller)
    return part if isinstance(part, Controller) else None


def hardware_opens(design: Design, door: DoorDesign) -> bool | None:
    """Hardware opens it from inside without power, as the opening, else its lock, states; None where neither does."""
    stated = door.opening.free_egress_hardware
    lock = lock_of(design, door)
    return lock.free_egress if stated is None and lock is not None else stated


def unsolved(door: DoorDesign) -> str:
    """Why the door's circuit has no solved values, in words; empty when it has."""
    wiring = door.wiring
    if wiring.missing:
        return f"data missing: {', '.join(wiring.missing)}"
    if wiring.build is None:
        return "the door has no circuit"
    if wiring.not_computed:
        return wiring.not_computed
    return "its circuit could not be solved" if wiring.voltages == _NOTHING_SOLVED else ""


def doors_by_switch(design: Design) -> Mapping[str, list[DoorDesign]]:
    """Doors by switch id, every switch of the site present, in the site's order."""
    found: dict[str, list[DoorDesign]] = {switch.id: [] for switch in design.site.switches}
    for door in design.doors:
        if door.placement is not None and door.placement.switch:
            found.setdefault(door.placement.switch, []).append(door)
    return found


def free_ports(design: Design) -> dict[str, int]:
    """Ports for doors that are still free, by closet id; below 0 where doors stand on uplink ports.

    A port on record for an opening that is gone is not free until its label is void.
    """
    free = {closet.id: 0 for closet in design.site.closets}
    by_switch = doors_by_switch(design)
    for switch in design.site.switches:
        free[switch.closet] = free.get(switch.closet, 0) + switch.door_ports - len(by_switch[switch.id])
    taken = {(d.placement.switch, d.placement.port) for d in design.doors if d.placement is not None}
    for switch_id, port in held_ports(design.site):
        if (switch_id, port) not in taken:
            free[design.site.switch[switch_id].closet] -= 1
    return free


def closet_name(design: Design, closet: str) -> str:
    """The closet as the paper calls it: its label, with its id where that differs."""
    label = design.labels.closet_of(closet)
    return f"closet {label}" if label == closet else f"closet {label} ({closet})"


def listed(names: Iterable[str]) -> str:
    """Names in a row, cut after a few: `101, 102 and 5 more`."""
    every = list(names)
    if len(every) <= _MARKS_LISTED:
        return ", ".join(every)
    return f"{', '.join(every[:_MARKS_LISTED])} and {len(every) - _MARKS_LISTED} more"


def sentence(ways: Iterable[str]) -> str:
    """Ways out in one sentence, such as `Move to closet 2A: 71 m; or shorter cords`."""
    text = "; or ".join(ways)
    return f"{upper_first(text)}."
