"""The netlist as it was landed: the design's, with what the crew did otherwise."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from riserkit.circuits.netlist import Component, Conductor, Landing, Netlist, Spare
from riserkit.model.returned import NOT_LANDED, ReturnedDevice, ReturnedLanding
from riserkit.standards.copper import at_temperature, resistance_per_m_20c_ohm
from riserkit.wiring.need import DATA

LEAD: Final = "lead"
"""What a conductor table says in place of a cable, of a lead that is in none."""
_JUMPER_OHM: Final = 0.01
"""Of a lead that is on no drawing: a jumper (common practice, no source)."""
NOT_DRAWN: Final = "not on the drawings"


@dataclass(frozen=True, slots=True)
class OtherLanding:
    """One landing that is not as drawn.

    Args:
        returned: the row.
        drawn: the conductor as designed; None for a spare or a lead that is on no drawing.
        built: the conductor as landed; None where it lands nowhere.
    """

    returned: ReturnedLanding
    drawn: Conductor | None
    built: Conductor | None


def conductor_of(netlist: Netlist, row: ReturnedLanding) -> Conductor | None:
    """The conductor that a row is about; None where there is none, or the row is about a spare or an added lead."""
    if not (row.from_terminal or row.to_terminal or row.no):
        return None
    found = [c for c in netlist.conductors if _is(netlist, c, row)]
    return found[0] if len(found) == 1 else None


def spare_of(netlist: Netlist, row: ReturnedLanding) -> Spare | None:
    """The spare conductor that a row is about, if it is about one."""
    if row.from_terminal or row.to_terminal or row.no:
        return None
    return next((s for s in netlist.spares if _names(row.cable, row.opening, s.cable) and s.colour == row.colour), None)


def is_added(row: ReturnedLanding) -> bool:
    """Whether a row is about a lead that is on no drawing."""
    return not (row.no or row.cable or row.colour or row.from_terminal or row.to_terminal)


def is_other(row: ReturnedLanding) -> bool:
    """Whether a row says that something was landed otherwise than drawn."""
    return bool(row.landed_from or row.landed_to or row.landed_colour)


def is_known(netlist: Netlist, row: ReturnedLanding) -> bool:
    """Whether a row is about something that the netlist has, or about a lead that is on no drawing."""
    return is_added(row) or conductor_of(netlist, row) is not None or spare_of(netlist, row) is not None


def _is(netlist: Netlist, c: Conductor, row: ReturnedLanding) -> bool:
    said = ((row.no, c.ref), (row.colour, c.colour), (row.from_terminal, str(c.a)), (row.to_terminal, str(c.b)))
    same = all(not printed or printed == own for printed, own in said)
    if not row.cable or not same:
        return same
    if not c.cable:
        return row.cable == LEAD
    # The horizontal cable goes by its label, which the netlist does not know.
    return _names(row.cable, row.opening, c.cable) or netlist.cable(c.cable).role == DATA


def _names(printed: str, mark: str, cable: str) -> bool:
    return printed in (cable, f"{mark}-{cable}")


def landed_otherwise(netlist: Netlist, rows: Iterable[ReturnedLanding]) -> tuple[OtherLanding, ...]:
    """The landings that are not as drawn, of rows that this netlist knows; those it does not know are left out."""
    found = []
    numbers = iter(range(len(netlist.conductors) + 1, 100_000))
    for row in rows:
        if not is_other(row):
            continue
        drawn, spare = conductor_of(netlist, row), spare_of(netlist, row)
        if drawn is not None:
            found.append(OtherLanding(row, drawn, _moved(drawn, row)))
        elif NOT_LANDED in (row.landed_from, row.landed_to) and (spare or is_added(row)):
            found.append(OtherLanding(row, None, None))
        elif spare is not None or is_added(row):
            found.append(OtherLanding(row, None, _added(netlist, row, spare, str(next(numbers)))))
    return tuple(found)


def with_landings(netlist: Netlist, landed: Iterable[OtherLanding]) -> Netlist:
    """The netlist with its conductors as landed; what a cable holds and nobody has landed is spare."""
    changed = {one.drawn.ref: one.built for one in landed if one.drawn is not None}
    added = [one.built for one in landed if one.drawn is None and one.built is not None]
    kept = [changed.get(c.ref, c) for c in netlist.conductors]
    conductors = tuple(c for c in (*kept, *added) if c is not None)
    used = {(c.cable, c.colour) for c in conductors}
    named = {s.cable for s in netlist.spares} | {c.cable for c in netlist.conductors if c not in conductors}
    spares = tuple(
        Spare(cable.ref, colour)
        for cable in netlist.cables
        if cable.ref in named and cable.role != DATA
        for colour in cable.colours
        if (cable.ref, colour) not in used
    )
    return replace(netlist, conductors=conductors, spares=spares)


def _moved(drawn: Conductor, row: ReturnedLanding) -> Conductor | None:
    if NOT_LANDED in (row.landed_from, row.landed_to):
        return None
    a, b = _landing(row.landed_from, drawn.a), _landing(row.landed_to, drawn.b)
    return replace(drawn, a=a, b=b, colour=row.landed_colour or drawn.colour)


def _added(netlist: Netlist, row: ReturnedLanding, spare: Spare | None, number: str) -> Conductor:
    a, b = _parsed(row.landed_from), _parsed(row.landed_to)
    if spare is None:
        return Conductor(number, a, b, row.landed_colour, "", _JUMPER_OHM, note=NOT_DRAWN)
    cable = netlist.cable(spare.cable)
    r20_ohm = resistance_per_m_20c_ohm(cable.gauge, cable.stranding) * cable.length_m
    colour = row.landed_colour or spare.colour
    return Conductor(number, a, b, colour, cable.gauge, r20_ohm, cable.ref, NOT_DRAWN)


def _landing(said: str, drawn: Landing) -> Landing:
    return _parsed(said) if said else drawn


def _parsed(name: str) -> Landing:
    component, _, terminal = name.partition(".")
    return Landing(component, terminal)


def with_devices(netlist: Netlist, fitted: Iterable[ReturnedDevice]) -> Netlist:
    """The netlist with devices where they were put: what is on the unsecured side is exposed, and its cables there too."""
    said = {device.device: device for device in fitted}

    def put(component: Component) -> Component:
        device = said.get(component.ref)
        if device is None:
            return component
        place = device.fitted_place or component.place
        exposed = device.fitted_side == "unsecured" if device.fitted_side else component.exposed
        return replace(component, place=place, exposed=exposed)

    return replace(netlist, components=tuple(map(put, netlist.components)))


def conductor_r20_ohm(loop_ohm: float, coldest_c: float) -> float:
    """Resistance at 20 °C of one conductor, of the loop of two as measured.

    Nobody states how warm the cable was: it is taken as cold as it gets, which computes the most once it is warm.

    Examples:
        >>> round(conductor_r20_ohm(10.0, 20.0), 3), round(conductor_r20_ohm(10.0, 10.0), 3)
        (5.0, 5.205)
    """
    return loop_ohm / 2 / at_temperature(1.0, coldest_c)


def with_loop_resistance(netlist: Netlist, cable_ref: str, loop_ohm: float, coldest_c: float) -> Netlist:
    """The netlist with the conductors of a cable at half of what was measured over two of them."""
    r20_ohm = conductor_r20_ohm(loop_ohm, coldest_c)
    conductors = tuple(replace(c, r20_ohm=r20_ohm) if c.cable == cable_ref else c for c in netlist.conductors)
    return replace(netlist, conductors=conductors)
