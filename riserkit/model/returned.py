"""What a crew brings back: the tables that it fills in, one record a row. Papers and workbooks are written, and read again, by these.

A row says first which thing it is about: cells that riserkit prints, and checks when the row comes back, so that a sheet
of an earlier revision is found out. The others, `FILLED`, are for the crew; a row with all of them empty states nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated, ClassVar, Final, Literal

from pydantic import BeforeValidator, Field, StringConstraints

from riserkit.model.base import (
    Amps,
    CableLength,
    EndName,
    Id,
    Mark,
    Ohms,
    Record,
    SmallLength,
    Text,
    VoltsRead,
    plain_text,
)
from riserkit.model.records import Date, Person, Required
from riserkit.model.tables import FieldFacts, fields_of_records, words_of_choice

NOT_LANDED: Final = "none"
"""In place of a terminal: the conductor lands nowhere there, and is cut back and insulated by itself."""


def _mac(value: object) -> object:
    text = plain_text(value)
    if not isinstance(text, str) or not text.strip():
        return text
    digits = "".join(ch for ch in text if ch not in ":-. ").upper()
    if len(digits) != 12 or not set(digits) <= set("0123456789ABCDEF"):
        raise ValueError("expected the twelve hexadecimal digits of a MAC address, such as 02:00:5E:10:00:0A")
    return ":".join(digits[k : k + 2] for k in range(0, 12, 2))


Mac = Annotated[str, BeforeValidator(_mac)]
Decibels = Annotated[float, Field(ge=-100, le=100)]
FileName = Annotated[
    str, BeforeValidator(plain_text), StringConstraints(pattern=r"^[^/\\:*?\"<>|]+\.[A-Za-z0-9]{1,5}$", max_length=160)
]


class Returned(Record):
    """Any row: who found it, when, and with which instrument where it was measured. `key` names what it is about.

    A row that leaves these empty takes them from the row of the table `crew` of the same file, or of the return.
    """

    FILLED: ClassVar[tuple[str, ...]] = ()
    KEY: ClassVar[tuple[str, ...]] = ()
    ADDS: ClassVar[bool] = False
    """A later row adds to an earlier one what it states; else it takes its place."""
    BESIDE: ClassVar[tuple[str, ...]] = ()
    """Columns that the schedule of the same lines prints beside these: what is expected is worked out anew, and not read."""

    by: Person
    date: Date
    instrument: Text = ""
    file: Text = ""
    """That it came back in; entered as it is read."""

    @classmethod
    def needed(cls) -> tuple[str, ...]:
        """Columns without which nobody can tell what a row is about."""
        return cls.KEY[:1]

    @property
    def key(self) -> tuple[str, ...]:
        """What it is about."""
        return tuple(str(getattr(self, name)) for name in self.KEY)

    @property
    def stated(self) -> dict[str, object]:
        """What it states: the filled columns that are not empty."""
        found = {name: getattr(self, name) for name in self.FILLED}
        return {name: value for name, value in found.items() if value not in ("", None)}


class ReturnedLength(Returned):
    """The length of a cable as pulled, by the marks on its jacket or by a tester; and its type where it is another."""

    FILLED = ("length_m", "used_cable_type")
    ADDS = True
    KEY = ("cable",)

    cable: EndName
    from_end: Text = ""
    to_end: Text = ""
    cable_type: Text = ""
    length_m: CableLength | None = None
    used_cable_type: Id = ""


class CableTest(Returned):
    """A field tester's result of one cable, in the fields that ANSI/TIA-1152 has testers report.

    `limit` is the limit tested to, in the tester's words. `loop_ohm` is the DC loop resistance of a pair, the highest of
    the four. `insertion_loss_margin_db` is the worst margin, negative where it fails. `result` with an asterisk is
    closer to the limit than the tester is accurate.
    """

    FILLED = ("limit", "wire_map", "length_m", "loop_ohm", "insertion_loss_margin_db", "result")
    KEY = ("cable",)

    cable: EndName
    limit: Text = ""
    wire_map: Literal["", "pass", "fail"] = ""
    length_m: CableLength | None = None
    loop_ohm: Ohms | None = None
    insertion_loss_margin_db: Decibels | None = None
    result: Literal["", "PASS", "PASS*", "FAIL*", "FAIL"] = ""


class ReturnedReading(Returned):
    """What the meter showed, or what was seen, for one line of a door's test sheet.

    `reading` is a number with or without the line's unit, `open` or `OL` for an ohmmeter's overflow, or `yes` and `no` for
    what is to be seen.
    """

    FILLED = ("reading",)
    KEY = ("opening", "what", "red_lead", "black_lead", "state")
    BESIDE = ("expected", "at_least", "at_most")

    opening: Mark
    no: Text = ""
    what: Required
    meter: Text = ""
    red_lead: Text = ""
    black_lead: Text = ""
    state: Text = ""
    unit: Text = ""
    reading: Text = ""

    @classmethod
    def needed(cls) -> tuple[str, ...]:
        """All that a line is known by: one lock is read in several states, between the same leads."""
        return cls.KEY


class ReturnedLanding(Returned):
    """Where a conductor was landed. `as_drawn` yes: as on the sheet; no: as the next three say.

    `no`, `cable`, `colour`, `from_terminal` and `to_terminal` are those of the conductor table (a spare conductor has a
    cable and a colour only; a lead that is on no drawing has none of them). `landed_from` and `landed_to` are
    terminals such as `K2.NO`, or `none` where the conductor lands nowhere; empty is as drawn. `landed_colour` is the colour
    really used, or the pair.
    """

    FILLED = ("as_drawn", "landed_from", "landed_to", "landed_colour")
    KEY = ("opening", "no", "cable", "colour", "from_terminal", "to_terminal")

    opening: Mark
    no: Text = ""
    cable: Text = ""
    colour: Text = ""
    from_terminal: Text = ""
    to_terminal: Text = ""
    as_drawn: bool | None = None
    landed_from: Text = ""
    landed_to: Text = ""
    landed_colour: Text = ""


class ReturnedDevice(Returned):
    """A device as fitted: its part where it is another, its serial number and MAC, and where it was put.

    `device` is its designation at the opening, such as `K1`. `fitted_height_m` is that of its centre above the finished
    floor, `fitted_side` the side of the opening, `fitted_place` the place in words.
    """

    ADDS = True
    FILLED = ("fitted_part", "serial", "mac", "fitted_height_m", "fitted_side", "fitted_place")
    KEY = ("opening", "device")

    opening: Mark
    device: Required
    title: Text = ""
    part: Text = ""
    fitted_part: Id = ""
    serial: Text = ""
    mac: Mac = ""
    fitted_height_m: SmallLength | None = None
    fitted_side: Literal["", "secured", "unsecured"] = ""
    fitted_place: Text = ""


class ReturnedPort(Returned):
    """Where the opening's PoE cable really goes: the closet, and the port by its label or by its number at its switch."""

    FILLED = ("used_closet", "used_port")
    KEY = ("opening",)

    opening: Mark
    cable: Text = ""
    closet: Text = ""
    port: Text = ""
    used_closet: Text = ""
    used_port: Text = ""


