"""The rule `implausible-data`."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.cabling import CableType
from riserkit.model.parts import DcSupply, Lock, Part
from riserkit.model.power import Supply, Switch, Ups
from riserkit.model.refusals import UNIT_SHOWN
from riserkit.model.site import Site
from riserkit.quantities.counting import counted
from riserkit.quantities.printed import UnitSystem, format_pair, format_value
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.standards.copper import conductor_area_mm2

_Range = tuple[float, float]
_CONTACT: Final[Mapping[str, _Range]] = {"contact_a": (0.01, 60), "contact_v": (5, 600), "contact_ohm": (0.001, 1)}
_LOCK: Final[Mapping[str, _Range]] = {
    "rated_v": (5, 60),
    "tolerance_low": (0, 0.5),
    "tolerance_high": (0, 0.5),
    "hold_a": (0.02, 5),
    "pull_in_a": (0.02, 40),
    "inductance_h": (0.001, 10),
}
_ELECTRONIC: Final[Mapping[str, _Range]] = {"clamp_v": (5, 200), "rated_a": (0.05, 10_000)}
# What a value of each kind of part lies within, whoever makes it.
_RANGES: Final[Mapping[str, Mapping[str, _Range]]] = {
    **dict.fromkeys(("strike", "electromagnetic-lock", "electrified-exit-device", "electrified-latch"), _LOCK),
    "controller": {
        "own_w": (0.2, 71), "output_v": (4, 60), "auxiliary_v": (4, 60), "output_limit_a": (0.02, 20),
        "auxiliary_limit_a": (0.01, 20), "converter_efficiency": (0.5, 0.99), "feed_v": (4, 60), "input_v": (1, 30),
        **_CONTACT,
    },
    "relay": {"coil_v": (3, 60), "coil_a": (0.002, 1), "trigger_v": (1, 60), "trigger_a": (0.0002, 1), **_CONTACT},
    "rex-sensor": {"rated_v": (3, 60), "draw_a": (0.001, 1), **_CONTACT},
    "door-contact": {"contact_a": (0.001, 10), "contact_v": (3, 600)},
    "release-button": {"hold_s": (0, 600), **_CONTACT},
    "fire-alarm-relay": _CONTACT,
    "dc-supply": {"output_v": (4, 60), "output_a": (0.1, 100), "battery_ah": (0.5, 500), "source_ohm": (0.0001, 5)},
    "splitter": {"output_v": (4, 60), "output_a": (0.1, 8), "efficiency": (0.5, 0.99), "own_w": (0.02, 20)},
    "diode": {"clamp_v": (0.1, 2), "rated_a": (0.05, 100)},
    "varistor": _ELECTRONIC,
    "transient-suppressor": _ELECTRONIC,
    "reader": {"rated_v": (3, 60), "draw_a": (0.005, 3)},
}  # fmt: skip
_UPS: Final[Mapping[str, _Range]] = {
    "battery_ah": (1, 2000), "battery_wh": (1, 200_000), "end_v": (8, 500), "efficiency": (0.5, 0.99), "output_w": (5, 50_000),
}  # fmt: skip
_SWITCH_OWN_W: Final = (0.5, 3000.0)
_BATTERY_C: Final = (-40.0, 50.0)
_MOST_RELEASED_S: Final = 1800.0
"""Of an hour. A door that is released for longer is unlocked, and its fail-safe lock draws nothing."""
_PORT_W: Final = 100.0
"""No port gives more: class 8 is 90 W at the port, and switches round up."""
_CURRENTS: Final = ("hold_a", "pull_in_a")
# Watts that a lock of any make takes while it holds.
_HOLD_W: Final = (0.3, 60.0)
# Of the nominal voltage: what lead-acid and lithium batteries are charged to, and discharged to.
_FLOAT: Final = (1.0, 1.25)
_END: Final = (0.7, 1.0)


class ImplausibleData:
    """The data of parts, switches, UPSes and cables is that of such a thing.

    Why:
        350 mA written as 0.35 mA, or 60 H for 60 mH, computes without complaint. The voltage drop of a lock that draws
        nothing is nothing, and the door passes.
    Measures:
        Each stated value of each part against the range that parts of its kind lie in; of locks also the watts that they
        hold with, and that they pick up with no less than they hold with; of supplies with a battery the voltages that
        it is charged and discharged to, against the nominal one; of switches and UPSes their watts, batteries and efficiency, a
        switch's budget against the ports it has; of cables that their diameter has room for their conductors.
    Limit:
        The ranges are wide: a value outside is a slip of the unit or of the decimal point, or a part of another kind.
    Remedy:
        The column to check. Where the value is right after all, accept the finding.
    Source:
        Common practice, no source: the limits are those of plausibility, not of any code.
    """

    name: ClassVar[str] = "implausible-data"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each value that is questioned; none where there is none."""
        subject = ("site", design.site.info.name)
        for part in design.site.parts:
            for column, message in _questioned(part):
                yield stated(
                    self, subject, False, f"Part {part.id}: {message}.", severity=Severity.WARNING,
                    remedy=_remedy(part, column), about=f"{column} of {part.id}",
                )  # fmt: skip
        for name, column, message in _equipment(design.site):
            yield stated(
                self, subject, False, f"{message}.", severity=Severity.WARNING,
                remedy=f"Check {column} of {name}, and its unit.", about=f"{column} of {name}",
            )  # fmt: skip
        yield from self._released(design, subject)
        for kind in design.site.cable_types:
            bare_m = _bare_bundle_m(kind)
            if kind.outside_diameter_m is not None and kind.outside_diameter_m < bare_m:
                is_mm, least_mm = format_pair(kind.outside_diameter_m * 1000, bare_m * 1000, "mm")
                message = (
                    f"Cable type {kind.id}: outside_diameter_m is {is_mm}; its bare conductors alone take {least_mm}."
                )
                remedy = f"Check outside_diameter_m of {kind.id}, and its unit."
                about = f"outside_diameter_m of {kind.id}"
                yield stated(self, subject, False, message, severity=Severity.WARNING, remedy=remedy, about=about)

    def _released(self, design: Design, subject: tuple[str, str]) -> Iterator[Finding]:
        info = design.site.info
        released_s = (info.openings_per_hour or 0.0) * (info.opening_s or 0.0)
        if released_s > _MOST_RELEASED_S:
            shown = f"{info.openings_per_hour:g} openings an hour of {info.opening_s:g} s"
            message = f"Every door is released for {released_s / 60:.0f} min of each hour without mains: {shown}."
            remedy = "Check openings_per_hour, of one door, and opening_s, how long its lock stays released; and their units."
            yield stated(self, subject, False, message, severity=Severity.WARNING, remedy=remedy, about="opening_s")


