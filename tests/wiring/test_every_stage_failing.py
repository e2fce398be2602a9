"""Whatever goes wrong in a stage at one door is told of that door, and every other door comes out as ever."""

from __future__ import annotations

import pytest

from riserkit.checked import Checked
from riserkit.drawings.dxf.canvas import DrawingInfo
from riserkit.drawings.set.failed import drawn_or_held
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.findings import Severity, Verdict
from riserkit.proofs import book
from riserkit.proofs import prove as proving
from riserkit.proofs.book import Unproven
from riserkit.proofs.sentences import proof_line
from riserkit.reports import test_sheet
from riserkit.reports.test_sheet import site_test_table
from riserkit.rules._shared.evaluate import check
from riserkit.rules._shared.shipped import SHIPPED_RULES
from riserkit.wiring.choose import choose as choosing
from riserkit.wiring.readings import expected

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "rex": "rex-motion"}
MAGNET = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "rex-motion"}
ERRORS = (
    TypeError("'NoneType' has no length"),
    AttributeError("no attribute"),
    RuntimeError("went wrong"),
    KeyError("K9"),
)


def is_of_magnet(netlist) -> bool:
    return any(c.part == "magnet-12-300" for c in netlist.components)


def at_the_magnet(real, error, netlist_of):
    """The function, raising where it is called for the door with the magnet."""

    def work(*args, **options):
        if is_of_magnet(netlist_of(args)):
            raise error
        return real(*args, **options)

    return work


@pytest.mark.parametrize(
    ("stage", "error"),
    [(stage, ERRORS[0]) for stage in ("properties_of", "unlocking_faults", "truth_table")]
    + [("tamper", e) for e in ERRORS],
    ids=lambda one: one if isinstance(one, str) else type(one).__name__,
)
def test_a_proof_that_breaks_off_is_an_error_at_its_door(site_of, monkeypatch, stage, error):
    plain = site_of(STRIKE, MAGNET).doors[0].proof
    broken = at_the_magnet(getattr(proving, stage), error, lambda args: args[0].circuit.netlist)
    monkeypatch.setattr(proving, stage, broken)
    made = site_of(STRIKE, MAGNET)
    good, bad = made.doors
    assert good.proof.topology.properties == plain.topology.properties
    assert isinstance(bad.proof, Unproven)
    assert type(error).__name__ in proof_line(bad.proof)
    worst = [f for f in check(made) if f.severity is Severity.ERROR and f.verdict is Verdict.NOT_EVALUATED]
    assert {f.subject for f in worst} == {bad.mark}
    assert "lock-follows-controller" in {f.rule for f in worst}


@pytest.mark.parametrize("error", ERRORS[:2], ids=lambda error: type(error).__name__)
@pytest.mark.parametrize("stage", ["solve_side_by_side", "solved_reasons"])
def test_a_choice_that_breaks_off_is_an_error_at_its_door(site_of, monkeypatch, stage, error):
    plain = site_of(STRIKE, MAGNET).doors[0]
    real = getattr(choosing, stage)

    def broken(*args, **options):
        needs = args[0] if isinstance(args[0], list) else [args[0]]
        if any("magnet-12-300" in need.parts for need in needs):
            raise error
        return real(*args, **options)

    monkeypatch.setattr(choosing, stage, broken)
    made = site_of(STRIKE, MAGNET)
    good, bad = made.doors
    assert good.wiring.chosen == plain.wiring.chosen
    assert bad.wiring.chosen is None
    assert [f.rule for f in check(made) if f.subject == bad.mark and f.severity is Severity.ERROR and f.is_open] == [
        "no-suitable-wiring"
    ]


