"""What came back of a test sheet, held against what the meter should have shown."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.model.returned import ReturnedReading
from riserkit.quantities.stated import parse_quantity
from riserkit.wiring.readings.expected import CLOSED_OHM, Reading, printed_band
from riserkit.wiring.readings.meter import DIODE, OHMS

SEEN: Final = "yes or no"
_OPEN_WORDS: Final = frozenset({"open", "ol", "o.l.", "0l", "inf", "infinite", "∞"})
_SEEN_WORDS: Final[Mapping[str, bool]] = {"yes": True, "ok": True, "pass": True, "no": False, "fail": False}


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


Explain = Callable[[Sequence[JudgedReading]], Mapping[Reading, str]]
"""By line of the test sheet what would show it so, of the readings of a meter that came back."""


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
    lines: Sequence[Reading], rows: Sequence[ReturnedReading], explain: Explain | None = None
) -> tuple[JudgedReading, ...]:
    """Every row of an opening that has a line, judged.

    Args:
        lines: of the test sheet.
        rows: as they came back.
        explain: says of those that are out what would show them so; None where there is no circuit to try.
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
    words = explain([one for one in found if is_metered(one.line)])
    return tuple(replace(one, explained=words.get(one.line, "") if one in out else "") for one in found)
