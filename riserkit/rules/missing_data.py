"""The rule `missing-data`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.references import PART_KINDS
from riserkit.rules._shared.base import COMMON_PRACTICE, Subject, not_evaluated, stated
from riserkit.wiring.roles import DeviceRole

_FEED: Final = ("class-power", "switch-class-budget", "switch-power-budget")
_CIRCUIT: Final = ("lock-voltage", "no-suitable-wiring", "output-limit", *_FEED)
# What cannot be evaluated without a value, by column or by part column and value; any other stops the whole circuit.
_STOPS: Final[Mapping[str, tuple[str, ...]]] = {
    "controller": (*_CIRCUIT, "auxiliary-limit"),
    "controller.poe_class": _FEED,
    "controller.own_w": _FEED,
    "controller.output_limit_a": ("output-limit",),
    "lock": _CIRCUIT,
    "lock.tolerance_low": ("lock-voltage",),
    "lock.tolerance_high": ("lock-voltage",),
    "fail_mode": ("ups-behind-fail-safe",),
    "fire_relay": ("contact-rating",),
    "splitter.poe_class": _FEED,
    "splitter.efficiency": _FEED,
    "poe_budget_w": ("switch-class-budget", "switch-power-budget"),
    "on_ups": ("standby", "ups-behind-fail-safe"),
    "part.output_a": ("supply-class-2", "supply-load"),
    "part.output_v": ("lock-voltage", "supply-class-2", "supply-load"),
    "part.tolerance": ("lock-voltage",),
}
# The same of any part, by value.
_STOPS_ANY: Final[Mapping[str, tuple[str, ...]]] = {
    "contact_a": ("contact-rating",),
    "contact_v": ("contact-rating",),
    "contact_when_secured": ("fault-leaves-unlocked", "lock-contact", "undetected-fault"),
    "rated_a": ("suppressor-rating",),
    "hold_s": ("release-by-hand",),
    "in_alarm": ("release-on-fire-alarm",),
    "tolerance_high": ("device-voltage",),
}
_PART_COLUMNS: Final = tuple(PART_KINDS["openings"])
_NO_PARTS: Final[Mapping[str, str | None]] = {}


class MissingData:
    """Everything that the rules read is stated.

    Why:
        What is not known cannot be passed. One list of what to ask for is worth more than ten verdicts that could not
        be reached, spread over the findings.
    Measures:
        For each opening its lock, its controller, what the lock does unpowered, the relay of its fire alarm, and
        the values that each of its parts lacks; for each switch its total power and whether it is on a UPS; for each
        supply its part's data.
    Limit:
        Nothing is missing.
    Remedy:
        The columns to fill in, by name and number; the message names the rules that wait for them.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "missing-data"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening, switch and supply."""
        lacks = {part.id: part.lacks() for part in design.site.parts}
        for door in design.doors:
            parts = {column: getattr(door.opening, column) for column in _PART_COLUMNS}
            yield self._finding(door.subject, _door(design, door, lacks), parts)
        for switch in design.site.switches:
            values = {"poe_budget_w": switch.poe_budget_w, "on_ups": switch.is_on_ups}
            names = [name for name, value in values.items() if value is None]
            yield self._finding(("switch", switch.id), names)
        for supply in design.site.supplies:
            missing = [f"part.{name}" for name in lacks.get(supply.part, ())]
            yield self._finding(("supply", supply.id), missing, {"part": supply.part})

    def _finding(
        self, subject: Subject, missing: Sequence[str], parts: Mapping[str, str | None] = _NO_PARTS
    ) -> Finding:
        if not missing:
            return stated(self, subject, True, "Nothing that the rules read is missing.")
        stopped = sorted({rule for name in missing for rule in _stopped_by(name)})
        return not_evaluated(
            self, subject, f"Missing: {_by_part(missing, parts)}. Not evaluated for this: {', '.join(stopped)}.",
            f"State {_by_part(missing, parts)}.",
        )  # fmt: skip


def _by_part(missing: Sequence[str], parts: Mapping[str, str | None]) -> str:
    """Columns and values to state, values with the part that lacks them."""
    found: dict[str, list[str]] = {}
    for name in missing:
        column, _, value = name.rpartition(".")
        part = parts.get(column) or ""
        found.setdefault(part, []).append(value if part else name)
    return "; ".join(f"{', '.join(values)}{f' of {part}' if part else ''}" for part, values in found.items())


def _stopped_by(name: str) -> tuple[str, ...]:
    return _STOPS.get(name) or _STOPS_ANY.get(name.rpartition(".")[2], _CIRCUIT)


def _door(design: Design, door: DoorDesign, lacks: Mapping[str, Sequence[str]]) -> Sequence[str]:
    opening = door.opening
    missing = [column for column in ("lock", "controller") if not getattr(opening, column)]
    lock = design.site.part.get(opening.lock)
    if opening.fail_mode is None and not getattr(lock, "action", ""):
        missing.append("fail_mode")
    for column in _PART_COLUMNS:
        part = getattr(opening, column)
        if part and (names := lacks.get(part)):
            missing += [f"{column}.{name}" for name in names]
    circuit = door.wiring.circuit
    if circuit is not None and not opening.fire_relay and any(circuit.netlist.devices(DeviceRole.FIRE_RELAY)):
        missing.append("fire_relay")
    if door.wiring.missing:
        missing += [name for name in door.wiring.missing if name not in missing]
    return missing
