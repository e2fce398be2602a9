"""The rule `stated-not-used`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.cabling import Run
from riserkit.model.opening import EgressRole
from riserkit.model.parts import DcSupply, is_in_leaf
from riserkit.model.power import Supply
from riserkit.model.run_ends import device_of, ends_at
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.rules._shared.batteries import is_backed
from riserkit.rules._shared.lookups import listed, lock_of
from riserkit.wiring.roles import DeviceRole

# Parts that an opening names and a wiring may do without. The others are landed, or another rule says why they are not.
_PARTS: Final = ("relay", "splitter", "suppressor")
# Cables by the end of their run at the opening, and the column that may name another type.
_CABLES: Final = {
    "": "horizontal_cable", "controller": "horizontal_cable", "lock": "lock_cable", "contact": "contact_cable", "rex": "rex_cable",
}  # fmt: skip
_SERVES: Final = {"supply": "feed", "lock2": "lock"}
"""What a run to a device serves, as a wiring calls it, where that is not the device's name."""
_RELEASE_COLUMNS: Final = ("release_height_m", "release_distance_m", "release_sign")


class StatedNotUsed:
    """What an opening states is in its wiring.

    Why:
        Whoever names a relay module, a supply or the height of a manual release expects to find it on the drawing. A
        wiring that does without it is another one than was meant.
    Measures:
        Relay, splitter, suppressor and supply of each opening against its wiring; place and sign of a manual release
        where no release is stated; a delay where egress is not delayed; the mounting height of a REX device where none
        is stated; the cable types of its columns against those of its runs; runs to devices against the cables of its wiring.
        PoE and backbone cables of runs against those of the design. Of supplies and UPSes of the site those that feed nothing
        are a note, and so are pathway nodes that no stretch joins; hours and temperature of a battery that a supply does not
        have.
    Limit:
        Everything stated is used.
    Remedy:
        What to remove, or what to state besides.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "stated-not-used"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each column, run, supply, UPS and node that nothing comes of; none where there is none."""
        runs = _runs_to_devices(design)
        for door in design.doors:
            unused = (*_runs(design, door, runs.get(door.mark, ())), *_from_closet(design, door))
            for column, message, remedy in (
                *_parts(design, door),
                *_columns(design, door),
                *_cables(design, door),
                *unused,
            ):
                yield stated(self, door.subject, False, message, severity=Severity.WARNING, remedy=remedy, about=column)
        settled = all(door.wiring.chosen is not None for door in design.doors)
        used = {door.wiring.chosen.supply_id for door in design.doors if door.wiring.chosen is not None}
        for supply in design.site.supplies:
            if settled and supply.id not in used:
                remedy = "Name it as supply of the openings that it is for, or remove it."
                yield stated(
                    self, ("supply", supply.id), False, "It feeds no lock.", severity=Severity.NOTE, remedy=remedy
                )
            yield from self._battery(design, supply)
        feeding = {switch.ups for switch in design.site.switches}
        for ups in design.site.upses:
            if ups.id not in feeding:
                remedy = "Name it as ups of the switches that stand on it, or remove it."
                yield stated(self, ("ups", ups.id), False, "It feeds no switch.", severity=Severity.NOTE, remedy=remedy)

        joined = {end for segment in design.site.pathway_segments for end in (segment.from_node, segment.to_node)}
        for node in design.site.pathway_nodes:
            if node.id not in joined:
                message = "No stretch of pathway begins or ends at it: no cable goes over it."
                remedy = "State the stretch to it in pathway_segments, or remove it."
                yield stated(self, ("pathway", node.id), False, message, severity=Severity.NOTE, remedy=remedy)

    def _battery(self, design: Design, supply: Supply) -> Iterator[Finding]:
        part = design.site.part.get(supply.part)
        if not isinstance(part, DcSupply) or is_backed(supply, part):
            return
        names = [name for name in ("standby_hours", "battery_c") if getattr(supply, name) is not None]
        if names:
            verb = "is" if len(names) == 1 else "are"
            message = f"{listed(names)} {verb} stated; {supply.part} has no battery."
            remedy = f"State a part with a battery, and on_battery yes; or remove {listed(names)}."
            yield stated(
                self, ("supply", supply.id), False, message, severity=Severity.WARNING, remedy=remedy, about="battery"
            )


