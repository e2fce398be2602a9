"""The rule `lock-voltage`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.parts import Lock
from riserkit.quantities.alternating import ac_in_title, ac_words
from riserkit.quantities.printed import format_at_least, format_at_most, format_pair, format_value
from riserkit.rules._shared.base import Measure, Subject, follows, measured, not_evaluated, within
from riserkit.rules._shared.circuits import over_limit
from riserkit.rules._shared.lookups import after_wiring, lock_of, sentence, unsolved
from riserkit.rules._shared.said import said_by
from riserkit.rules.lock_feed import lock_feed
from riserkit.standards import copper
from riserkit.wiring.devices import feed_of_node

_DC: Final = (
    "Disconnect any AC transformer from the lock; give it DC alone. State rated_v, hold_a and tolerances of {lock} for DC, or"
    " another lock; then reword, or accept the finding with the lock's data for DC."
)

_TWO_VOLTAGES: Final = re.compile(
    r"\b12 ?(?:V(?:DC)? ?)?(?:/|or|and|oder|ou|o) ?24 ?V?(?:DC)?\b|\b24 ?(?:V(?:DC)? ?)?/ ?12 ?V?(?:DC)?\b|\bdual[- ]voltage\b",
    re.IGNORECASE,
)
"""Two coils, or one with a link, set on site; what takes any voltage from 12 to 24 is written otherwise."""
_SET: Final = re.compile(r"\b(?:set|strapped|linked|jumpered|wired) (?:to|for|at)\b", re.IGNORECASE)
_SET_TO: Final = (
    "State rated_v, hold_a and pull_in_a of {lock} as it is set, and put that in its title, which sheets show: set to {rated}. Where"
    " nothing is to be set, accept the finding."
)


class LockVoltage:
    """The voltage at the lock stays within the lock's tolerance, with a spent battery and with a full one.

    Why:
        Too little, and the strike hums without releasing or the magnet holds half its force; both conductors of the
        cable count, and copper above a ceiling is warm. Too much, as from a 24 V battery floating at 27.4 V, and the
        coil ages by heat.
    Measures:
        At the lock while energised: the least voltage, from the lowest source over the hottest conductor at the
        highest current; and the greatest, from the highest source over the coldest conductor at the lowest current.
        Both are solved on the door's own netlist. Where the title of the lock or of its supply, or name or remarks of the
        opening, speak of AC, its data for DC is asked for; where the lock's title names two voltages, how it is set.
    Limit:
        The lock's rated voltage less its lower tolerance, and more its upper tolerance. A lock with a supply of its
        own is not measured: its leads belong to that supply.
    Remedy:
        The next gauge and the voltage with it, the longest lock cable, or the supply's voltage that would do.
    Source:
        Copper's resistance and temperature coefficient: NBS Handbook 100, NEC chapter 9 table 8 (verified). The
        tolerance is the lock's own data; that its source is lowest and its conductor hottest together is common
        practice.
    """

    name: ClassVar[str] = "lock-voltage"
    source: ClassVar[str] = f"{copper.NEC_TABLE_8.cite()}; tolerance: the lock's data"
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Two findings for each opening whose lock is fed at the door, or one that says why not."""
        for door in design.doors:
            lock = lock_of(design, door)
            if lock is None or not lock.own_supply:
                yield from self._door(design, door, lock)
                yield from self._alternating(design, door, lock)

    def _alternating(self, design: Design, door: DoorDesign, lock: Lock | None) -> Iterator[Finding]:
        if lock is None:
            return
        where, words = _says_ac(design, door, lock)
        if words:
            message = (
                f"{where} {words!r}; {lock.id} is wired to DC. A diode across a lock that AC still feeds is a short circuit, and"
                " a coil takes another current at DC."
            )
            yield not_evaluated(self, door.subject, message, _DC.format(lock=lock.id), about="AC")
        said = _TWO_VOLTAGES.search(lock.title)
        if said and lock.rated_v is not None and not _SET.search(lock.title):
            rated = format_value(lock.rated_v, "V")
            message = f"The title of {lock.id} says {said[0]!r}; it is wired and judged for {rated}, and no sheet says how it is set."
            remedy = _SET_TO.format(lock=lock.id, rated=rated)
            yield not_evaluated(self, door.subject, message, remedy, about="setting")

    def _door(self, design: Design, door: DoorDesign, lock: Lock | None) -> Iterator[Finding]:
        subject = door.subject
        volts = door.wiring.voltages
        if lock is None:
            yield not_evaluated(self, subject, "No lock is stated.", "State the opening's lock.")
            return
        lacks = [name for name in ("rated_v", "tolerance_low", "tolerance_high") if getattr(lock, name) is None]
        if lacks:
            yield not_evaluated(
                self,
                subject,
                f"Lock {lock.id} does not state {', '.join(lacks)}.",
                f"State {', '.join(lacks)} of {lock.id}.",
            )
        if volts.lock_low_v is None or volts.lock_high_v is None:
            if why := unsolved(door):
                yield follows(self, subject, f"The voltage is unknown: {why}.")
            else:
                text = "The voltage is unknown: its circuit yields no lock voltage."
                yield not_evaluated(self, subject, text, "State what its parts lack; see missing-data.")
            return
        drawn = door.wiring.drawn
        circuit = door.wiring.circuit if drawn and drawn.failed else None
        feed = feed_of_node(circuit.netlist, f"{circuit.locks[0]}.+") if circuit and circuit.locks else None
        if circuit and feed and over_limit(door, circuit, feed.source):
            text = f"The voltage is not computed: {feed.terminal} is overloaded."
            yield follows(self, subject, text)
            return
        yield from self._low(design, door, lock, subject, volts.lock_low_v)
        yield from self._high(door, lock, subject, volts.lock_high_v)

    def _low(self, design: Design, door: DoorDesign, lock: Lock, subject: Subject, low_v: float) -> Iterator[Finding]:
        if lock.rated_v is None or lock.tolerance_low is None:
            return
        limit_v = lock.rated_v * (1 - lock.tolerance_low)
        shown, limit = format_pair(low_v, limit_v, "V")
        yield after_wiring(door, measured(
            self, subject, Measure(low_v, limit_v, "V", at_most=False),
            message=f"Lowest voltage at the lock {shown}; it operates from {limit} (rated {lock.rated_v:g} V).",
            remedy=lambda: _low_remedy(design, door, limit_v, low_v), about="lowest voltage",
        ))  # fmt: skip

    def _high(self, door: DoorDesign, lock: Lock, subject: Subject, high_v: float) -> Iterator[Finding]:
        if lock.rated_v is None or lock.tolerance_high is None:
            return
        limit_v = lock.rated_v * (1 + lock.tolerance_high)
        shown, limit = format_pair(high_v, limit_v, "V")
        most, over, least = (
            format_at_most(limit_v, "V"),
            format_at_least(high_v - limit_v, "V"),
            format_at_least(high_v, "V"),
        )
        ways = f"A supply that gives at most {most}, {over} less, or a lock rated to {least}."
        yield after_wiring(door, measured(
            self, subject, Measure(high_v, limit_v, "V"),
            message=f"Highest voltage at the lock {shown}; it is rated to {limit} (rated {lock.rated_v:g} V).",
            remedy=ways,
            about="highest voltage",
        ))  # fmt: skip


