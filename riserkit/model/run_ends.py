"""Which cable a run is: its ends looked up, one run for one cable, and no run for a cable that cannot be there."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from riserkit.model.cabling import Run
from riserkit.model.opening import EgressRole, Opening
from riserkit.model.parts import Controller, Part
from riserkit.model.problems import Problem, shorten

if TYPE_CHECKING:
    from riserkit.model.raw import RawRecord

Rows = Mapping[str, Sequence[tuple[Any, "RawRecord"]]]
CableKey = tuple[str, str, str]
"""What makes two runs the same cable: the kind of it and two names; see `cable_of`."""

# device -> where at the same opening its cable may come from
FED_AT_DOOR: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "lock": ("controller", "box", "relay", "release", "fire", "rex_feed", "supply"),
        "lock2": ("controller", "box", "relay", "release", "fire", "rex_feed", "supply", "lock"),
        "contact": ("controller",),
        "lock_contact": ("controller",),
        "rex": ("controller",),
        "rex_feed": ("controller", "box", "relay", "supply"),
        "reader": ("controller",),
        "relay": ("controller",),
        "release": ("controller", "box", "relay", "supply", "rex_feed"),
        "fire": ("controller", "box", "relay", "supply", "release", "rex_feed"),
        "supply": ("controller", "relay", "box"),
        "box": ("controller",),
        "request": ("controller",),
        "leaf": ("lock",),
        "rex_leaf": ("rex",),
        "release_leaf": ("release",),
    }
)
DEVICES: Final = ("controller", *FED_AT_DOOR)


def run_problems(
    good: Rows, known: Mapping[str, set[str]], offer: Callable[[str, str], str], parts: Mapping[str, Part]
) -> Iterator[Problem]:
    """Every problem with the ends of runs and with runs of one cable.

    Args:
        good: by table, the records that are well in themselves.
        known: ids and marks by table, those of refused records included.
        offer: says what a name could have been, of a table.
        parts: the parts that are well in themselves, by id.
    """
    openings = {opening.mark: opening for opening, _ in good["openings"]}
    supplies = {supply.id: supply for supply, _ in good["supplies"]}
    cables = _Cables(openings)
    for run, record in good["runs"]:
        wrong = [(c, text) for c in ("from_end", "to_end") if (text := _end(getattr(run, c), known, offer))]
        for column, text in wrong:
            yield record.problem(column, getattr(run, column), text)
        if wrong:
            continue
        key = cable_of(run, known["closets"], known["supplies"])
        text = _no_cable(run) if key is None else _not_there(key, openings, supplies, parts)
        if key is None or text:
            yield record.problem("to_end", run.to_end, text)
        elif key[0] != "backbone":
            yield from cables.conflicts(key, run, record)


class _Cables:
    """The cables that runs have been met for. A measured run may stand beside the stated one that it replaces."""

    def __init__(self, openings: Mapping[str, Opening]) -> None:
        self._openings = openings
        self._first: dict[tuple[CableKey, str], tuple[Run, RawRecord]] = {}
        self._typed: dict[CableKey, tuple[Run, RawRecord]] = {}
        self._closet: dict[str, tuple[str, RawRecord]] = {}

    def conflicts(self, key: CableKey, run: Run, record: RawRecord) -> Iterator[Problem]:
        """What this run says otherwise than one before it."""
        first, at = self._first.setdefault((key, run.basis), (run, record))
        if first is not run:
            accepted = f"expected one {run.basis} run a cable; {at.where} has this cable with {_length(first, at)}"
            yield record.problem(*_shown(run), accepted)
            return
        if run.cable_type:
            typed, at = self._typed.setdefault(key, (run, record))
            if typed.cable_type != run.cable_type:
                accepted = f"expected one type a cable; {at.where} says {typed.cable_type} of this one"
                yield record.problem("cable_type", run.cable_type, accepted)
        if key[0] == "horizontal":
            yield from self._from_two_closets(key[1], key[2], run, record)

    def _from_two_closets(self, closet: str, mark: str, run: Run, record: RawRecord) -> Iterator[Problem]:
        other, at = self._closet.setdefault(mark, (closet, record))
        opening = self._openings.get(mark)
        if other != closet and opening is not None and not (opening.closet or opening.switch):
            accepted = f"expected opening {mark} to state its closet; {at.where} has a cable to it from {other}"
            yield record.problem("from_end", run.from_end, accepted)


def cable_of(run: Run, closets: set[str], supplies: set[str]) -> CableKey | None:
    """Which cable a run is; None when no cable goes between two such ends.

    Returns:
        `("horizontal", closet, mark)`, `("backbone", closet, closet)` in order of name, `("home", place, mark)` for lock
        power from a closet or a supply of the site, or `("device", device, mark)`.
    """
    a, b = (end.removesuffix("/controller") for end in (run.from_end, run.to_end))
    if a in closets and b in closets:
        return ("backbone", min(a, b), max(a, b))
    for place, other in ((a, b), (b, a)):
        mark, _, device = other.partition("/")
        if place in closets and not device and other not in supplies:
            return ("horizontal", place, mark)
        if place in closets | supplies and device == "supply":
            return ("home", place, mark)
    if a in closets | supplies or b in closets | supplies:
        return None
    device = device_of(run)
    return ("device", device, a.partition("/")[0]) if device else None


def ends_at(run: Run, mark: str) -> tuple[str, ...]:
    """The devices of an opening at which a run ends, empty for the opening itself; none where it ends elsewhere.

    Examples:
        >>> ends_at(Run(id="R", from_end="TR-1", to_end="101"), "101"), ends_at(Run(id="R", from_end="TR-1", to_end="TR-2"), "101")
        (('',), ())
    """
    ends = (end.partition("/") for end in (run.from_end, run.to_end))
    return tuple(device for name, _, device in ends if name == mark)


def device_of(run: Run) -> str:
    """The device that a run's cable serves; empty when no cable goes between its ends.

    Examples:
        >>> device_of(Run(id="R", from_end="101/relay", to_end="101/lock"))
        'lock'
        >>> device_of(Run(id="R", from_end="101/contact", to_end="101/rex"))
        ''
    """
    (a_mark, _, a), (b_mark, _, b) = (end.partition("/") for end in (run.from_end, run.to_end))
    ends = (a or "controller", b or "controller")
    if a_mark != b_mark:
        # From a closet or a supply, whose names hold no slash.
        return next((device for device in (a, b) if device == "supply"), "") if not (a and b) else ""
    return next((to for to, other in (ends, ends[::-1]) if other in FED_AT_DOOR.get(to, ())), "")


def _end(end: str, known: Mapping[str, set[str]], offer: Callable[[str, str], str]) -> str:
    """What would be accepted in place of `end`; empty when it is well."""
    mark, slash, device = end.partition("/")
    if slash:
        if mark not in known["openings"]:
            return offer(mark, "openings")
        return "" if device in DEVICES else f"expected a device after '/': {', '.join(DEVICES)}"
    meant = [table for table in ("closets", "supplies", "openings") if end in known[table]]
    if len(meant) > 1:
        both = " and ".join(f"one of the {table}" for table in meant)
        return f"expected a name that is only one thing; this is {both}, so rename one"
    return "" if meant else "expected a closet, a supply, an opening's mark, or MARK/device"


def _no_cable(run: Run) -> str:
    return (
        f"expected the ends of a cable; none goes from {shorten(run.from_end)} to here. Cables go between closets, from "
        "a closet to MARK, from a closet or a supply to MARK/supply, and at one opening from MARK/controller to MARK/device"
    )


def _not_there(
    key: CableKey, openings: Mapping[str, Opening], supplies: Mapping[str, Any], parts: Mapping[str, Part]
) -> str:
    """Why an opening has no such cable; empty when it may have one."""
    kind, name, mark = key
    opening = openings.get(mark)
    if opening is None:
        return ""
    if kind == "home":
        return _other_supply(opening, name, supplies)
    if kind != "device":
        return ""
    released = bool(opening.release) or opening.egress is EgressRole.SENSOR_RELEASE
    alarmed = bool(opening.fire_relay) or opening.fire_alarm_release
    # A dry lock output switches what comes from the box; a controller whose row is refused may have one.
    controller = parts.get(opening.controller)
    dry = controller.is_dry if isinstance(controller, Controller) else bool(opening.controller)
    stated = {
        "lock2": opening.lock_count > 1,
        "contact": bool(opening.contact),
        "lock_contact": bool(opening.lock),
        "rex": bool(opening.rex) or opening.rex_aux_input == "auxiliary",
        "rex_feed": bool(opening.rex),
        "rex_leaf": bool(opening.rex),
        "reader": bool(opening.reader_in or opening.reader_out),
        "release": released,
        "release_leaf": released,
        "request": released,
        "fire": alarmed,
        "box": released or alarmed or dry,
    }
    column = {
        "lock2": "lock_count of 2", "lock_contact": "lock", "rex_feed": "rex", "rex_leaf": "rex", "release_leaf": "release",
        "reader": "reader_in or reader_out", "fire": "fire_relay", "request": "release",
        "box": "release, no fire_relay and no controller with a dry output",
    }  # fmt: skip
    if stated.get(name, True):
        return ""
    return f"expected a cable that opening {mark} has; it states no {column.get(name, name)}"


def _other_supply(opening: Opening, place: str, supplies: Mapping[str, Any]) -> str:
    fed_by = supplies.get(opening.supply)
    if fed_by is None or place in (fed_by.id, fed_by.closet):
        return ""
    return f"expected lock power from supply {fed_by.id}, which feeds opening {opening.mark}, not from {place}"


def _shown(run: Run) -> tuple[str, object]:
    return ("to_end", run.to_end) if run.length_m is None else ("length_m", f"{run.length_m:g}")


def _length(run: Run, record: RawRecord) -> str:
    cell = record.cells.get("length_m", record.values.get("length_m", run.length_m))
    return "no length" if run.length_m is None else shorten(cell)
