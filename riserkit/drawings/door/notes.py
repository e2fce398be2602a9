"""Notes on a door's sheet: how to read it, what the crew must do, and the standing cautions."""

from __future__ import annotations

from collections.abc import Iterator

from riserkit.design import Design, DoorDesign
from riserkit.model.opening import EgressRole
from riserkit.model.parts import is_in_leaf
from riserkit.quantities.printed import format_length
from riserkit.standards.egress import DELAY_SIGN_DISTANCE_MAX_M, MANUAL_RELEASE_SIGN, STANDING_CAUTIONS
from riserkit.standards.locks import PLUG_HOLE_MIN_M
from riserkit.wiring.assumed import assumed_values

READING = (
    "Contacts are drawn with the door closed, nothing pressed, nobody near: relays without power, a REX sensor's with power.",
    "Terminals are landed by name: pairs and groups keep the device's order, their place may differ.",
    "Ovals are cable jackets; the same cable designation is at its other end.",
)

_HAND_NOT_STATED = "The hand of the door is not stated: verify it before drilling."
_DRAWN_LEFT = "The hand of the door is not stated: hinges are drawn on the left; verify it before drilling."


def door_notes(design: Design, door: DoorDesign) -> tuple[str, ...]:
    """The notes of one door, in order."""
    return tuple(_notes(design, door))


def notes_beside_others(design: Design, door: DoorDesign) -> tuple[str, ...]:
    """The same for a sheet of several doors, which has its own words for how its elevation is hung, if there is one."""
    return tuple(_HAND_NOT_STATED if note == _DRAWN_LEFT else note for note in door_notes(design, door))


def cautions(design: Design) -> tuple[str, ...]:
    """Standing cautions, with the codes that the site names."""
    info = design.site.info
    named = [c for c in (info.building_code, info.electrical_code, info.fire_code) if c]
    return (*STANDING_CAUTIONS, *([f"Codes named for this site: {'; '.join(named)}."] if named else []))


def _notes(design: Design, door: DoorDesign) -> Iterator[str]:
    netlist, circuit = door.wiring.netlist, door.wiring.circuit
    if netlist is not None:
        yield from READING
        if netlist.spares:
            yield "Every spare conductor is cut back and insulated by itself, at both ends."
        if any(c.colour == "4PR" for c in netlist.conductors):
            yield "4PR: four twisted pairs of the PoE cable, terminated in a plug or jack at each end."
    if circuit is not None:
        if assumed := assumed_values(circuit.netlist, design.site.part):
            yield f"Calculation: {assumed[:1].lower()}{assumed[1:]}"
        yield from circuit.notes
        if circuit.reachable_release:
            yield f"Accessible from the unsecured side: {circuit.reachable_release}."
    yield from _of_the_opening(design, door)
    yield 'Heights marked "typical" are usual ones: verify on site.'
    slack_m = design.site.info.door_slack_m
    if slack_m:
        yield f"Leave {format_length(slack_m, design.site.info.unit_system)} of slack in each cable at the door."


def _of_the_opening(design: Design, door: DoorDesign) -> Iterator[str]:
    """What its place, its leaves and its earlier number ask of the crew."""
    opening = door.opening
    if opening.outdoor or opening.type == "gate":
        yield (
            "Outdoors: leave a drip loop below the entry of each cable; dielectric grease in terminals and jack; sealant "
            "round the plate, not under its drain."
        )
    if opening.interlocks:
        yield (
            f"Interlocked with {', '.join(opening.interlocks)}: one door at a time, by the controllers' settings. No wire here shows it;"
            " it may keep nobody in."
        )
    if was := design.site.earlier_mark.get(door.mark):
        yield f"Issued earlier as opening {was}. Its PoE cable and port keep their labels."
    if not opening.back_box:
        yield f"Without a back box a moulded plug needs a hole of {PLUG_HOLE_MIN_M.value * 1000:.0f} mm (1 in) or more."
    if opening.release and not is_in_leaf(design.site.part.get(opening.release)):
        yield f'The manual release carries the sign "{MANUAL_RELEASE_SIGN}".'
    if opening.egress is EgressRole.DELAYED:
        yield (
            f"Delayed egress: a sign above the release hardware, within {DELAY_SIGN_DISTANCE_MAX_M.value * 1000:.0f} mm (12 in) of "
            "it, says how the door opens, in the words of the local code."
        )
    if not opening.hinges and opening.leaves == 1:
        yield _DRAWN_LEFT