def _low_remedy(design: Design, door: DoorDesign, limit_v: float, low_v: float) -> str:
    feed = lock_feed(design, door)
    short = format_at_least(limit_v - low_v, "V")
    if feed is None:
        return f"Raise the voltage at the lock by {short}: thicker conductors, or a closer supply."
    ways = []
    better = next(((gauge, v) for gauge, v in feed.thicker() if within(v, limit_v, at_most=False)), None)
    if better is not None:
        ways.append(f"{better[0]} instead of {feed.gauge}: {format_at_most(better[1], 'V')}")
    longest_m = feed.longest_m(limit_v)
    if longest_m > 0:
        longest = format_at_most(longest_m, "m", design.site.info.unit_system)
        what = "a lock cable" if feed.cables[0].role == "lock" else "a feed from the supply"
        ways.append(f"{what} of at most {longest} of {feed.gauge}")
    if not ways:
        ways.append(
            f"a source with {format_at_least(limit_v - low_v, 'V')} more at its lowest; no cable size is enough"
        )
    return sentence(ways)


def _says_ac(design: Design, door: DoorDesign, lock: Lock) -> tuple[str, str]:
    """What speaks of AC, with its verb, and the words; both empty where it is nowhere. Mains of a supply are not meant."""
    if words := ac_in_title(lock.title):
        return f"The title of {lock.id} says", words
    supply = design.site.supply.get(door.wiring.drawn.supply_id) if door.wiring.drawn is not None else None
    part = design.site.part.get(supply.part) if supply is not None else None
    if part is not None and (words := ac_words(part.title)):
        return f"The title of {part.id} says", words
    return said_by(door.opening, ac_words)
