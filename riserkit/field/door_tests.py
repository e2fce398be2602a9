"""What is tested at a door before it is put in service: readings with their ranges, functions, and what lets people out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.design import DoorDesign
from riserkit.drawings.door.readings import METER_CAUTIONS, NO_TEST, expected_text
from riserkit.field.about import FieldWork
from riserkit.field.blocks import PaperBlock, PaperHeading, Paragraph
from riserkit.field.table import WorkColumn, WorkTable
from riserkit.model.opening import EgressRole
from riserkit.proofs.book import Unproven
from riserkit.standards.egress import MANUAL_RELEASE_HOLD_MIN_S, MANUAL_RELEASE_SIGN
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
    yield from (Paragraph(text, ticked=True) for text in life_safety_tests(door))


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
    rows = tuple((", ".join(row.state), row.lock_state, "") for row in table)
    columns = (
        WorkColumn("State", leads=True, max_mm=110), WorkColumn("Lock"), WorkColumn("As expected", "tick", max_mm=28),
    )  # fmt: skip
    return WorkTable("Lock in each state", columns, rows)


def life_safety_tests(door: DoorDesign) -> Iterator[str]:
    """What is tried by hand at an opening, from what is stated of it."""
    opening = door.opening
    if opening.egress is None:
        yield "Egress is not stated for this opening: ask before the door is put in service."
    elif opening.egress is not EgressRole.NONE:
        yield "People get out from inside without key, card or code: with power on, and with the PoE cable unplugged."
    if opening.release:
        seconds = f"{MANUAL_RELEASE_HOLD_MIN_S.value:g} s"
        yield (
            f"Manual release: pressed once, with the controller locking, the door opens at once and stays free for {seconds} or "
            f'more by the stopwatch; its sign reads "{MANUAL_RELEASE_SIGN}".'
        )
    if opening.delay_s is not None:
        yield f"Delayed egress: the door releases {opening.delay_s:g} s after it is pushed, by the stopwatch; its sign says so."
    if opening.fire_alarm_release or opening.fire_relay:
        yield "Fire alarm, set off by its licensed people: the door releases, and stays released until the alarm is reset."
    if opening.fire_rating_min:
        yield "Fire-rated: the door closes and latches by itself from any position; with power off too."
    yield "Door closed and locked again after every test; nobody gets in from the unsecured side without a credential."
