"""The riser's single steps: columns, lanes, the order of trunks, rows, bundles, windows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations
from random import Random

import pytest

from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.text import fit_text
from riserkit.drawings.riser.flags import read_flags
from riserkit.drawings.riser.lanes import pack_lanes
from riserkit.drawings.riser.order import Trunk, count_crossings, order_trunks
from riserkit.drawings.riser.pages import riser_sheet_id
from riserkit.drawings.riser.values import Flag
from riserkit.drawings.setting.frames import sheet_sizes_of
from riserkit.drawings.setting.table import MAX_CELL_LINES
from riserkit.findings import Finding, Severity, Verdict
from riserkit.model.info import SiteInfo


def test_lanes_never_overlap_and_what_lies_within_stands_inside() -> None:
    r = Random(7)
    for _ in range(200):
        spans = [tuple(sorted((r.randrange(30), r.randrange(30)))) for _ in range(r.randint(1, 12))]
        lanes = pack_lanes(spans)  # type: ignore[arg-type]
        for i, (a, b) in enumerate(spans):
            for j, (c, d) in enumerate(spans):
                if i < j and a <= d and c <= b:
                    assert lanes[i] != lanes[j]
                if (a < c and d <= b) or (a <= c and d < b):
                    assert lanes[i] > lanes[j]


def test_two_trunks_that_serve_each_others_level_cross_once_and_not_twice() -> None:
    """1A below serves two rows above, 2A above serves one row below: 2A nearer to the openings crosses twice."""
    low = Trunk("1A", 0.0, (0.0, 100.0, 110.0))
    high = Trunk("2A", 130.0, (130.0, 30.0))
    assert count_crossings([low, high], {"1A": 1, "2A": 0}) == 2
    lanes = order_trunks([low, high], {"1A": 1, "2A": 0}, 2)
    assert count_crossings([low, high], lanes) == 1


def test_order_of_trunks_is_never_worse_than_given_and_mostly_the_best() -> None:
    """Against every order there is, for columns of up to four trunks."""
    r, best = Random(3), 0
    for _ in range(100):
        trunks = [
            Trunk(str(n), float(r.randrange(100)), tuple(r.sample(range(100), r.randint(1, 4))))
            for n in range(r.randint(2, 4))
        ]
        start = {trunk.closet: n for n, trunk in enumerate(trunks)}
        found = order_trunks(trunks, start, len(trunks))
        count = count_crossings(trunks, found)
        assert count <= count_crossings(trunks, start)
        orders = ({t.closet: n for n, t in enumerate(order)} for order in permutations(trunks))
        best += count == min(count_crossings(trunks, order) for order in orders)
    assert best >= 90


def _finding(rule: str, subject: str, severity: Severity, verdict: Verdict = Verdict.FAIL) -> Finding:
    return Finding(rule, verdict, severity, subject, "opening", f"{rule} speaks of {subject}.", "none")


def test_the_worst_open_finding_marks_a_thing_and_notes_mark_nothing() -> None:
    flags = read_flags(
        [
            _finding("a", "101", Severity.WARNING),
            _finding("b", "101", Severity.ERROR),
            _finding("c", "102", Severity.NOTE),
            _finding("d", "103", Severity.ERROR, Verdict.PASS),
            _finding("e", "104", Severity.WARNING, Verdict.NOT_EVALUATED),
        ]
    )
    assert flags.of(("opening", "101")) == (Flag("E"),)
    assert flags.of(("opening", "102")) == flags.of(("opening", "103")) == ()
    assert flags.of(("opening", "104")) == (Flag("W"),)
    assert flags.accepted is None


def _concerned(marks: Sequence[str], kind: str = "opening") -> tuple[str, ...]:
    found = [_finding("jacket-fit", mark, Severity.WARNING) for mark in marks]
    listing = read_flags([replace(f, subject_kind=kind) for f in found]).open_findings
    assert listing is not None
    return tuple(row[2] for row in listing.rows)


def test_many_subjects_of_one_rule_are_all_listed() -> None:
    """Marks that count on stand as the first and the last; what has no such order is listed one by one, none cut off."""
    assert _concerned(["D-7"]) == ("opening D-7",)
    assert _concerned(["D-1", "D-2"]) == ("2 openings: D-1, D-2",)
    assert _concerned([f"D-{n:03}" for n in range(100)]) == ("100 openings: D-000 to D-099",)
    assert _concerned([f"D-{n}" for n in (8, 9, 10, 11, 12)]) == ("5 openings: D-8, D-9, D-10 to D-12",)
    assert _concerned(["A", "B", "C"], "switch") == ("3 switches: A, B, C",)
    even = [f"NORTH-WING-{n:03}-LOADING-1" for n in range(0, 400, 2)]
    rows = _concerned(even)
    assert [name for row in rows for name in row.removeprefix("200 openings: ").split(", ")] == even
    for row in rows:
        assert fit_text(row, 100.0, 2.5, 2.5, MAX_CELL_LINES).complete


def test_sizes_of_a_riser() -> None:
    assert [size.name for size in sheet_sizes_of(SiteInfo())] == ["ISO A3", "ISO A2", "ISO A1"]
    assert [size.name for size in sheet_sizes_of(SiteInfo(sheet_series="ARCH"))] == ["ARCH B", "ARCH C", "ARCH D"]
    assert [size.name for size in sheet_sizes_of(SiteInfo(sheet_series="ANSI", riser_sheet="E"))] == ["ANSI E"]
    assert [size.name for size in sheet_sizes_of(SiteInfo(riser_sheet="arch d"))] == ["ARCH D"]
    with pytest.raises(SheetError, match="no sheet size"):
        sheet_sizes_of(SiteInfo().model_copy(update={"riser_sheet": "A9"}))


def test_identifications_go_on_past_two_digits() -> None:
    ids = [riser_sheet_id(n) for n in range(1, 1000)]
    assert ids[:2] == ["T-601", "T-602"]
    assert len(set(ids)) == 999