def test_readings_that_break_off_say_so_at_their_door(site_of, monkeypatch):
    made = site_of(STRIKE, MAGNET)
    before = [row for row in site_test_table(made).rows if row[0] == made.doors[0].mark]
    broken = at_the_magnet(expected.questions, ERRORS[0], lambda args: args[0].netlist)
    monkeypatch.setattr(expected, "questions", broken)
    rows = site_test_table(made).rows
    assert [row for row in rows if row[0] == made.doors[0].mark] == before
    told = [str(row) for row in rows if row[0] == made.doors[1].mark]
    assert any("not computed: 'NoneType' has no length (TypeError)" in row for row in told)


def test_what_is_asked_of_a_door_may_break_off_too(site_of, monkeypatch):
    made = site_of(STRIKE, MAGNET)
    real = book.asked_of

    def asked(opening, *args):
        if opening.lock == "magnet-12-300":
            raise ERRORS[0]
        return real(opening, *args)

    monkeypatch.setattr(book, "asked_of", asked)
    assert isinstance(made.doors[1].proof, Unproven)
    assert made.doors[1].proof.failed
    assert not isinstance(made.doors[0].proof, Unproven)


def test_miswirings_that_cannot_be_tried_are_said_to_be(site_of, monkeypatch):
    made = site_of(STRIKE, MAGNET)
    broken = at_the_magnet(test_sheet.not_shown, ERRORS[2], lambda args: args[0].netlist)
    monkeypatch.setattr(test_sheet, "not_shown", broken)
    monkeypatch.setattr(test_sheet, "_REMEMBERED", {})
    rows = [" ".join(map(str, row)) for row in site_test_table(made).rows]
    told = [row for row in rows if "is not computed: went wrong (RuntimeError)" in row]
    assert [row.split()[0] for row in told] == [made.doors[1].mark]


def test_a_rule_that_breaks_off_at_one_opening_judges_the_others(site_of, monkeypatch):
    made = site_of(STRIKE, MAGNET, STRIKE)
    first, bad, last = (door.mark for door in made.doors)
    before = check(made)
    rule = next(rule for rule in SHIPPED_RULES if rule.name == "device-voltage")
    whole = type(rule).evaluate

    def evaluate(self, design):
        for finding in whole(self, design):
            if finding.subject == bad:
                raise ERRORS[1]
            yield finding

    monkeypatch.setattr(type(rule), "evaluate", evaluate)
    found = check(made)
    assert [f for f in found if f.subject in {first, last}] == [f for f in before if f.subject in {first, last}]
    (only,) = [f for f in found if f.rule == "device-voltage" and f.subject not in {first, last}]
    assert (only.subject, only.verdict, only.severity) == (bad, Verdict.NOT_EVALUATED, Severity.ERROR)
    assert "internal error in rule device-voltage: no attribute (AttributeError)" in only.message


@pytest.mark.parametrize("where", ["draw_elevation", "elevation_devices"])
def test_a_sheet_that_cannot_be_drawn_says_so_and_is_on_hold(site_of, monkeypatch, caplog, where):
    made = site_of(STRIKE, MAGNET)
    good, bad = made.doors

    def broken(*args, **options):
        raise ERRORS[2]

    def drawn(door):
        (job,) = plan_set(Checked(made), SetOptions(False, False, False, (door.mark,), "each"))
        canvas, failed = drawn_or_held(made, job, DrawingInfo())
        return " ".join(e.dxf.text if e.dxftype() == "TEXT" else e.text for e in _texts(canvas)), failed

    monkeypatch.setattr(f"riserkit.drawings.door.detail.{where}", broken)
    texts, failed = drawn(bad)
    assert "HOLD - NOT DRAWN" in texts
    assert "went wrong (RuntimeError)" in texts
    assert "went wrong (RuntimeError)" in failed
    assert f"T-501-{bad.mark}, Door {bad.mark}, is not drawn" in caplog.text
    monkeypatch.undo()
    texts, failed = drawn(good)
    assert "NOT DRAWN" not in texts + failed


def _texts(canvas):
    return [e for layout in canvas.doc.layouts for e in layout if e.dxftype() in {"TEXT", "MTEXT"}]
