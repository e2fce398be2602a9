"""From a design and what came back to the site as it was built, which is then worked out and judged like any other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from riserkit.as_built.differences import differences
from riserkit.as_built.equipment import equipment_of
from riserkit.as_built.places import built_length, height_column, part_column, resolved_port, tested_length_m, used_port
from riserkit.circuits.netlist import Component
from riserkit.design import Design, DoorDesign
from riserkit.model.as_built import AsBuilt, KeptWiring, MeasuredCable
from riserkit.model.cabling import Run
from riserkit.model.opening import Opening
from riserkit.model.returned import (
    ReturnedDevice,
    ReturnedDoor,
    ReturnedLanding,
    ReturnedPhoto,
    ReturnedPort,
    ReturnedReading,
)
from riserkit.model.site import Site
from riserkit.wiring.choose.judge import cable_key
from riserkit.wiring.closets import OWN_SUPPLY, POE_CABLE
from riserkit.wiring.landed import is_known
from riserkit.wiring.need import DATA
from riserkit.wiring.roles import DeviceRole


def as_built_site(made: Design, built: AsBuilt) -> Site:
    """The site with parts, places, ports and lengths as built, and the wiring that the design has chosen.

    What nobody has returned is as designed. Landings and loop resistances stand in the site's `as_built` and go into the
    circuits when it is worked out.

    Args:
        made: the design that was built from.
        built: what has come back.

    Raises:
        InputError: what came back cannot all be so, as two openings on one port.
    """
    openings = {door.mark: dict(_opening(made, door, built)) for door in made.doors}
    supplies = {id_: row for door in made.doors for id_, row in _supplies(door, built)}
    supplies |= {
        r.equipment: {"part": r.fitted_part}
        for r in built.equipment
        if r.fitted_part and r.equipment in made.site.supply
    }
    runs = _runs(made, built)
    # Checked as if it had been read that way. What else is stated stays stated, its usual values too.
    checked = made.site.with_changes(openings=openings, supplies=supplies, runs=runs)
    site = made.site.model_copy(
        update={
            "openings": tuple(_changed(opening, openings[opening.mark]) for opening in made.site.openings),
            "supplies": checked.supplies if supplies else made.site.supplies,
            "runs": checked.runs,
        }
    )
    facts = AsBuilt.model_validate({
        **{name: getattr(built, name) for name in AsBuilt.model_fields},
        "kept": tuple(_kept(made)),
        "measured": tuple(_measured(made, built)),
        "unmatched": tuple(_unmatched(made, built)),
        "differences": tuple(differences(made, built)),
    })  # fmt: skip
    return site.model_copy(update={"as_built": facts})


_MIDDLE_OF_REACH_M: Final = 0.8
"""Of 15 to 48 in, within which people reach."""


def _changed(opening: Opening, fields: Mapping[str, Any]) -> Opening:
    return Opening.model_validate({**opening.model_dump(exclude_unset=True), **fields})


def _kept(made: Design) -> Iterator[KeptWiring]:
    for door in made.doors:
        drawn = door.wiring.drawn
        if drawn is not None:
            yield KeptWiring(
                opening=door.mark,
                arrangement=drawn.arrangement,
                lock_cable=drawn.lock_cable,
                supply_at="" if drawn.supply_at in (POE_CABLE, OWN_SUPPLY) else drawn.supply_at,
                supply_id=drawn.supply_id,
                chosen=tuple(_chosen(door)),
            )


def _chosen(door: DoorDesign) -> Iterator[str]:
    """Columns that the design has filled in, where nothing has come back of them."""
    drawn, placement = door.wiring.drawn, door.placement
    found = {"arrangement": drawn.arrangement if drawn else ""}
    if placement is not None:
        found |= {"closet": placement.closet, "switch": placement.switch, "port": str(placement.port or "")}
    yield from (name for name, value in found.items() if value and getattr(door.opening, name) in ("", None))


def _opening(made: Design, door: DoorDesign, built: AsBuilt) -> Iterator[tuple[str, Any]]:
    """Columns of an opening that are as built."""
    drawn, placement = door.wiring.drawn, door.placement
    if drawn is not None:
        yield "arrangement", drawn.arrangement
    used = used_port(made, built, door.mark)
    if used is not None:
        yield from zip(("closet", "switch", "port"), used, strict=True)
    elif placement is not None:
        yield "closet", placement.closet
        if placement.switch:
            yield "switch", placement.switch
            yield "port", placement.port
    netlist = door.wiring.netlist
    heights_m: dict[str, list[float]] = {}
    for ref, device in built.devices_of.get(door.mark, {}).items():
        component = next((c for c in netlist.components if c.ref == ref), None) if netlist else None
        if component is not None:
            yield from _device(door, component, device)
            column = height_column(door, component)
            if column and device.fitted_height_m is not None:
                heights_m.setdefault(column, []).append(device.fitted_height_m)
    # of two readers the one that is harder to reach
    yield from ((column, max(found, key=lambda m: abs(m - _MIDDLE_OF_REACH_M))) for column, found in heights_m.items())
    cable = built_length(made, built, door.mark)
    if cable is not None and cable.used_cable_type:
        yield "horizontal_cable", cable.used_cable_type


def _device(door: DoorDesign, component: Component, device: ReturnedDevice) -> Iterator[tuple[str, Any]]:
    column = part_column(door, component)
    if device.fitted_part and column:
        yield column, device.fitted_part
    if device.fitted_side and component.role == DeviceRole.CONTROLLER:
        yield "controller_at", device.fitted_side


def _supplies(door: DoorDesign, built: AsBuilt) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Supplies of another part than designed; one that the design has added becomes a supply of the opening."""
    netlist, drawn = door.wiring.netlist, door.wiring.drawn
    for component in netlist.devices(DeviceRole.SUPPLY) if netlist else ():
        device = built.devices_of.get(door.mark, {}).get(component.ref)
        if device is None or not device.fitted_part or drawn is None:
            continue
        if drawn.supply_id:
            yield drawn.supply_id, {"part": device.fitted_part}
        else:
            name = "-".join(f"{door.mark}-{component.ref}".split())
            yield name, {"part": device.fitted_part, "opening": door.mark}


