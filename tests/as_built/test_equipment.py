"""Switches, UPSes and supplies of closets as they came back: on record, judged, and missed where nobody measured."""

from __future__ import annotations

from pathlib import Path

import pytest

from riserkit.as_built.equipment import equipment_of, supply_lines
from riserkit.design import Design
from riserkit.field.about import FieldWork
from riserkit.field.field_sheets import field_sheets
from riserkit.findings import Finding, Verdict
from riserkit.model.problems import InputError
from riserkit.pipeline import design_site, read_to_work
from riserkit.record.facts import facts_of
from riserkit.reports.returned import returned_tables
from riserkit.results.return_site import return_site
from riserkit.rules.not_returned import NotReturned
from riserkit.rules.reading_out_of_range import ReadingOutOfRange

HEAD = "equipment,fitted_part,serial,mac,output_v,on_battery_v,output_a,battery_v,battery_made,by,date,instrument\n"


@pytest.fixture
def powered(site: Path) -> Path:
    """The small sample with a supply that has a battery in its closet."""
    (site / "supplies.csv").write_text("id,part,closet\nPS-1,supply-12-3,TR-1\n", "utf-8")
    return site


def returned(site: Path, folder: Path, *rows: str, table: str = "equipment") -> Path:
    folder.mkdir(exist_ok=True)
    path = folder / f"{table}.csv"
    path.write_text(HEAD + "".join(f"{row},A. Lee,2026-03-20,meter 17\n" for row in rows), "utf-8")
    return_site(site, [path])
    return path


def built(site: Path) -> Design:
    return design_site(read_to_work(site, as_built=True)[0])


def of_supply(rule: NotReturned | ReadingOutOfRange, made: Design) -> dict[str, Finding]:
    return {f.about: f for f in rule.evaluate(made) if (f.subject_kind, f.subject) == ("supply", "PS-1")}


def test_the_sheet_to_fill_in_names_what_stands_in_the_closets(powered: Path) -> None:
    made = design_site(read_to_work(powered)[0])
    sheet = next(s for s in field_sheets(FieldWork(made, (), {}), made.doors) if s.table.name == "equipment")
    assert [(row[0], row[2], row[3]) for row in sheet.rows] == [
        ("SW-1", "1A", ""),
        ("UPS-1", "1A", ""),
        ("PS-1", "1A", "supply-12-3"),
    ]
    assert {row[0] for row in sheet.rows} == set(equipment_of(made))


def test_serial_numbers_and_date_codes_are_on_record(powered: Path, tmp_path: Path) -> None:
    returned(
        powered,
        tmp_path / "crew",
        "SW-1,,S-100,02-00-5e-10-00-01,,,,,",
        "UPS-1,,U-7,,,,,54.1,2025-11",
        "PS-1,,P-9,,13.7,,0.4,13.6,2025-10",
    )
    table = next(t for t in returned_tables(built(powered)) if t.name == "equipment_fitted")
    rows = {row[0]: dict(zip(table.columns, row, strict=True)) for row in table.rows}
    assert (rows["SW-1"]["serial"], rows["SW-1"]["mac"]) == ("S-100", "02:00:5E:10:00:01")
    assert (rows["UPS-1"]["battery_v"], rows["UPS-1"]["battery_made"]) == (54.1, "2025-11")
    assert (rows["PS-1"]["part"], rows["PS-1"]["closet"], rows["PS-1"]["output_a"]) == ("supply-12-3", "TR-1", 0.4)