def _equipment(site: Site) -> Iterator[tuple[str, str, str]]:
    """(id, column, what is wrong with it) of switches and UPSes."""
    things: list[tuple[Switch | Ups | Supply, str, Mapping[str, _Range]]] = [
        (s, f"Switch {s.id}", {"poe_budget_w": (0, s.ports * _PORT_W), "own_w": _SWITCH_OWN_W}) for s in site.switches
    ]
    things += [(ups, f"UPS {ups.id}", {**_UPS, "battery_c": _BATTERY_C}) for ups in site.upses]
    things += [(supply, f"Supply {supply.id}", {"battery_c": _BATTERY_C}) for supply in site.supplies]
    for thing, named, ranges in things:
        of = f" of {counted(thing.ports, 'port')}" if isinstance(thing, Switch) else ""
        kind = named.partition(" ")[0]
        such = f"a {kind if kind == 'UPS' else kind.lower()}{of}"
        for column, (low, high) in ranges.items():
            value = getattr(thing, column)
            if value is not None and not low <= value <= high:
                units = site.info.unit_system
                shown, between = _shown(value, column, units), _between(low, high, column, units)
                yield thing.id, column, f"{named}: {column} is {shown}; {such} has {between}"


def _bare_bundle_m(kind: CableType) -> float:
    """Diameter of a circle as large as all conductors together; no cable is thinner. Fibres count as nothing."""
    if kind.gauge is None:
        return 0.0
    return math.sqrt(4 / math.pi * kind.conductors * conductor_area_mm2(kind.gauge)) / 1000


def _remedy(part: Part, column: str) -> str:
    """Of a lock with a supply of its own the current of its dry input is easily taken for that of the lock."""
    check = f"Check {column} of {part.id}, and its unit."
    if isinstance(part, Lock) and part.own_supply and column in _CURRENTS:
        return (
            f"{check} It is what the lock takes from its own supply, not the current of its dry input, which nothing asks for;"
            " where both are in one housing and its data sheet does not say, accept the finding."
        )
    return check


def _questioned(part: Part) -> Iterator[tuple[str, str]]:
    """(column, what is wrong with it)."""
    for column, (low, high) in _RANGES.get(part.kind, {}).items():
        value = getattr(part, column, None)
        if part.kind == "rex-sensor" and column == "draw_a" and value == 0:
            continue  # it needs no power
        if value is not None and not low <= value <= high:
            yield (
                column,
                f"{column} is {_shown(value, column)}; {_a(part.kind)} has {_between(low, high, column)}",
            )
    if isinstance(part, Lock):
        yield from _lock(part)
    if isinstance(part, DcSupply):
        yield from _supply(part)


def _lock(lock: Lock) -> Iterator[tuple[str, str]]:
    if lock.hold_a is None:
        return
    if lock.rated_v is not None and not _HOLD_W[0] <= lock.rated_v * lock.hold_a <= _HOLD_W[1]:
        watts = _shown(lock.rated_v * lock.hold_a, "_w")
        yield "hold_a", f"hold_a at rated_v is {watts}; {_a(lock.kind)} holds with {_between(*_HOLD_W, '_w')}"
    if lock.pull_in_a is not None and lock.pull_in_a < lock.hold_a:
        shown = f"{_shown(lock.pull_in_a, '_a')} is less than hold_a, {_shown(lock.hold_a, '_a')}"
        yield "pull_in_a", f"pull_in_a, {shown}; a coil picks up with no less than it holds with"


def _supply(supply: DcSupply) -> Iterator[tuple[str, str]]:
    for column, (low, high) in (("float_v", _FLOAT), ("end_v", _END)):
        value = getattr(supply, column)
        if value is not None and supply.output_v and not low <= value / supply.output_v <= high:
            nominal = _shown(supply.output_v, column)
            yield (
                column,
                (
                    f"{column} is {_shown(value, column)}; a battery of {nominal} has "
                    f"{_between(low * supply.output_v, high * supply.output_v, column)}"
                ),
            )


def _shown(value: float, column: str, units: UnitSystem = "metric") -> str:
    """A value as it was written, not rounded away: a slip is what is looked for."""
    unit = UNIT_SHOWN.get(column.rpartition("_")[2], "")
    return f"{value:.4g} {unit}".strip() if abs(value) < 0.1 or not unit else format_value(value, unit, units)


def _between(low: float, high: float, column: str, units: UnitSystem = "metric") -> str:
    return f"{_shown(low, column, units)} to {_shown(high, column, units)}"


def _a(kind: str) -> str:
    """A kind of part with its article."""
    words = _words(kind)
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def _words(kind: str) -> str:
    return kind.replace("-", " ").replace("dc supply", "DC supply").replace("rex sensor", "REX sensor")