class ReturnedDoor(Returned):
    """Whether an opening is done; why not, or what is left, where it is not."""

    FILLED = ("done", "reason")
    KEY = ("opening",)

    opening: Mark
    name: Text = ""
    done: Literal["", "yes", "partly", "no"] = ""
    reason: Text = ""


class ReturnedPhoto(Returned):
    """A photograph, by its file's name, and what it shows."""

    FILLED = ("photo", "shows")
    KEY = ("opening", "photo")

    opening: Mark
    photo: FileName
    shows: Text = ""


class ReturnedEquipment(Returned):
    """A switch, a UPS or a supply in a closet as fitted, and what was measured at it.

    `output_v` is measured at a supply's terminals with the mains on, `on_battery_v` with the mains off, `output_a` with all
    its locks powered; `battery_v` at the battery with its charger off. `battery_made` is the date code on the battery.
    """

    ADDS = True
    FILLED = ("fitted_part", "serial", "mac", "output_v", "on_battery_v", "output_a", "battery_v", "battery_made")
    KEY = ("equipment",)

    equipment: Required
    title: Text = ""
    closet: Text = ""
    part: Text = ""
    fitted_part: Id = ""
    serial: Text = ""
    mac: Mac = ""
    output_v: VoltsRead | None = None
    on_battery_v: VoltsRead | None = None
    output_a: Amps | None = None
    battery_v: VoltsRead | None = None
    battery_made: Text = ""