def _runs(made: Design, built: AsBuilt) -> Mapping[str, Mapping[str, Any] | None]:
    """Runs of data and backbone cables that were measured, in place of what was stated of them."""
    changes: dict[str, Mapping[str, Any] | None] = {}
    cables = (*((d.mark, d.cable) for d in made.doors), *((c.subject, c) for c in made.backbone))
    for number, (subject, cable) in enumerate(cables, start=1):
        row = built_length(made, built, subject)
        tested_m = tested_length_m(made, built, subject)
        used = used_port(made, built, subject)
        ends = (used[0] if used else cable.from_id, cable.to_id) if cable is not None else ("", "")
        moved = cable is not None and ends[0] != cable.from_id
        if cable is None or (row is None and tested_m is None and not moved):
            continue
        stated = [run for run in made.site.runs if _joins(run, cable.from_id, cable.to_id)]
        changes |= dict.fromkeys((run.id for run in stated), None)
        kept = next((run for run in stated if run.length_m is not None), None)
        length_m = row.length_m if row is not None and row.length_m is not None else tested_m
        if length_m is None and kept is not None and not moved:
            length_m, basis = kept.length_m, kept.basis
        else:
            basis = "measured" if length_m is not None else "stated"
        label = next((run.label for run in stated if run.label), "")
        named = (row.used_cable_type if row else "") or next((r.cable_type for r in stated if r.cable_type), "")
        id_ = stated[0].id if stated else f"as-built-{number}"
        changes[id_] = {
            "from_end": ends[0], "to_end": ends[1], "length_m": length_m, "basis": basis, "label": label, "cable_type": named,
        }  # fmt: skip
    return changes


def _joins(run: Run, one: str, two: str) -> bool:
    return {end.removesuffix("/controller") for end in (run.from_end, run.to_end)} == {one, two}


def _measured(made: Design, built: AsBuilt) -> Iterator[MeasuredCable]:
    """Every cable at a door: its type as pulled, which is the design's where nobody says otherwise, and its length."""
    returned = {row.cable: row for row in built.lengths}
    tested = {row.cable: row.length_m for row in built.cable_tests if row.length_m is not None}
    for door in made.doors:
        netlist = door.wiring.netlist
        for cable in netlist.cables if netlist else ():
            if cable.role == DATA or netlist is None:
                continue
            label = f"{door.mark}-{cable.ref}"
            row = returned.get(label)
            yield MeasuredCable(
                opening=door.mark,
                key=cable_key(netlist, cable),
                length_m=row.length_m if row is not None and row.length_m is not None else tested.get(label),
                cable_type=(row.used_cable_type if row is not None else "") or cable.cable_type,
            )


_OfOpening = ReturnedDoor | ReturnedLanding | ReturnedReading | ReturnedDevice | ReturnedPort | ReturnedPhoto


def _unmatched(made: Design, built: AsBuilt) -> Iterator[tuple[str, str]]:
    """Rows that the design of now has no place for: it has changed since they came back. What is at no opening has no mark."""
    of_openings: tuple[_OfOpening, ...]
    of_openings = (*built.doors, *built.landings, *built.readings, *built.devices, *built.ports, *built.photos)
    gone = dict.fromkeys(row.opening for row in of_openings if row.opening not in made.door)
    yield from (("", f"opening {mark}") for mark in gone)
    for row in (row for row in built.landings if row.opening not in gone):
        netlist = made.door[row.opening].wiring.netlist
        if netlist is None or not is_known(netlist, row):
            words = " ".join(filter(None, (row.no, row.cable, row.colour, row.from_terminal, row.to_terminal)))
            yield row.opening, f"landing of conductor {words}"
    for device in (device for device in built.devices if device.opening not in gone):
        netlist = made.door[device.opening].wiring.netlist
        if netlist is None or device.device not in {c.ref for c in netlist.components}:
            yield device.opening, f"device {device.device}"
    for port in (port for port in built.ports if port.opening not in gone):
        if port.used_port and resolved_port(made, port) is None:
            yield port.opening, f"port {port.used_port}"
    cables = {name for cable in made.cables for name in (cable.label, cable.subject)}
    measured = dict.fromkeys((*(row.cable for row in built.lengths), *(row.cable for row in built.cable_tests)))
    yield from (("", f"cable {name}") for name in measured if name not in cables)
    known = equipment_of(made)
    yield from (("", f"equipment {row.equipment}") for row in built.equipment if row.equipment not in known)
