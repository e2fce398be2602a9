"""What came back of a test sheet, held against what the meter should have shown; and which single fault would show it so."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.circuits.errors import FAILURES
from riserkit.circuits.faulted import faulted
from riserkit.circuits.faults import Fault, FaultKind, single_faults
from riserkit.circuits.miswirings import miswired
from riserkit.circuits.netlist import Netlist
from riserkit.model.returned import ReturnedReading
from riserkit.quantities.stated import parse_quantity
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.expected import CLOSED_OHM, Reading, measured_readings, printed_band
from riserkit.wiring.readings.meter import DIODE, OHMS, measure
from riserkit.wiring.readings.questions import MeterQuestion, questions
from riserkit.wiring.readings.shown import likely_miswirings
from riserkit.wiring.readings.signals import Signals
from riserkit.wiring.readings.wired import in_words, without_message

SEEN: Final = "yes or no"
_OPEN_WORDS: Final = frozenset({"open", "ol", "o.l.", "0l", "inf", "infinite", "∞"})
_SEEN_WORDS: Final[Mapping[str, bool]] = {"yes": True, "ok": True, "pass": True, "no": False, "fail": False}
_MOST_NAMED: Final = 3


@dataclass(frozen=True, slots=True)
class JudgedReading:
    """A reading that came back.

    Args:
        row: as it came back.
        line: the line of the test sheet.
        value: in the line's unit; infinite for an open circuit; True or False for what is seen.
        good: whether it is in range; None where there is nothing to hold it against.
        beyond: by how much it is out of range, in the line's unit; None where that is no number.
        explained: what would show it so; empty where it is in range, or nothing tried would.
    """

    row: ReturnedReading
    line: Reading
    value: float | bool
    good: bool | None
    beyond: float | None = None
    explained: str = ""


def is_metered(line: Reading) -> bool:
    """Whether a line is of a meter with two leads."""
    return bool(line.minus)


def is_seen(line: Reading) -> bool:
    """Whether a line is of a thing to be seen, and of no number."""
    return not line.minus and line.unit in ("", "V")


def line_of(lines: Iterable[Reading], row: ReturnedReading) -> Reading | None:
    """The line of a test sheet that a row is about; None where there is none, or more than one."""
    # Where there is one place only it may have another name as built, as the label of a port has.
    asked = (row.what, row.red_lead if row.black_lead else "", row.black_lead, row.state)
    found = [ln for ln in lines if (ln.what, ln.plus if ln.minus else "", ln.minus, ln.state) == asked]
    return found[0] if len(found) == 1 else None


def reading_value(line: Reading, text: str) -> float | bool | None:
    """What was written for a line, in its unit; None where it is no such value.

    Examples:
        >>> ohms = Reading("lock M1", "ohms", "K1.L+", "M1.+", "power off", 0.3, 0.1, 0.8, "ohm")
        >>> reading_value(ohms, "OL"), reading_value(ohms, "0.4 ohm"), reading_value(ohms, "fine")
        (inf, 0.4, None)
    """
    said = text.strip().casefold()
    if is_seen(line):
        return True if line.words and said == line.words.casefold() else _SEEN_WORDS.get(said)
    if line.meter in (OHMS, DIODE) and said in _OPEN_WORDS:
        return math.inf
    if line.meter == OHMS and said == "closed":
        return 0.0
    suffix = {"ohm": "ohm", "V": "v", "s": "s", "W": "w"}.get(line.unit, "")
    try:
        return parse_quantity(text, suffix) if suffix else float(text)
    except ValueError:
        return None


def judged(line: Reading, value: float | bool) -> tuple[bool | None, float | None]:
    """Whether a reading is in range, and by how much it is not."""
    if isinstance(value, bool):
        return value, None
    if not line.computed:
        return None, None
    if line.words == "open":
        return math.isinf(value), None
    low, high = (0.0, CLOSED_OHM) if line.words == "closed" else printed_band(line)
    if low is None and high is None:
        return None, None
    if math.isinf(value):
        return False, None
    beyond = max(0.0, (low - value) if low is not None else 0.0, (value - high) if high is not None else 0.0)
    return beyond <= 1e-9, beyond if beyond > 1e-9 else None


def judge_returned(
    lines: Sequence[Reading], rows: Sequence[ReturnedReading], explain: Explainer | None = None
) -> tuple[JudgedReading, ...]:
    """Every row of an opening that has a line, judged.

    Args:
        lines: of the test sheet.
        rows: as they came back.
        explain: says what would show readings so; None where there is no circuit to try.
    """
    found = []
    for row in rows:
        line = line_of(lines, row)
        value = reading_value(line, row.reading) if line is not None else None
        if line is not None and value is not None:
            found.append(JudgedReading(row, line, value, *judged(line, value)))
    out = [one for one in found if one.good is False and is_metered(one.line)]
    if explain is None or not out:
        return tuple(found)
    words = explain.words(found, out)
    return tuple(replace(one, explained=words.get(id(one), "")) for one in found)


@dataclass(frozen=True)
class Explainer:
    """Tries every single fault and every likely miswiring of a door on its readings.

    Args:
        circuit: as drawn.
        at: coldest and hottest conductor.
        as_landed: its netlist with the landings that came back; None where all is as drawn.
    """

    circuit: DoorCircuit
    at: Temperatures
    as_landed: Netlist | None = None

    def words(self, every: Sequence[JudgedReading], out: Sequence[JudgedReading]) -> Mapping[int, str]:
        """By identity of each reading out of range what explains it."""
        measured = [one for one in every if is_metered(one.line)]
        asked = {id(one): question for one in measured if (question := self._question(one)) is not None}
        said: dict[int, str] = {}
        if self.as_landed is not None:
            fits = self._fits(self.as_landed, measured, asked)
            said = dict.fromkeys(fits, "the landings that came back give this")
        left = [one for one in out if id(one) not in said and id(one) in asked]
        if not left:
            return said
        held = {name: self._fits(netlist, measured, asked) for name, netlist in self._tried()}
        whole = [name for name, fits in held.items() if all(id(one) in fits for one in measured if id(one) in asked)]
        for one in left:
            alone = [name for name, fits in held.items() if id(one) in fits]
            said[id(one)] = _named(whole, "fits every reading of the door") or _named(
                alone, "fits this reading, not the others"
            )
        return said

    def _question(self, one: JudgedReading) -> MeterQuestion | None:
        asked = (one.line.what, one.line.plus, one.line.minus, one.line.state)
        return next((q for q in questions(self.circuit) if (q.what, *q.leads, q.state) == asked), None)

    def _tried(self) -> Iterator[tuple[str, Netlist]]:
        """Every single fault, then every miswiring that is no fault, with a name for each."""
        netlist = self.circuit.netlist
        signals = Signals(netlist)
        for fault in single_faults(netlist):
            yield fault_in_words(netlist, fault), faulted(netlist, fault)
        for miswiring in likely_miswirings(self.circuit):
            wrong = miswired(netlist, miswiring)
            yield in_words(netlist, miswiring), without_message(wrong, signals.lost(wrong))

    def _fits(
        self, netlist: Netlist, every: Sequence[JudgedReading], asked: Mapping[int, MeterQuestion]
    ) -> frozenset[int]:
        """The readings that this netlist would show so."""
        of = [one for one in every if id(one) in asked]
        put = [asked[id(one)] for one in of]
        try:
            shown = measure([netlist], [question.asked for question in put], self.at)
        except FAILURES:
            return frozenset()
        lines = measured_readings(put, shown, 0)
        return frozenset(id(one) for one, line in zip(of, lines, strict=True) if judged(line, one.value)[0])


def fault_in_words(netlist: Netlist, fault: Fault) -> str:
    """A fault as a foreman says it."""
    ends = {c.ref: f"{c.a} to {c.b}" for c in netlist.conductors}
    named = [ends.get(subject, subject) for subject in fault.subjects]
    match fault.kind:
        case FaultKind.CONDUCTOR_OPEN:
            return f"wire {named[0]} open"
        case FaultKind.CONDUCTORS_SHORTED:
            return f"wires {named[0]} and {named[-1]} shorted"
        case FaultKind.CONDUCTOR_EARTHED:
            return f"wire {named[0]} to earth"
        case FaultKind.SUPPLY_DEAD:
            return f"supply {fault.subjects[0].partition('.')[0]} dead"
    a, b = netlist.ends(fault.subjects[0])
    return f"contact {a} to {b} {'welded' if fault.kind is FaultKind.CONTACT_WELDED else 'fails open'}"


def _named(names: Sequence[str], what: str) -> str:
    """Names of what explains a reading, a fault that is also a miswiring once."""
    once = tuple(dict.fromkeys(name.replace(" not connected", " open") for name in names))
    if not once:
        return ""
    more = f"; and {len(once) - _MOST_NAMED} more" if len(once) > _MOST_NAMED else ""
    return f"{once[0]} {what}" if len(once) == 1 else f"each of these {what}: {'; '.join(once[:_MOST_NAMED])}{more}"