def _parts(design: Design, door: DoorDesign) -> Iterator[tuple[str, str, str]]:
    """(column, message, remedy)."""
    circuit, chosen, opening = door.wiring.circuit, door.wiring.chosen, door.opening
    lock = lock_of(design, door)
    if opening.supply and lock is not None and lock.own_supply:
        # True of every wiring, so that it is said before there is a suitable one.
        message = f"supply {opening.supply} is stated; {lock.id} has a supply of its own."
        yield (
            "supply",
            message,
            f"Remove supply here; or, if {opening.supply} feeds it, state own_supply no of {lock.id}.",
        )
    if circuit is None or chosen is None:
        return
    landed = {component.part for component in circuit.netlist.components}
    for column in _PARTS:
        part = getattr(opening, column)
        if not part or part in landed:
            continue
        wiring = chosen.arrangement
        remedy = f"Remove {column} here, or state the arrangement that uses it; now it is {wiring}."
        if column == "suppressor" and lock is not None and lock.suppressor_fitted:
            remedy = f"Remove suppressor here: {lock.id} has one fitted."
        elif column == "suppressor":
            remedy = "Remove suppressor here, or name the one to be landed."
        yield column, f"{column} {part} is stated; the wiring, {wiring}, does without it.", remedy
    if opening.supply and opening.supply != chosen.supply_id and not (lock is not None and lock.own_supply):
        remedy = f"Remove supply here, or state arrangement relay-external-supply; now it is {chosen.arrangement}."
        yield "supply", f"supply {opening.supply} is stated; lock power comes from the {chosen.supply_at}.", remedy


def _columns(design: Design, door: DoorDesign) -> Iterator[tuple[str, str, str]]:
    opening, circuit = door.opening, door.wiring.circuit
    buttons = circuit is not None and any(circuit.netlist.devices(DeviceRole.MANUAL_RELEASE))
    stands = [name for name in _RELEASE_COLUMNS if getattr(opening, name) is not None]
    if stands and not opening.release and not buttons:
        message = f"{listed(stands)} is stated, but no manual release."
        yield "release", message, f"State release, or remove {listed(stands)}."
    on_wall = [name for name in ("release_distance_m", "release_sign") if getattr(opening, name) is not None]
    if on_wall and is_in_leaf(design.site.part.get(opening.release)):
        message = f"{listed(on_wall)} is stated; {opening.release} is in the bar or handle, and has neither."
        yield "release", message, f"Remove {listed(on_wall)}, or state a release on the wall."
    if opening.delay_s is not None and opening.egress not in (EgressRole.DELAYED, None):
        message = f"delay_s is stated; the role in egress is {opening.egress}, which has no delay."
        yield "delay_s", message, "State egress delayed, or remove delay_s."
    if opening.rex_height_m is not None and not opening.rex:
        yield "rex_height_m", "rex_height_m is stated, but no rex.", "State rex, or remove rex_height_m."


def _cables(design: Design, door: DoorDesign) -> Iterator[tuple[str, str, str]]:
    for run in design.site.runs:
        at_door = ends_at(run, door.mark)
        devices = [device for device in at_door if device != "controller"] or at_door
        column = _CABLES.get(devices[0], "") if devices else ""
        wanted = getattr(door.opening, column) if column else ""
        if wanted and run.cable_type and run.cable_type != wanted:
            message = f"{column} {wanted} is stated; run {run.id} is of {run.cable_type}, and is what counts."
            yield column, message, f"State in both what is to be pulled: {column} here, cable_type of {run.id}."


def _from_closet(design: Design, door: DoorDesign) -> Iterator[tuple[str, str, str]]:
    """Of runs from a closet that its PoE cable does not come from."""
    route = door.cable.route if door.cable is not None else None
    for run in design.site.runs if route is not None else ():
        ends = {end.removesuffix("/controller") for end in (run.from_end, run.to_end)} - {door.mark}
        closet = next(iter(ends & design.site.closet.keys()), "") if len(ends) == 1 else ""
        if route is not None and closet and closet not in (route.from_id, route.to_id):
            message = f"run {run.id}, from {run.from_end} to {run.to_end}, is stated; its PoE cable comes from {route.from_id}."
            remedy = f"State closet {closet} here, or remove run {run.id}."
            yield f"run {run.id}", message, remedy


def _runs_to_devices(design: Design) -> dict[str, list[Run]]:
    """Runs that end at a device, by the mark of its opening."""
    found: dict[str, list[Run]] = {}
    for run in design.site.runs:
        marks = {end.partition("/")[0] for end in (run.from_end, run.to_end) if "/" in end}
        if len(marks) == 1 and device_of(run):
            found.setdefault(marks.pop(), []).append(run)
    return found


def _runs(design: Design, door: DoorDesign, runs: Sequence[Run]) -> Iterator[tuple[str, str, str]]:
    """Of runs for cables that the wiring does not have: whoever pulled one would find no terminal for it."""
    chosen, circuit = door.wiring.chosen, door.wiring.circuit if runs else None
    if chosen is None or circuit is None:
        return
    roles = [cable.role for cable in circuit.netlist.cables]
    supply = design.site.supply.get(chosen.supply_id)
    fed_from = {supply.id, supply.closet} if supply is not None else set()
    for run in runs:
        device, away = device_of(run), [end for end in (run.from_end, run.to_end) if "/" not in end]
        used = roles.count(_SERVES.get(device, device)) > (device == "lock2")
        if device == "supply" and away and away[0] != door.mark:
            used = used and away[0] in fed_from
        if not used:
            message = f"run {run.id}, from {run.from_end} to {run.to_end}, is stated; the wiring, {chosen.arrangement}, has no such cable."
            remedy = f"Remove run {run.id}, or state the arrangement that uses it; now it is {chosen.arrangement}."
            yield f"run {run.id}", message, remedy
