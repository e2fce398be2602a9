"""What the installer measures at a door before it goes into service, as a table on its sheet."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import zip_longest
from typing import Final

from riserkit.drawings.setting.table import Table, TableColumn
from riserkit.wiring.readings.expected import Reading, printed_band

METER_CAUTIONS: Final = (
    "Meter readings prove the wiring, not the door: life-safety functions are verified on site, people and free egress first.",
    "Resistance and diode tests only with power off, batteries off too; a relay contact tested energised has its lock wire "
    "off. Land every wire again. Mains is for licensed electricians.",
)
_UNITS: Final = {"ohm": "ohm", "V": "V", "W": "W", "s": "s"}


@dataclass(frozen=True, slots=True)
class DoorTest:
    """One opening's test: its readings in the order they are taken, and what to know of them.

    `taken` is what came back for each of them, empty where nothing did; none where the site is worked out as designed.
    """

    readings: tuple[Reading, ...] = ()
    notes: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()


NO_TEST: Final = DoorTest()


def readings_table(test: DoorTest) -> Table:
    """Every reading in a row, with room to write what the meter showed."""
    rows = tuple(
        (str(n), reading.what, reading.meter, _leads(reading), reading.state, expected_text(reading), taken)
        for n, (reading, taken) in enumerate(zip_longest(test.readings, test.taken, fillvalue=""), 1)
        if isinstance(reading, Reading)
    )
    columns = (
        TableColumn("No."), TableColumn("Measure", max_width_mm=46), TableColumn("Meter", max_width_mm=34),
        TableColumn("Red, black lead", max_width_mm=46), TableColumn("State", max_width_mm=70),
        TableColumn("Expected", max_width_mm=46), TableColumn("Reading", max_width_mm=26),
    )  # fmt: skip
    return Table("Expected readings", columns, rows)


def _leads(reading: Reading) -> str:
    return ", ".join(filter(None, (reading.plus, reading.minus)))


def expected_text(reading: Reading) -> str:
    """In words, or the nominal value with the band that passes."""
    if reading.words or reading.expected is None:
        return reading.words
    low, high = printed_band(reading)
    unit = _UNITS.get(reading.unit, "")
    nominal = f"{round(reading.expected, 2) + 0.0:g}"
    if low is None and high is None:
        return f"{nominal} {unit}".rstrip()
    if low is None or high is None:
        band = f"at least {low:g}" if high is None else f"at most {high:g}"
        return f"{nominal} ({band}) {unit}".rstrip()
    return f"{nominal} {unit}".rstrip() if low == high else f"{nominal} ({low:g} to {high:g}) {unit}".rstrip()
