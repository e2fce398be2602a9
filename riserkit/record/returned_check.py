"""Each returned row held against the design that it came back for: what it is about must be there, and what it says be possible."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cached_property
from typing import Final

from riserkit.as_built.equipment import equipment_of
from riserkit.as_built.lines import sheet_lines
from riserkit.as_built.places import closet_named, part_column, resolved_port
from riserkit.circuits.netlist import Netlist
from riserkit.design import Design, DoorDesign
from riserkit.model.as_built import AsBuilt
from riserkit.model.problems import Problem, offer
from riserkit.model.returned import (
    NOT_LANDED,
    CableTest,
    Returned,
    ReturnedDevice,
    ReturnedDoor,
    ReturnedEquipment,
    ReturnedLanding,
    ReturnedLength,
    ReturnedPort,
    ReturnedReading,
)
from riserkit.quantities.grouping import grouped
from riserkit.record.returned_names import DOOR_CABLE
from riserkit.record.returned_rows import FoundRow
from riserkit.wiring.landed import conductor_of, is_added, is_known, is_other, spare_of
from riserkit.wiring.readings.expected import Reading
from riserkit.wiring.readings.judged import SEEN, is_seen, line_of, reading_value
from riserkit.wiring.roles import DeviceRole

_FEET: Final = 3.2808
_NEAR: Final = 0.08
"""How near a length may come to the drawn one in the other unit before it is asked about."""
_PASSES: Final = frozenset({"PASS", "PASS*"})
_FIX: Final = "it is of another revision of the papers: fill in the papers of now, or correct it"


class ReturnCheck:
    """Holds rows against one design."""

    def __init__(self, design: Design, on_record: AsBuilt, gone: Collection[str] = ()) -> None:
        """Hold rows against this.

        Args:
            design: as designed.
            on_record: what has come back before.
            gone: marks of openings that were issued and are no longer in the design.
        """
        self._design, self._on_record, self._gone = design, on_record, gone
        self._lines: dict[str, tuple[Reading, ...]] = {}

    def problems(self, found: Sequence[FoundRow]) -> Iterator[Problem]:
        """Every problem of these rows with the design and with each other."""
        for one in found:
            yield from self._row(one)
        yield from self._colours(found)
        yield from _twice(found, self._on_record)
        yield from self._ports_taken(found)

    def _row(self, found: FoundRow) -> Iterator[Problem]:
        row = found.row
        mark = getattr(row, "opening", None)
        if mark is not None and mark not in self._design.door:
            wanted = f"expected an opening of the site; {offer(mark, self._design.door)}"
            if mark in self._gone:
                wanted = f"{mark} was issued and is no longer in the design: leave out its rows, or restore it"
            yield found.problem("opening", wanted)
            return
        match row:
            case ReturnedDoor():
                if row.done in ("no", "partly") and not row.reason:
                    yield found.problem("reason", "expected what is left to be done, and why")
            case ReturnedLanding():
                yield from self._landing(found, row)
            case ReturnedReading():
                yield from self._reading(found, row)
            case ReturnedLength():
                yield from self._length(found, row)
            case CableTest():
                yield from self._test(found, row)
            case ReturnedDevice():
                yield from self._device(found, row)
            case ReturnedPort():
                yield from self._port(found, row)
            case ReturnedEquipment():
                yield from self._equipment(found, row)

    def _netlist(self, mark: str) -> Netlist | None:
        return self._design.door[mark].wiring.netlist

    def _landing(self, found: FoundRow, row: ReturnedLanding) -> Iterator[Problem]:
        netlist = self._netlist(row.opening)
        if netlist is None:
            yield found.problem("opening", f"expected an opening that is wired; nothing of {row.opening} is drawn")
            return
        if not is_known(netlist, row):
            column = next((n for n in ("no", "cable", "colour", "from_terminal") if getattr(row, n)), "no")
            yield found.problem(column, f"expected a conductor as the conductor table of {row.opening} has it; {_FIX}")
            return
        if row.as_drawn and is_other(row):
            yield found.problem("as_drawn", "expected no, or the terminals and the colour of the row left empty")
        if row.as_drawn is False and not is_other(row):
            yield found.problem("landed_to", f"expected where it was landed, or {NOT_LANDED} where it lands nowhere")
        if is_added(row) and not (row.landed_from and row.landed_to):
            yield found.problem("landed_to", "expected both terminals of a lead that is on no drawing")
        terminals = {f"{c.ref}.{t.name}" for c in netlist.components for t in c.terminals}
        for column in ("landed_from", "landed_to"):
            name = getattr(row, column)
            if name and name != NOT_LANDED and name not in terminals:
                yield found.problem(column, f"expected a terminal, or {NOT_LANDED}; {offer(name, terminals)}")
        yield from self._ends(found, row, netlist)

    def _ends(self, found: FoundRow, row: ReturnedLanding, netlist: Netlist) -> Iterator[Problem]:
        drawn, spare = conductor_of(netlist, row), spare_of(netlist, row)
        one, two = row.landed_from or (str(drawn.a) if drawn else ""), row.landed_to or (str(drawn.b) if drawn else "")
        if one and one == two and one != NOT_LANDED:
            yield found.problem("landed_to", "expected two different terminals")
        if spare is not None and is_other(row) and not (row.landed_from and row.landed_to):
            yield found.problem("landed_to", "expected both terminals of a conductor that is spare on the drawings")
        ref = drawn.cable if drawn else spare.cable if spare else ""
        colours = netlist.cable(ref).colours if ref else ()
        if row.landed_colour and ref and row.landed_colour not in colours:
            yield found.problem("landed_colour", f"expected a colour of the cable: {', '.join(colours)}")

    def _colours(self, found: Sequence[FoundRow]) -> Iterator[Problem]:
        """Two conductors of one cable cannot have one colour: whoever moves one has moved the other too."""
        for mark, rows in _by_opening(found, ReturnedLanding).items():
            netlist = self._netlist(mark) if mark in self._design.door else None
            if netlist is None:
                continue
            said = {c.ref: one for one in rows if (c := conductor_of(netlist, one.row)) is not None}  # type: ignore[arg-type]
            used: dict[tuple[str, str], str] = {}
            for c in netlist.conductors:
                one = said.get(c.ref)
                row = one.row if one is not None else None
                colour = row.landed_colour or c.colour if isinstance(row, ReturnedLanding) else c.colour
                gone = isinstance(row, ReturnedLanding) and NOT_LANDED in (row.landed_from, row.landed_to)
                if not c.cable or gone or colour not in netlist.cable(c.cable).colours:
                    continue
                other = used.setdefault((c.cable, colour), c.ref)
                if other != c.ref and (one or said.get(other)):
                    at = one or said[other]
                    wanted = f"expected one conductor of a colour in {c.cable}; conductors {other} and {c.ref} would both be {colour}"
                    yield at.problem("landed_colour", f"{wanted}: state both")

    def _reading(self, found: FoundRow, row: ReturnedReading) -> Iterator[Problem]:
        if row.opening not in self._lines:
            self._lines[row.opening] = sheet_lines(self._design, self._design.door[row.opening])
        line = line_of(self._lines[row.opening], row)
        if line is None:
            yield found.problem("what", f"expected a line of the test sheet of {row.opening}; {_FIX}")
            return
        if reading_value(line, row.reading) is None:
            wanted = SEEN if is_seen(line) else f"a number in {line.unit}, or open"
            yield found.problem("reading", f"expected {wanted}")

    @cached_property
    def _cables(self) -> Mapping[str, tuple[str, float | None, str]]:
        """By label of each cable its type, length and subject."""
        return {c.called: (c.cable_type, c.length_m, c.subject) for c in self._design.cables}

    def _cable(self, found: FoundRow, label: str) -> Iterator[Problem]:
        if label in self._cables:
            return
        issued = {one.label: one.subject for one in self._design.site.issued_labels if one.kind == "cable"}
        at_door = DOOR_CABLE.fullmatch(label)
        opening = issued.get(label, at_door[1] if at_door else "")
        wanted = f"expected the label of a cable of the schedules; {offer(label, self._cables)}"
        if opening in self._gone:
            wanted = (
                f"{opening}, which it was issued for, is no longer in the design: leave out its rows, or restore it"
            )
        yield found.problem("cable", wanted)

    def _length(self, found: FoundRow, row: ReturnedLength) -> Iterator[Problem]:
        yield from self._cable(found, row.cable)
        yield from self._feet(found, row.cable, row.length_m)
        kinds = self._design.site.cable_type
        if row.used_cable_type and row.used_cable_type not in kinds:
            yield found.problem(
                "used_cable_type",
                f"expected a cable type of the site (add it to cable_types); {offer(row.used_cable_type, kinds)}",
            )
        elif row.used_cable_type and row.cable in self._cables:
            drawn = kinds.get(self._cables[row.cable][0])
            if drawn is not None and drawn.kind != kinds[row.used_cable_type].kind:
                yield found.problem("used_cable_type", f"expected a {drawn.kind} cable in place of {drawn.id}")

    def _feet(self, found: FoundRow, label: str, length_m: float | None) -> Iterator[Problem]:
        """A bare number that is the drawn length in feet, or the other way round."""
        drawn_m = self._cables[label][1] if label in self._cables else None
        text = found.texts.get("length_m", "")
        if not drawn_m or not length_m or any(ch.isalpha() or ch in "'\"" for ch in text):
            return
        if abs(length_m / drawn_m / _FEET - 1.0) < _NEAR:
            yield found.problem(
                "length_m", f"the drawings have {drawn_m:.1f} m; if this is in feet write {text} ft, otherwise {text} m"
            )

    def _test(self, found: FoundRow, row: CableTest) -> Iterator[Problem]:
        yield from self._cable(found, row.cable)
        yield from self._feet(found, row.cable, row.length_m)
        margin_db = row.insertion_loss_margin_db
        if row.result in _PASSES and (row.wire_map == "fail" or (margin_db is not None and margin_db < 0)):
            yield found.problem("result", "expected no pass beside a wire map that fails or a margin below 0")
        if not row.instrument:
            yield found.problem(
                "instrument", "expected the tester, by its serial number: a test without one proves nothing"
            )

    def _device(self, found: FoundRow, row: ReturnedDevice) -> Iterator[Problem]:
        door = self._design.door[row.opening]
        refs = {c.ref: c for c in door.wiring.netlist.components} if door.wiring.netlist else {}
        if row.device not in refs:
            yield found.problem("device", f"expected a device of the drawings; {offer(row.device, refs)}")
            return
        component = refs[row.device]
        if row.part and row.part != component.part:
            yield found.problem("part", f"expected {component.part or 'no part'}, as drawn; {_FIX}")
        if not row.fitted_part:
            return
        parts = self._design.site.part
        fitted, drawn = parts.get(row.fitted_part), parts.get(component.part)
        if fitted is None:
            yield found.problem(
                "fitted_part", f"expected a part of the site (add it to parts); {offer(row.fitted_part, parts)}"
            )
        elif not self._can_be_another(door, row.device):
            yield found.problem("fitted_part", f"expected none: {component.title} is no part of its own")
        elif drawn is not None and type(fitted) is not type(drawn):
            yield found.problem("fitted_part", f"expected a part of the kind of {drawn.id}")

    def _can_be_another(self, door: DoorDesign, ref: str) -> bool:
        component = door.wiring.netlist.component(ref) if door.wiring.netlist else None
        return component is not None and bool(part_column(door, component) or component.role == DeviceRole.SUPPLY)

    def _equipment(self, found: FoundRow, row: ReturnedEquipment) -> Iterator[Problem]:
        site = self._design.site
        supply, known = site.supply.get(row.equipment), equipment_of(self._design)
        if row.equipment not in known:
            yield found.problem(
                "equipment", f"expected a switch, a UPS or a supply in a closet; {offer(row.equipment, known)}"
            )
            return
        if supply is None:
            for column in ("fitted_part", "output_v", "on_battery_v", "output_a"):
                if getattr(row, column) not in ("", None):
                    yield found.problem(
                        column,
                        f"expected none at {row.equipment}, which is no supply; state what differs in its own table",
                    )
            return
        if row.part and row.part != supply.part:
            yield found.problem("part", f"expected {supply.part}, as designed; {_FIX}")
        fitted, drawn = site.part.get(row.fitted_part), site.part.get(supply.part)
        if row.fitted_part and fitted is None:
            yield found.problem(
                "fitted_part", f"expected a part of the site (add it to parts); {offer(row.fitted_part, site.part)}"
            )
        elif fitted is not None and drawn is not None and type(fitted) is not type(drawn):
            yield found.problem("fitted_part", f"expected a part of the kind of {drawn.id}")

    def _port(self, found: FoundRow, row: ReturnedPort) -> Iterator[Problem]:
        closet = closet_named(self._design, row.used_closet) if row.used_closet else ""
        if row.used_closet and not closet:
            names = (*self._design.site.closet, *self._design.labels.closet.values())
            yield found.problem("used_closet", f"expected a closet of the site; {offer(row.used_closet, names)}")
            return
        if not row.used_port:
            yield found.problem("used_port", "expected the port too, by its label")
            return
        used = resolved_port(self._design, row)
        if used is None:
            yield found.problem(
                "used_port",
                f"expected the label of a port; {offer(row.used_port, tuple(self._design.labels.port.values()))}",
            )
        elif closet and used[0] != closet:
            yield found.problem("used_port", f"expected a port in closet {row.used_closet}; this one is in {used[0]}")
        elif used[2] > self._design.site.switch[used[1]].door_ports:
            yield found.problem(
                "used_port", f"expected a port for doors; {used[1]} has {self._design.site.switch[used[1]].door_ports}"
            )

    def _ports_taken(self, found: Sequence[FoundRow]) -> Iterator[Problem]:
        """Two openings on one port: whoever has moved one cable has moved the other too."""
        taken = {
            (d.placement.switch, d.placement.port): d.mark
            for d in self._design.doors
            if d.placement is not None and d.placement.switch
        }
        rows = [
            (one, one.row)
            for one in found
            if isinstance(one.row, ReturnedPort) and one.row.opening in self._design.door
        ]
        moved = {row.opening for _, row in rows if row.used_port}
        before = {r.opening: resolved_port(self._design, r) for r in self._on_record.ports if r.opening not in moved}
        taken = {port: mark for port, mark in taken.items() if mark not in moved and mark not in before}
        taken |= {port[1:]: mark for mark, port in before.items() if port is not None}
        for one, row in rows:
            used = resolved_port(self._design, row)
            if used is None:
                continue
            other = taken.setdefault(used[1:], row.opening)
            if other != row.opening:
                yield one.problem(
                    "used_port", f"expected a port of its own; opening {other} is on this one: state its port too"
                )


def _by_opening(found: Sequence[FoundRow], kind: type[Returned]) -> Mapping[str, list[FoundRow]]:
    return grouped((getattr(one.row, "opening", ""), one) for one in found if isinstance(one.row, kind))


def _twice(found: Sequence[FoundRow], on_record: AsBuilt) -> Iterator[Problem]:
    """A serial number or a MAC address on two devices, of this return or of those before."""
    now = [(one, one.row) for one in found if isinstance(one.row, (ReturnedDevice, ReturnedEquipment))]
    anew = {(column, type(row), row.key) for _, row in now for column in ("serial", "mac") if getattr(row, column)}
    for column in ("serial", "mac"):
        first: dict[str, ReturnedDevice | ReturnedEquipment] = {}
        before: tuple[ReturnedDevice | ReturnedEquipment, ...] = (*on_record.devices, *on_record.equipment)
        for row in before:
            if getattr(row, column) and (column, type(row), row.key) not in anew:
                first[getattr(row, column)] = row
        for one, row in now:
            number = getattr(row, column)
            other = first.setdefault(number, row) if number else row
            if other.key != row.key:
                yield one.problem(column, f"expected one device of this number; {_called(other)} has it")


def _called(row: ReturnedDevice | ReturnedEquipment) -> str:
    return f"{row.device} of opening {row.opening}" if isinstance(row, ReturnedDevice) else row.equipment
