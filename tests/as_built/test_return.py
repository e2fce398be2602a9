"""What comes back is taken whole or not at all, and everything that is wrong with it is said at once."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from openpyxl.comments import Comment

from riserkit.as_built.lines import sheet_lines
from riserkit.design import Design
from riserkit.model.problems import InputError
from riserkit.model.returned import FIELD_TABLES
from riserkit.record.facts import facts_of
from riserkit.record.issue import Issue
from riserkit.record.returned_rows import Who
from riserkit.record.returns import as_built_of, read_returns
from riserkit.record.store import write_issue
from riserkit.reports.returned import return_lines
from riserkit.reports.table import to_csv
from riserkit.reports.test_sheet import site_test_table
from riserkit.results.return_site import ReturnOptions, return_site
from tests.command import run

from .crews import filled, relanded, shown, write_csv, write_workbook


def test_everything_comes_back_and_the_design_stays(
    site: Path, designed: Design, tmp_path: Path, tables_of: Callable[[Path], dict[str, bytes]]
) -> None:
    before = tables_of(site)
    rows = filled(designed)
    taken = return_site(site, write_csv(tmp_path / "crew", rows))
    assert taken.rows == {name: len(found) for name, found in rows.items() if found}
    assert tables_of(site) == before
    (record,) = read_returns(site)
    assert set(record.files) == {f"{name}.csv" for name in taken.rows}
    # The same papers once more say nothing new, and leave no second record.
    again = return_site(site, write_csv(tmp_path / "crew", rows))
    assert (again.record, again.unchanged) == (None, sum(taken.rows.values()))
    assert len(read_returns(site)) == 1


def test_a_workbook_and_text_tables_are_the_same(site: Path, designed: Design, tmp_path: Path) -> None:
    rows = filled(designed)
    return_site(site, [write_workbook(tmp_path / "papers.xlsx", rows)])
    assert return_site(site, write_csv(tmp_path / "crew", rows)).record is None


def test_every_problem_is_told_at_once_with_its_cell(site: Path, designed: Design, tmp_path: Path) -> None:
    """Each cell by file, sheet and address, what was seen and what would do; and nothing is on record then."""
    rows = filled(designed)
    rows["doors"][0] |= {"done": "no"}
    relanded(rows, "2", "12", landed_from="K2.NX")
    rows["lengths"][0] |= {"length_m": "long"}
    rows["lengths"][1] |= {"cable": "1A-A09"}
    rows["readings"][0] |= {"reading": "fine"}
    rows["readings"][1] |= {"state": "on a Sunday"}
    rows["devices"] = [
        {"opening": "1", "device": "K1", "mac": "nonsense", "by": "A. Lee", "date": "2026-03-20"},
        {"opening": "1", "device": "M1", "fitted_part": "controller-c3", "by": "A. Lee", "date": "2026-03-20"},
        {"opening": "3", "device": "K1", "serial": "17", "by": "A. Lee", "date": "2026-03-20"},
    ]
    rows["ports"] = [{"opening": "2", "used_port": "1A.R1-A:01", "by": "A. Lee", "date": "20.3.2026"}]
    path = write_workbook(tmp_path / "papers.xlsx", rows)
    with pytest.raises(InputError) as error:
        return_site(site, [path])
    told = {str(p.where): (p.seen, p.accepted) for p in error.value.problems}
    cells = {place.partition("papers.xlsx, ")[2] for place in told}
    book = openpyxl.load_workbook(path)
    for cell in cells:
        sheet, _, address = cell.partition(", ")
        seen = told[f"papers.xlsx, {cell}"][0]
        assert seen == str(book[sheet][address].value or ""), cell
    assert {cell.partition(",")[0] for cell in cells} == {
        "doors",
        "landings",
        "lengths",
        "readings",
        "devices",
        "ports",
    }
    assert len(cells) == 10
    text = str(error.value)
    for wanted in (
        "expected what is left to be done, and why",
        "expected a terminal, or none; did you mean K2.NO or K2.NC",
        "expected the twelve hexadecimal digits of a MAC address",
        "expected a part of the kind of strike-12-secure",
        "expected an opening of the site",
        "expected a date as YYYY-MM-DD",
        "expected the label of a cable of the schedules; did you mean",
        "it is of another revision of the papers",
    ):
        assert wanted in text, wanted
    assert not (site / "as-built").exists()


def test_two_crews_that_disagree_are_a_question_with_both_values(site: Path, designed: Design, tmp_path: Path) -> None:
    one, two = filled(designed, ("2",)), filled(designed, ("2",))
    relanded(two, "2", "12", landed_from="K2.NO")
    two["landings"] = [{**row, "by": "B. Ode"} for row in two["landings"]]
    files = [write_workbook(tmp_path / "lee.xlsx", one), write_workbook(tmp_path / "ode.xlsx", two)]
    taken = return_site(site, files)
    assert taken.record is None
    assert not (site / "as-built").exists()
    said = " ".join(map(str, taken.questions))
    for word in ("lee.xlsx, landings, row 14", "ode.xlsx, landings, row 14", "A. Lee", "B. Ode", "K2.NO", "nothing"):
        assert word in said
    answered = return_site(site, files, ReturnOptions(take=("ode.xlsx",)))
    assert answered.record is not None
    built = as_built_of(read_returns(site))
    assert [row.landed_from for row in built.landings if row.no == "12"] == ["K2.NO"]


def test_lengths_that_disagree_stand_as_they_were_written(site: Path, tmp_path: Path) -> None:
    head = "cable,length_ft,by,date\n"
    paths = [tmp_path / "one lengths.csv", tmp_path / "two lengths.csv"]
    for path, length in zip(paths, ("12 m", "40"), strict=True):
        path.write_text(f"{head}1-W2,{length},A. Lee,2026-03-20\n", "utf-8")
    (told,) = return_site(site, paths).questions
    first, second = ("one lengths.csv, row 2 (A. Lee, 2026-03-20)", "two lengths.csv, row 2 (A. Lee, 2026-03-20)")
    assert str(told) == f"lengths: 1-W2, length: 12 m in {first}, 40 ft in {second}"
    assert return_site(site, paths[:1]).record is not None
    (told,) = return_site(site, paths[1:]).questions
    assert str(told).startswith("lengths: 1-W2, length: 40 ft in")
    assert ", 12 m in one lengths.csv, on record" in str(told)


def test_what_is_on_record_is_replaced_by_a_later_date_alone(site: Path, designed: Design, tmp_path: Path) -> None:
    rows = filled(designed, ("1",))
    return_site(site, write_csv(tmp_path / "first", rows))
    lengths = {"lengths": [{**rows["lengths"][0], "length_m": "31 m"}]}
    same_day = return_site(site, write_csv(tmp_path / "same", lengths))
    assert same_day.record is None
    assert len(same_day.questions) == 1
    later = {"lengths": [{**lengths["lengths"][0], "date": "2026-03-21"}]}
    taken = return_site(site, write_csv(tmp_path / "later", later))
    assert [(one.was, one.is_now) for one in taken.replaced] == [("21.8 m", "31 m")]
    built = as_built_of(read_returns(site))
    label = rows["lengths"][0]["cable"]
    assert [row.length_m for row in built.lengths if row.cable == label] == [31.0]
    # Both stand in the history: who said which, when, in which file.
    said = [row for row in built.history if row[1] == "lengths" and row[2] == label]
    assert [(row[3], row[5], row[8]) for row in said] == [
        ("length_m 21.8", "2026-03-20", "replaced"),
        ("length_m 31", "2026-03-21", ""),
    ]


def test_a_column_says_its_unit_and_a_bare_number_is_asked_about(site: Path, tmp_path: Path) -> None:
    """21.6 m is 70.9 ft: 71 in a column of metres is asked about, in a column of feet it is read as such."""
    path = tmp_path / "lengths.csv"
    path.write_text("cable,length_m,by,date\n1A-A01,71,A. Lee,2026-03-20\n", "utf-8")
    with pytest.raises(InputError, match="if this is in feet write 71 ft, otherwise 71 m"):
        return_site(site, [path])
    path.write_text("cable,length_ft,by,date\n1A-A01,71,A. Lee,2026-03-20\n", "utf-8")
    return_site(site, [path])
    (length,) = as_built_of(read_returns(site)).lengths
    assert length.length_m == pytest.approx(71 * 0.3048)


def test_nothing_that_is_written_goes_unread(site: Path, tmp_path: Path) -> None:
    path = tmp_path / "doors.csv"
    path.write_text("opening,done,weather,by,date\n1,yes,rain,A. Lee,2026-03-20\n", "utf-8")
    with pytest.raises(InputError, match=r"doors.csv, C1: saw 'weather'; not known for doors"):
        return_site(site, [path])
    path.write_text("opening,done,weather,by,date\n1,yes,,A. Lee,2026-03-20\n", "utf-8")
    assert return_site(site, [path]).rows == {"doors": 1}


def _test_sheets(designed: Design, path: Path, without: str = "") -> Path:
    """The schedule of test sheets with its readings written in, a column left out."""
    shown_by = {
        (door.mark, r.what, r.state, r.plus): shown(r) for door in designed.doors for r in sheet_lines(designed, door)
    }
    lines = list(csv.DictReader(io.StringIO(to_csv(site_test_table(designed)))))
    for line in lines:
        if line["no"]:
            line["reading"] = shown_by[line["opening"], line["what"], line["state"], line["red_lead"]]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, [name for name in lines[0] if name != without], extrasaction="ignore")
        writer.writeheader()
        writer.writerows(lines)
    return path


@pytest.mark.parametrize("name", ["test_sheets.csv", "crew 2 test sheets.csv", "readings.csv"])
def test_a_schedule_of_test_sheets_comes_back_as_it_was_written(
    site: Path, designed: Design, tmp_path: Path, name: str
) -> None:
    """With what is expected, notes and cautions: each line with a reading is on record, and is that of its own line."""
    options = ReturnOptions(who=Who("A. Lee", "2026-03-20", "meter 17"))
    lines = sum(len(sheet_lines(designed, door)) for door in designed.doors)
    assert return_site(site, [_test_sheets(designed, tmp_path / name)], options).rows == {"readings": lines}
    # the same readings from the papers of the field say nothing new
    rows = {"readings": filled(designed)["readings"]}
    assert return_site(site, write_csv(tmp_path / "crew", rows), options).record is None


def test_the_test_sheets_of_a_workbook_are_one_of_its_schedules(site: Path, designed: Design, tmp_path: Path) -> None:
    """Those of a set as built print what came back before: nobody returns it again."""
    path = write_workbook(tmp_path / "papers.xlsx", {"doors": filled(designed)["doors"]})
    book = openpyxl.load_workbook(path)
    with _test_sheets(designed, tmp_path / "test_sheets.csv").open(encoding="utf-8", newline="") as file:
        sheet = book.create_sheet("test_sheets")
        for row in csv.reader(file):
            sheet.append(row)
    book.save(path)
    assert return_site(site, [path]).rows == {"doors": len(designed.doors)}


@pytest.mark.parametrize("column", ["opening", "what", "red_lead", "black_lead", "state"])
def test_a_column_that_says_what_a_reading_is_of_is_named_where_it_is_missing(
    site: Path, designed: Design, tmp_path: Path, column: str
) -> None:
    with pytest.raises(InputError) as error:
        return_site(site, [_test_sheets(designed, tmp_path / "test_sheets.csv", column)])
    assert [p.accepted for p in error.value.problems] == [
        f"expected the column {column} in the heading too: without it nobody can tell what a row is about"
    ]


def test_who_and_when_may_be_said_once(site: Path, tmp_path: Path) -> None:
    path = tmp_path / "doors.csv"
    path.write_text("opening,done\n1,yes\n", "utf-8")
    with pytest.raises(InputError, match=r"(?s)with --by.*with --date"):
        return_site(site, [path])
    return_site(site, [path], ReturnOptions(who=Who("A. Lee", "2026-03-20")))
    (door,) = as_built_of(read_returns(site)).doors
    assert (door.by, door.date.isoformat()) == ("A. Lee", "2026-03-20")


def test_two_openings_cannot_be_on_one_port(site: Path, tmp_path: Path) -> None:
    path = tmp_path / "ports.csv"
    head = "opening,used_closet,used_port,by,date\n"
    path.write_text(f"{head}1,1A,1A.R1-A:02,A. Lee,2026-03-20\n", "utf-8")
    with pytest.raises(InputError, match="opening 2 is on this one: state its port too"):
        return_site(site, [path])
    # Two that were exchanged are no contradiction.
    path.write_text(f"{head}1,1A,1A.R1-A:02,A. Lee,2026-03-20\n2,1A,1A.R1-A:01,A. Lee,2026-03-20\n", "utf-8")
    assert return_site(site, [path]).rows == {"ports": 2}


def test_the_command_says_what_became_of_it(site: Path, designed: Design, tmp_path: Path) -> None:
    paths = [str(path) for path in write_csv(tmp_path / "crew", filled(designed, ("1",)))]
    done = run("return", site, *paths)
    assert done.exit_code == 0, done.output
    assert "landings: 11" in done.output
    other = filled(designed, ("1",))
    relanded(other, "1", "3", landed_to="K1.REQ")
    asked = run("return", site, *write_csv(tmp_path / "other", other))
    assert asked.exit_code == 1
    assert "--take" in asked.output
    wrong = run("return", site, tmp_path / "none.xlsx")
    assert wrong.exit_code == 2


def _issued_then(site: Path, designed: Design, **changed: str) -> None:
    """The site on record as issued; then openings are called otherwise, or gone where they are called nothing."""
    date = datetime.date(2026, 3, 9)
    labels, facts = designed.labels.issued, facts_of(designed)
    write_issue(site, Issue("A", date, "for construction", "A. Drafter", "", labels, facts, ()))
    for name in ("openings.csv", "confirmations.csv"):
        lines = [line.split(",") for line in (site / name).read_text("utf-8").splitlines() if line]
        lines = [[changed.get(f"no_{cells[0]}", cells[0]), *cells[1:]] for cells in lines]
        (site / name).write_text("".join(f"{','.join(cells)}\n" for cells in lines if cells[0]), "utf-8")


def test_papers_that_call_an_opening_by_its_earlier_mark_are_read(site: Path, designed: Design, tmp_path: Path) -> None:
    _issued_then(site, designed, no_2="7")
    taken = return_site(site, [write_workbook(tmp_path / "papers of A.xlsx", filled(designed, ("2",)))])
    assert "  2 is called 7 now: its rows are taken as of 7" in return_lines(taken)
    rows = read_returns(site)[0].rows
    assert {row.opening for row in rows["landings"]} == {"7"}
    assert "7-W2" in {row.cable for row in rows["lengths"]}


def test_an_opening_that_is_gone_is_called_so(site: Path, designed: Design, tmp_path: Path) -> None:
    _issued_then(site, designed, no_1="")
    with pytest.raises(InputError) as caught:
        return_site(site, [write_workbook(tmp_path / "papers.xlsx", filled(designed, ("1",)))])
    told = "column opening: saw '1'; 1 was issued and is no longer in the design: leave out its rows, or restore it"
    assert f"papers.xlsx, doors, A3, {told}" in caught.value.lines
    cables = {line.partition("; ")[2] for line in caught.value.lines if "column cable" in line}
    assert cables == {"1, which it was issued for, is no longer in the design: leave out its rows, or restore it"}
    assert any(line.endswith(told) and "cells A3 to A" in line for line in caught.value.lines), (
        "rows alike are told once"
    )


def test_a_comment_beside_a_cell_is_told(site: Path, designed: Design, tmp_path: Path) -> None:
    path = write_workbook(tmp_path / "papers.xlsx", filled(designed, ("1",)))
    book = openpyxl.load_workbook(path)
    book["readings"]["I5"].comment = Comment("battery was low, do it again", "A. Lee")
    book.create_sheet("about")["A1"].comment = Comment("nobody fills this in", "A. Lee")
    book.save(path)
    told = [line for line in return_lines(return_site(site, [path])) if "its comment" in line]
    assert told == [
        "  papers.xlsx, readings, I5: its comment is not on record, a cell or a reason would be:"
        " battery was low, do it again"
    ]


def test_every_column_is_filled_in_or_printed() -> None:
    for table in FIELD_TABLES.values():
        assert set(table.columns) == {*table.printed, *table.record.FILLED, "by", "date", "instrument"}
        assert table.instruction
