"""Random edits on both sides: whatever the document and the user change, no cell of the user's is ever lost."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from riserkit.importing.facts import At
from riserkit.importing.last import LastImport, last_text, read_last
from riserkit.importing.merge import Merged, Sources, merge
from riserkit.importing.row import ImportedCell, Row
from riserkit.importing.rows import REMARKS, Imported
from riserkit.importing.texts import EditableTable, read_text

COLUMNS = ("width_m", "lock", "name", REMARKS)
AT = At("list.xlsx", "row 1")
MARKS = tuple(str(n) for n in range(101, 109))
values = st.sampled_from(["", "a", "b", "c", "0.9", "1.1"])
doors = st.dictionaries(st.sampled_from(MARKS), st.fixed_dictionaries(dict.fromkeys(COLUMNS, values)), min_size=1)


@dataclass(frozen=True)
class Edit:
    """What a user does to the table: a cell changed, a row taken out or added, a mark changed."""

    kind: str
    mark: str
    column: str
    text: str


edits = st.lists(
    st.builds(Edit, st.sampled_from(["cell", "cell", "cell", "out", "add", "mark"]), st.sampled_from(MARKS),
              st.sampled_from(COLUMNS), st.sampled_from(["", "mine", "0.77", "a"])), max_size=8,
)  # fmt: skip


def _imported(document: dict[str, dict[str, str]]) -> Imported:
    rows = []
    for n, (mark, cells) in enumerate(sorted(document.items())):
        said = {
            "mark": mark,
            "level": "L1",
            "x_m": str(MARKS.index(mark) * 3),
            "y_m": "0",
            **{c: t for c, t in cells.items() if t},
        }
        rows.append(Row(mark, {c: ImportedCell(t, At("list.xlsx", f"row {n}")) for c, t in said.items()}, mark))
    return Imported({"openings": tuple(rows)})


def _run(document: dict[str, dict[str, str]], table: EditableTable | None, last: LastImport) -> Merged:
    sources = Sources({"list.xlsx": "list"}, {"list.xlsx": "0"})
    return merge(_imported(document), {} if table is None else {"openings": table}, last, sources)


def _reread(merged: Merged) -> tuple[EditableTable, LastImport]:
    """Through the files, as a second run of the command would have them."""
    return read_text("openings", "openings.csv", merged.tables["openings"].to_bytes()), read_last(
        last_text(merged.last), "last.json"
    )


def _edit(table: EditableTable, todo: list[Edit]) -> tuple[dict[str, dict[str, str]], set[str]]:
    """Do as a user does; the cells that are now theirs by the row's mark, and marks of rows that they took out."""
    mine: dict[str, dict[str, str]] = {}
    came: dict[str, dict[str, str]] = {}
    out: set[str] = set()
    for n, edit in enumerate(todo):
        line = next((row for row in table.rows() if table.get(row, "mark") == edit.mark), None)
        if edit.kind == "add":
            table.add({"mark": f"U{n}", "level": "L1", "x_m": str(500 + n), "y_m": "0", "name": "added by hand"})
            mine[f"U{n}"] = {"name": "added by hand"}
        elif line is None:
            continue
        elif edit.kind == "out":
            table.drop(line)
            mine.pop(edit.mark, None)
            came.pop(edit.mark, None)
            out.add(edit.mark)
        elif edit.kind == "mark":
            table.put(line, "mark", f"M{n}")
            mine[f"M{n}"] = mine.pop(edit.mark, {})
            came[f"M{n}"] = came.pop(edit.mark, {})
        elif table.get(line, edit.column) != edit.text:
            as_it_came = came.setdefault(edit.mark, {}).setdefault(edit.column, table.get(line, edit.column))
            table.put(line, edit.column, edit.text)
            mine.setdefault(edit.mark, {})[edit.column] = edit.text
            if edit.text == as_it_came:  # put back, it is the document's again
                del mine[edit.mark][edit.column]
    return mine, out


_SAYS_NOTHING = {"101": {"width_m": "", "lock": "", "name": "", "remarks": ""}}


# the document says for a while what the user had written first
@example(
    _SAYS_NOTHING,
    {"101": {**_SAYS_NOTHING["101"], "remarks": "a"}},
    _SAYS_NOTHING,
    [Edit("cell", "101", "remarks", "a")],
)
@settings(max_examples=150, deadline=None)
@given(doors, doors, doors, edits)
@pytest.mark.slow
def test_no_cell_of_the_user_s_is_ever_lost(first: dict, second: dict, third: dict, todo: list[Edit]) -> None:
    table, last = _reread(_run(first, None, LastImport()))
    mine, out = _edit(table, todo)
    for document in (second, third):
        merged = _run(document, table, last)
        table, last = _reread(merged)
        rows = {table.get(row, "mark"): row for row in table.rows()}
        marks = [table.get(row, "mark") for row in table.rows()]
        assert len(marks) == len(set(marks)), "no mark twice"
        for mark, cells in mine.items():
            assert mark in rows
            for column, text in cells.items():
                found = table.get(rows[mark], column)
                # Remarks are a list: the document adds its own, and takes away none but its own.
                assert (
                    set(filter(None, text.split("; "))) <= set(found.split("; "))
                    if column == REMARKS
                    else found == text
                )
        assert not out & set(rows), "what was taken out stays out"


@settings(max_examples=60, deadline=None)
@given(doors, doors)
def test_without_edits_the_table_follows_the_document(first: dict, second: dict) -> None:
    table, last = _reread(_run(first, None, LastImport()))
    merged = _run(second, table, last)
    table, last = _reread(merged)
    rows = {table.get(row, "mark"): row for row in table.rows()}
    assert set(rows) == set(first) | set(second)
    for mark, cells in second.items():
        for column in ("width_m", "lock", "name"):
            if cells[column]:
                assert table.get(rows[mark], column) == cells[column]
    assert {c.key for c in merged.changes if c.kind == "missing"} == set(first) - set(second)
    for mark in set(first) - set(second):
        assert "missing from the documents" in table.get(rows[mark], REMARKS)
    again = _run(second, table, last)
    assert again.tables["openings"].to_bytes() == table.to_bytes()


@settings(max_examples=60, deadline=None)
@given(doors, doors, edits)
def test_every_conflict_is_told_with_both_values(first: dict, second: dict, todo: list[Edit]) -> None:
    table, last = _reread(_run(first, None, LastImport()))
    mine, _ = _edit(table, todo)
    merged = _run(second, table, last)
    told = {(c.column, c.yours, c.now) for c in merged.changes if c.kind == "conflict"}
    for mark, cells in mine.items():
        for column, text in cells.items():
            was, now = first.get(mark, {}).get(column), second.get(mark, {}).get(column)
            if column != REMARKS and now and now not in (was, text) and mark in first and mark in second:
                assert (column, text, now) in told
