"""The rule `part-temperature`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.opening import Opening
from riserkit.model.parts import Part, RexSensor
from riserkit.quantities.printed import format_pair, format_value
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import listed
from riserkit.rules._shared.said import COLD_OR_HOT, OUTDOORS

_ELECTRONIC: Final = frozenset({"controller", "reader", "rex-sensor", "relay", "splitter"})
"""Kinds of part that stop or go wrong outside of their rated range; others are judged where they state one."""
_OUTDOOR: Final = "outdoor"
_ELSEWHERE: Final = frozenset({"dc-supply"})
_OUTSIDE: Final = ("controller", "reader_in")
_AT_OPENING: Final = (
    "controller", "reader_in", "reader_out", "rex", "relay", "splitter", "lock", "contact", "release", "suppressor", "fire_relay",
)  # fmt: skip


class PartTemperature:
    """Parts at an opening outdoors, or in a space without heating or cooling, are rated for its air.

    Why:
        A controller rated from 0 °C stops in the first night of frost, and nobody finds out why. Copper is colder or
        hotter there, too, than what voltages are calculated at.
    Measures:
        For each opening that is outdoors or states coldest_c or hottest_c: the rated range of its controller and reader on the
        side outdoors; at a gate, and indoors, of every part at the opening. Lock, contact and button only where they state a
        range. Elsewhere the site's ambient_c counts for every part. Then both temperatures against the site's coldest_c and
        pathway_c. Where only the name of the opening or of a side,
        or the remarks, speak of a cold or hot space, such as a cold store, that is asked; and whether a gate, or a side named
        like a street or yard, is outdoors, where that is not stated.
    Limit:
        The range covers both temperatures; voltages are calculated over no less.
    Remedy:
        What to state, or another part.
    Source:
        Common practice, no source: the range is the part's data.
    """

    name: ClassVar[str] = "part-temperature"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Findings for each opening outdoors, or with temperatures of its own, and for parts in the site's ambient_c."""
        yield from self._ambient(design)
        for door in design.doors:
            opening = door.opening
            blank = [name for name in ("coldest_c", "hottest_c") if getattr(opening, name) is None]
            if len(blank) == 2 and not opening.outdoor:
                if said := _said(opening):
                    message = f"{said!r} is named; how cold and how hot the air gets at the opening is not stated."
                    yield self._asks(door, message, blank)
                elif place := _outside(opening):
                    message = f"{place}; whether that is exposed to weather is not stated."
                    remedy = "State outdoor, yes or no; if yes, coldest_c and hottest_c."
                    yield not_evaluated(self, ("opening", door.mark), message, remedy, about=_OUTDOOR)
                continue
            if blank:
                yield self._asks(door, "How cold and how hot the air gets at the opening is not stated.", blank)
            found = [*self._parts(design, door), *self._copper(design, door)]
            yield from found
            if not found and not blank:
                units = design.site.info.unit_system
                cold, hot = (
                    format_value(t, "°C", units) for t in (opening.coldest_c, opening.hottest_c) if t is not None
                )
                message = f"Its parts are rated for the air there, {cold} to {hot}."
                yield stated(self, door.subject, True, message, severity=Severity.WARNING)

    def _ambient(self, design: Design) -> Iterator[Finding]:
        """Of parts indoors that are not rated for the site's own ambient_c; one finding for each part, with its doors."""
        info, found = design.site.info, dict[str, list[DoorDesign]]()
        for door in design.doors:
            opening = door.opening
            if not opening.outdoor and opening.coldest_c is None and opening.hottest_c is None:
                for part in _exposed(design, door):
                    found.setdefault(part.id, []).append(door)
        for name, doors in sorted(found.items()):
            part = design.site.part[name]
            low, high = part.temperature_min_c, part.temperature_max_c
            too_cold, too_hot = low is not None and info.ambient_c < low, high is not None and info.ambient_c > high
            limit_c = low if too_cold else high if too_hot else None
            if limit_c is None:
                continue
            air, limit = format_pair(info.ambient_c, limit_c, "°C", info.unit_system)
            marks = tuple(door.mark for door in doors)
            rated = f"{name} is rated {'from' if too_cold else 'to'} {limit}"
            message = f"{rated}; the air around devices, ambient_c, is {air}: {listed(marks)}."
            remedy = "Use a part rated for it; or state coldest_c and hottest_c of openings where the air is another."
            subject = ("site", info.name)
            one = stated(self, subject, False, message, severity=Severity.WARNING, remedy=remedy, about=name)
            yield replace(one, concerns=marks)

    def _parts(self, design: Design, door: DoorDesign) -> Iterator[Finding]:
        opening, units, unstated = door.opening, design.site.info.unit_system, []
        for part in _exposed(design, door):
            low, high = part.temperature_min_c, part.temperature_max_c
            if (low is None or high is None) and _must_say(part):
                unstated.append(part.id)
            cold = (opening.coldest_c, low) if low is not None and opening.coldest_c is not None else None
            hot = (opening.hottest_c, high) if high is not None and opening.hottest_c is not None else None
            too_cold = cold is not None and cold[0] < cold[1]
            over = cold if too_cold else hot if hot is not None and hot[0] > hot[1] else None
            if over is not None:
                air, limit = format_pair(*over, "°C", units)
                rated = f"{part.id} is rated {'from' if too_cold else 'to'} {limit}"
                message = f"{rated}; the air at the opening gets to {air}."
                remedy = (
                    "Use a part rated for it, or mount it where it is warmer."
                    if too_cold
                    else "Use a part rated for it, or shade it."
                )
                yield self._fails(door, message, remedy, part.id)
        if unstated:
            message = f"The temperatures that {listed(unstated)} {'is' if len(unstated) == 1 else 'are'} rated for are not stated."
            remedy = f"State temperature_min_c and temperature_max_c of {listed(unstated)}."
            yield not_evaluated(self, door.subject, message, remedy, about="rated temperatures")

    def _copper(self, design: Design, door: DoorDesign) -> Iterator[Finding]:
        opening, info = door.opening, design.site.info
        cold = opening.coldest_c is not None and opening.coldest_c < info.coldest_c
        hot = opening.hottest_c is not None and opening.hottest_c > info.pathway_c
        units = info.unit_system
        for wrong, column, air_c, name, taken_c in (
            (cold, "coldest", opening.coldest_c, "coldest_c", info.coldest_c),
            (hot, "hottest", opening.hottest_c, "pathway_c", info.pathway_c),
        ):
            if wrong and air_c is not None:
                air, taken = format_pair(air_c, taken_c, "°C", units)
                message = f"The {column} air at the opening is {air}; voltages are calculated at {taken}."
                remedy = f"State {name} of the site, {air} or {'less' if column == 'coldest' else 'more'}."
                yield self._fails(door, message, remedy, f"{column} copper")

    def _asks(self, door: DoorDesign, message: str, blank: list[str]) -> Finding:
        remedy = f"State {listed(blank)}."
        return not_evaluated(self, door.subject, message, remedy, about="temperature of the air")

    def _fails(self, door: DoorDesign, message: str, remedy: str, about: str) -> Finding:
        return stated(self, door.subject, False, message, severity=Severity.WARNING, remedy=remedy, about=about)