def test_what_a_supply_shows_is_judged_by_its_part(powered: Path, tmp_path: Path) -> None:
    made = design_site(read_to_work(powered)[0])
    lines = {line.column: line for line in supply_lines(made, made.site.supply["PS-1"])}
    mains, current = lines["output_v"], lines["output_a"]
    assert mains.low is not None
    assert mains.high is not None
    # What nobody has measured is no pass.
    before = of_supply(NotReturned(), built(powered))["readings"]
    assert before.verdict is Verdict.NOT_EVALUATED
    assert mains.what in before.message
    returned(powered, tmp_path / "low", f"PS-1,,,,{mains.low - 0.1:g},,{current.high},,")
    judged = of_supply(ReadingOutOfRange(), built(powered))
    assert judged[mains.what].verdict is Verdict.FAIL
    assert judged[current.what].verdict is Verdict.PASS, "a reading at the limit is in range"
    path = tmp_path / "later" / "equipment.csv"
    path.parent.mkdir()
    path.write_text(HEAD + f"PS-1,,,,{mains.high:g},12,{current.high + 0.1:g},,,A. Lee,2026-03-21,meter 17\n", "utf-8")
    return_site(powered, [path])
    judged = of_supply(ReadingOutOfRange(), built(powered))
    assert judged[mains.what].verdict is Verdict.PASS
    assert judged[current.what].verdict is Verdict.FAIL
    missing = of_supply(NotReturned(), built(powered))
    assert not missing or "mains on" not in missing["readings"].message


@pytest.mark.parametrize(
    ("rows", "subject", "verdict", "told"),
    [
        # supply-12-3: 10.8 V when spent, 13.7 V at most while it is charged
        ("PS-1,,,,,,,10.8,", ("supply", "PS-1"), Verdict.PASS, "10.8 to 13.7 V"),
        ("PS-1,,,,,,,13.7,", ("supply", "PS-1"), Verdict.PASS, "10.8 to 13.7 V"),
        ("PS-1,,,,,,,6.4,", ("supply", "PS-1"), Verdict.FAIL, "10.8 to 13.7 V"),
        ("PS-1,,,,,,,26.1,", ("supply", "PS-1"), Verdict.FAIL, "10.8 to 13.7 V"),
        ("UPS-1,,,,,,,42,", ("ups", "UPS-1"), Verdict.PASS, "at least 42 V"),
        ("UPS-1,,,,,,,24.2,", ("ups", "UPS-1"), Verdict.FAIL, "at least 42 V"),
    ],
)
def test_a_battery_is_judged_by_itself(
    powered: Path, tmp_path: Path, rows: str, subject: tuple[str, str], verdict: Verdict, told: str
) -> None:
    """A block missing from the string was taken without a word: the charger alone kept the output right."""
    returned(powered, tmp_path / "crew", rows)
    (one,) = [f for f in ReadingOutOfRange().evaluate(built(powered)) if f.about == "battery, charger off"]
    assert (one.subject_kind, one.subject) == subject
    assert one.verdict is verdict
    assert told in one.message
    assert ("in series" in one.remedy) is (verdict is Verdict.FAIL)


def test_a_battery_of_which_nothing_is_known_is_not_judged(powered: Path, tmp_path: Path) -> None:
    (powered / "supplies.csv").write_text("id,part,closet\nPS-1,supply-24-nb,TR-1\n", "utf-8")
    returned(powered, tmp_path / "crew", "PS-1,,,,,,,26,")
    judged = of_supply(ReadingOutOfRange(), built(powered))
    assert judged["battery, charger off"].verdict is Verdict.NOT_EVALUATED


def test_another_supply_is_a_difference_and_is_what_is_judged(powered: Path, tmp_path: Path) -> None:
    returned(powered, tmp_path / "crew", "PS-1,supply-24-4,P-9,,27.3,,,,")
    made = built(powered)
    assert made.site.supply["PS-1"].part == "supply-24-4"
    assert made.site.as_built is not None
    (one,) = made.site.as_built.differences
    assert (one.opening, one.kind, one.was, one.is_now) == ("", "part", "supply-12-3", "supply-24-4")
    assert next(iter(of_supply(ReadingOutOfRange(), made).values())).verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("row", "wanted"),
    [
        ("SW-9,,S,,,,,,", "a switch, a UPS or a supply in a closet; .*SW-1"),
        ("SW-1,,,,12,,,,", "SW-1, which is no supply"),
        ("SW-1,supply-24-4,,,,,,,", "SW-1, which is no supply"),
        ("PS-1,strike-12-secure,,,,,,,", "a part of the kind of supply-12-3"),
        ("PS-1,nosuch,,,,,,,", "add it to parts"),
    ],
)
def test_what_cannot_be_is_refused(powered: Path, tmp_path: Path, row: str, wanted: str) -> None:
    with pytest.raises(InputError, match=wanted):
        returned(powered, tmp_path / "crew", row)


