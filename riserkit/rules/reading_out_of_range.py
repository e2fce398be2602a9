"""The rule `reading-out-of-range`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.as_built.equipment import ALONE, SupplyLine, measured_lines
from riserkit.as_built.lines import judged_readings, readings_not_as_landed
from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.returned import ReturnedEquipment
from riserkit.quantities.printed import format_value, upper_first
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, measured, not_evaluated, stated
from riserkit.wiring.readings.expected import printed_band
from riserkit.wiring.readings.judged import JudgedReading

_SETTING: Final = "Correct the supply or its setting, measure again and return it."
_CORRECT: Final = {
    ALONE: "Look for a block that is spent, missing or wired in parallel instead of in series; replace the battery, charge it,"
    " measure again and return it."
}


class ReadingOutOfRange:
    """Each reading that came back is what the circuit as drawn shows.

    Why:
        A circuit that does not show what it should is not the circuit that was checked: whether people get out of it is
        then not known.
    Measures:
        Each reading against the range of its line of the test sheet, worked out with the lengths and parts as built; where
        conductors came back landed otherwise, against what they then give, too. For one
        that is out, every single fault and every likely miswiring is tried on all readings of the door. What was measured at a
        supply in a closet against the range of its part. Only on a site worked out as built.
    Limit:
        The range as printed.
    Remedy:
        The fault that explains it, where one does; else what to measure.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "reading-out-of-range"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each reading that is out or cannot be judged; one pass for a door whose readings are all in range."""
        if design.site.as_built is None:
            return
        for door in design.doors:
            judged = judged_readings(design, door)
            bad = [one for one in judged if one.good is not True]
            yield from (self._reading(door, one) for one in bad)
            rows = len(design.site.as_built.readings_of.get(door.mark, ()))
            if rows > len(judged):
                yield not_evaluated(
                    self, door.subject,
                    f"{rows - len(judged)} of {rows} readings that came back have no line on the test sheet of the circuit as built.",
                    "Take these readings again with the test sheet of now.", about="no line",
                )  # fmt: skip
            against = readings_not_as_landed(design, door) if judged else ()
            if against:
                yield self._against_landings(door, against)
            if judged and not bad and not against:
                yield stated(self, door.subject, True, f"All {len(judged)} readings that came back are in range.")
        for row in design.site.as_built.equipment:
            yield from (self._supply(design, row, line, value) for line, value in measured_lines(design, row))

    def _against_landings(self, door: DoorDesign, against: tuple[JudgedReading, ...]) -> Finding:
        """Readings of the circuit as drawn at a door that came back landed otherwise: one of the two is not so."""
        row = against[0].row
        one = f"{row.what}: {row.red_lead} {row.black_lead}, {row.state}: {row.reading} ({row.by}, {row.date.isoformat()})"
        count = f"{len(against)} readings" if len(against) > 1 else "1 reading"
        return not_evaluated(
            self, door.subject,
            f"The landings that came back cannot give {count} that came back in range, such as {one}.",
            "Look at the landings again: either they are as drawn, or these readings were not taken. Return what is so.",
            about="landings",
        )  # fmt: skip

    def _supply(self, design: Design, row: ReturnedEquipment, line: SupplyLine, value: float) -> Finding:
        kind = "supply" if row.equipment in design.site.supply else "ups"
        subject, who = (
            (kind, row.equipment),
            ", ".join(filter(None, (row.by, row.date.isoformat(), row.instrument))),
        )
        said = f"{line.what}: {value:g} {line.unit} ({who})"
        is_in = line.is_in(value)
        if is_in is None:
            remedy = "State the values that the part lacks, see missing-data; then it is judged."
            return not_evaluated(self, subject, f"{said}; nothing to judge it by.", remedy, about=line.what)
        limit = line.high if line.high is not None and value > line.high else line.low
        return measured(
            self, subject, Measure(value, limit if limit is not None else value, line.unit, at_most=limit == line.high),
            f"{said}; expected {_range(line.low, line.high, line.unit)}.",
            remedy="" if is_in else _CORRECT.get(line.what, _SETTING), about=line.what,
        )  # fmt: skip

    def _reading(self, door: DoorDesign, one: JudgedReading) -> Finding:
        row, line = one.row, one.line
        about = f"{row.what}: {line.plus} {line.minus}, {row.state}".replace(" ,", ",")
        who = ", ".join(filter(None, (row.by, row.date.isoformat(), row.instrument)))
        said = f"{about}: {row.reading} ({who})"
        subject = door.subject
        if one.good is None:
            remedy = "State the values that the line lacks, see missing-data; then it is judged."
            return not_evaluated(self, subject, f"{said}; nothing to judge it by.", remedy, about=about)
        explained = f" {upper_first(one.explained)}." if one.explained else ""
        remedy = (
            "Correct that, take the readings again and return them."
            if explained
            else "No single fault or miswiring explains it: take it again, then look for two faults at once."
        )
        if one.beyond is None or isinstance(one.value, bool):
            return stated(
                self, subject, False, f"{said}; expected {_expected(one)}.{explained}", remedy=remedy, about=about
            )
        low, high = printed_band(line)
        limit = high if high is not None and one.value > high else low if low is not None else 1.0
        if line.words == "closed":
            limit = 1.0
        beyond = format_value(one.beyond, line.unit)
        return measured(
            self, subject, Measure(float(one.value), limit, line.unit, at_most=float(one.value) > limit),
            f"{said}; expected {_expected(one)}, out by {beyond}.{explained}", remedy=remedy, about=about,
        )  # fmt: skip


def _expected(one: JudgedReading) -> str:
    line = one.line
    if line.words:
        return line.words
    return _range(*printed_band(line), line.unit)


def _range(low: float | None, high: float | None, unit: str) -> str:
    if low is None:
        return f"at most {high:g} {unit}"
    return f"at least {low:g} {unit}" if high is None else f"{low:g} to {high:g} {unit}"