def _said(opening: Opening) -> str:
    """Words that speak of a cold or a hot space; empty where there are none."""
    for text in (opening.secured_side, opening.unsecured_side, opening.name, opening.remarks):
        if found := COLD_OR_HOT.search(text):
            return found[0].strip()
    return ""


def _outside(opening: Opening) -> str:
    """Why a side of it may be outdoors, in words, where nobody states whether it is; empty where nothing says so."""
    if "outdoor" in opening.model_fields_set:
        return ""
    if found := OUTDOORS.search(opening.unsecured_side):
        return f"Its unsecured side is called {found[0]!r}"
    return "It is a gate" if opening.type == "gate" else ""


def _must_say(part: Part) -> bool:
    return part.kind in _ELECTRONIC and not (isinstance(part, RexSensor) and not part.is_powered)


def _exposed(design: Design, door: DoorDesign) -> list[Part]:
    """Parts in the air that the opening states, each once, in the order of its columns; then what its wiring adds."""
    opening, circuit = door.opening, door.wiring.circuit
    both = opening.type == "gate" or not opening.outdoor
    names = [
        getattr(opening, column)
        for column in (_AT_OPENING if both else _OUTSIDE)
        if both or column != "controller" or opening.controller_at == "unsecured"
    ]
    if both and circuit is not None:
        names += [component.part for component in circuit.netlist.components]
    parts = (design.site.part.get(name) for name in dict.fromkeys(names) if name)
    return [part for part in parts if part is not None and part.kind not in _ELSEWHERE]