def test_a_number_that_another_device_has_is_found_out_over_returns(powered: Path, tmp_path: Path) -> None:
    returned(powered, tmp_path / "one", "SW-1,,S-100,,,,,,")
    with pytest.raises(InputError, match="one device of this number; SW-1 has it"):
        returned(powered, tmp_path / "two", "UPS-1,,S-100,,,,,,")
    # The number was the other's all along: both rows are stated.
    path = tmp_path / "three" / "equipment.csv"
    path.parent.mkdir()
    path.write_text(HEAD + "UPS-1,,S-100,,,,,,,A. Lee,2026-03-22,\nSW-1,,S-101,,,,,,,A. Lee,2026-03-22,\n", "utf-8")
    assert return_site(powered, [path]).rows == {"equipment": 2}


def test_what_the_design_has_no_more_is_told(powered: Path, tmp_path: Path) -> None:
    """Rows of a door, a cable and a supply that are gone since: none of them vanishes unsaid."""
    returned(powered, tmp_path / "crew", "PS-1,,P-9,,,,,,")
    for table, text in (("doors", "opening,done,by,date\n1,yes,A. Lee,2026-03-20\n"),
                        ("lengths", "cable,length_m,by,date\n1-W2,7 m,A. Lee,2026-03-20\n")):  # fmt: skip
        path = tmp_path / f"{table}.csv"
        path.write_text(text, "utf-8")
        return_site(powered, [path])
    (powered / "supplies.csv").unlink()
    openings = powered / "openings.csv"
    openings.write_text(
        "".join(line for line in openings.read_text("utf-8").splitlines(keepends=True) if not line.startswith("1,")),
        "utf-8",
    )
    said = {f.about for f in NotReturned().evaluate(built(powered)) if f.subject_kind == "site"}
    assert said == {"opening 1", "cable 1-W2", "equipment PS-1"}


def test_a_closet_called_as_an_opening_is_told_before_lengths_are_taken(site: Path, tmp_path: Path) -> None:
    """A building model calls a door after its room, and so may a drafter the closet in it: a cable to "2" would go to two things."""
    for table in ("closets", "switches", "upses"):
        path = site / f"{table}.csv"
        path.write_text(path.read_text("utf-8").replace("TR-1", "2"), "utf-8")
    path = tmp_path / "lengths.csv"
    path.write_text("cable,length_m,by,date\n1-W2,7 m,A. Lee,2026-03-20\n", "utf-8")
    with pytest.raises(
        InputError, match="closets, column id: saw '2'; expected a closet of another name than an opening"
    ):
        return_site(site, [path])


def test_what_the_design_has_chosen_is_no_change_of_an_opening(powered: Path, tmp_path: Path) -> None:
    """Arrangement, closet and port are kept as the design has them; only a port that is another is one."""
    plain = facts_of(design_site(read_to_work(powered)[0]))
    assert facts_of(built(powered))["openings"] == plain["openings"]
    path = tmp_path / "ports.csv"
    path.write_text("opening,used_port,by,date\n1,1A.R1-A:05,A. Lee,2026-03-20\n", "utf-8")
    return_site(powered, [path])
    moved = facts_of(built(powered))["openings"]
    assert {mark for mark in moved if moved[mark] != plain["openings"][mark]} == {"1"}
    assert moved["1"]["port"] == "5"
