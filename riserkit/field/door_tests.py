"""What is tested at a door before it is put in service: readings with their ranges, functions, and what lets people out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.design import DoorDesign
from riserkit.drawings.door.readings import METER_CAUTIONS, NO_TEST, expected_text
from riserkit.field.about import FieldWork
from riserkit.field.blocks import PaperBlock, PaperHeading, Paragraph
from riserkit.field.life_safety import life_safety_tests
from riserkit.field.table import WorkColumn, WorkTable
from riserkit.model.parts import is_in_leaf
from riserkit.proofs.asked import ibc_edition
from riserkit.proofs.book import Unproven
from riserkit.proofs.sentences import lock_state_words
from riserkit.wiring.readings.expected import Reading

_SEEN: Final = frozenset({"", "s"})
"""Units of what is seen or timed, not measured with a meter."""
_UNITS: Final = {"class": ""}


def tests_of(work: FieldWork, door: DoorDesign) -> Iterator[PaperBlock]:
    """Readings, function tests and life-safety tests of a door. Numbers are those of the test sheet."""
    test = work.tests.get(door.mark, NO_TEST)
    numbered = list(enumerate(test.readings, 1))
    yield PaperHeading("Before power")
    yield Paragraph("Every wire tugged, every colour looked at, no bare strand outside a terminal.", ticked=True)
    yield from (Paragraph(text) for text in (*test.notes, *METER_CAUTIONS))
    yield _readings([(n, r) for n, r in numbered if r.unit not in _SEEN])
    yield _functions([(n, r) for n, r in numbered if r.unit in _SEEN])
    yield _states(door)
    yield PaperHeading("Life safety, by hand, before the door is used")
    edition = ibc_edition(work.design.site.info.building_code)
    on_wall = not is_in_leaf(work.design.site.part.get(door.opening.release))
    tests = life_safety_tests(door.opening, edition, on_wall=on_wall)
    yield from (Paragraph(text, ticked=True) for text in tests)


def _readings(readings: list[tuple[int, Reading]]) -> WorkTable:
    rows = tuple(
        (f"{n}", r.what, r.meter, _leads(r), r.state, expected_text(r), _UNITS.get(r.unit, r.unit), "")
        for n, r in readings
    )
    columns = (
        WorkColumn("No.", leads=True), WorkColumn("Measure", leads=True, max_mm=34), WorkColumn("Meter", max_mm=26),
        WorkColumn("Leads", max_mm=26), WorkColumn("First", max_mm=40), WorkColumn("Expected (range)", max_mm=36),
        WorkColumn("Reading", "blank"), WorkColumn("In", "tick"),
    )  # fmt: skip
    return WorkTable("Expected readings", columns, rows)


def _leads(reading: Reading) -> str:
    if not reading.minus:
        return reading.plus
    return f"red {reading.plus}\nblack {reading.minus}"


def _functions(readings: list[tuple[int, Reading]]) -> WorkTable:
    rows = tuple((f"{n}", r.what, r.plus, r.state, expected_text(r), r.unit, "") for n, r in readings)
    columns = (
        WorkColumn("No.", leads=True), WorkColumn("Test", leads=True, max_mm=44), WorkColumn("At", max_mm=24),
        WorkColumn("First", max_mm=50), WorkColumn("Expected", max_mm=34), WorkColumn("Seen", "blank"),
        WorkColumn("As expected", "tick", max_mm=20),
    )  # fmt: skip
    return WorkTable("Function tests", columns, rows)


def _states(door: DoorDesign) -> WorkTable:
    """The lock in each state, as the fault analysis has it for the healthy circuit."""
    proof = door.proof
    table = () if isinstance(proof, Unproven) else proof.topology.table
    rows = tuple((", ".join(row.state), lock_state_words(row, door.opening), "") for row in table)
    columns = (
        WorkColumn("State", leads=True, max_mm=110), WorkColumn("Lock"), WorkColumn("As expected", "tick", max_mm=28),
    )  # fmt: skip
    return WorkTable("Lock in each state", columns, rows)