class Crew(Returned):
    """Who filled in a file, when and with which instrument: holds for each row of the file that leaves these empty."""


@dataclass(frozen=True, slots=True)
class FieldTable:
    """One table to be filled in.

    Args:
        name: of the table, of its sheet in a workbook and of its file.
        title: a heading.
        instruction: one line for whoever fills it in.
        record: what its rows are read as.
    """

    name: str
    title: str
    instruction: str
    record: type[Returned]

    @property
    def columns(self) -> tuple[str, ...]:
        """All columns in their order: what the row is about, what is filled in, then who, when and with what."""
        own = [name for name in self.record.model_fields if name not in (*_WHO, "file")]
        return (*(n for n in own if n not in self.record.FILLED), *self.record.FILLED, *_WHO)

    @property
    def printed(self) -> tuple[str, ...]:
        """Columns that riserkit prints and nobody changes."""
        return tuple(n for n in self.columns if n not in self.record.FILLED and n not in _WHO)

    @property
    def fields(self) -> Mapping[str, FieldFacts]:
        """By column its kind; a quantity may stand in the other unit system under its header, as `length_ft`."""
        return fields_of_records((self.record,))

    def choices(self, column: str) -> tuple[str, ...]:
        """The words that a cell of this column may hold; empty where it may hold others."""
        if self.fields[column].kind == "yes-no":
            return ("yes", "no")
        return tuple(word for word in words_of_choice(self.record.model_fields[column].annotation) if word)


_WHO: Final = ("by", "date", "instrument")
HOLD_COLUMN: Final = "hold"
"""Last on a sheet that doors on HOLD are on: printed, and not read when the sheet comes back."""
TEST_SHEETS: Final = "test_sheets"
"""The schedule that has the lines of the table `readings`, with a column to fill in."""

FIELD_TABLES: Final[Mapping[str, FieldTable]] = MappingProxyType(
    {
        table.name: table
        for table in (
            FieldTable("crew", "Crew", "One row: holds for every row of this file that leaves by, date or instrument empty.", Crew),
            FieldTable("doors", "Doors", "Done: yes, partly or no; state the reason where it is not yes.", ReturnedDoor),
            FieldTable("landings", "Landings", "As drawn: yes or no. Where no, state the terminal or colour really used; "
                       "none where the conductor is cut back and insulated.", ReturnedLanding),
            FieldTable("readings", "Readings", "Write what the meter shows, open for no continuity, yes or no for what is seen.",
                       ReturnedReading),
            FieldTable("lengths", "Measured lengths", "Length as pulled, by the jacket's marks or a tester, without cords.",
                       ReturnedLength),
            FieldTable("cable_tests", "Cable tests", "As the field tester reports it (ANSI/TIA-1152); one row a cable.", CableTest),
            FieldTable("devices", "Devices", "State the part where another was fitted; serial and MAC from the device; height of "
                       "the centre above the finished floor.", ReturnedDevice),
            FieldTable("equipment", "Switches, UPSes, supplies", "State the part where another supply was fitted; serial and MAC "
                       "from the label; volts and amperes as measured; the battery's date code.", ReturnedEquipment),
            FieldTable("ports", "Ports and closets", "State closet and port only where the cable goes to others.", ReturnedPort),
            FieldTable("photos", "Photographs", "File name of each photograph and what it shows; keep the files by that name.",
                       ReturnedPhoto),
        )
    }
)  # fmt: skip
"""Every table that a crew fills in, by name, in the order of a workbook's sheets."""
