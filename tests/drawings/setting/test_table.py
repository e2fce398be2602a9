"""Tables: every cell's text inside its cell as drawn, no row lost, the room never exceeded."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.dxf.text import text_bounds_mm
from riserkit.drawings.setting.listings import flow_tables
from riserkit.drawings.setting.table import LaidOutTable, Table, TableColumn, columns_of, lay_out


def _low(char: str) -> float:
    return text_bounds_mm(char, 1.0)[0]


def _high(char: str) -> float:
    return text_bounds_mm(char, 1.0)[1]


COLUMNS = (
    TableColumn("Mark"),
    TableColumn("Cable", 24, align="center"),
    TableColumn("Remarks"),
    TableColumn("Length", align="right"),
)
# Lines of letters that reach far below or above them, as some of Arabic do, come nearer than their boxes: an inspection tells of them.
LETTERS = st.characters(exclude_categories=["Cs"]).filter(lambda c: _low(c) > -0.32 and _high(c) < 1.28)
CELLS = st.text(LETTERS, max_size=60)
ROWS = st.lists(st.tuples(CELLS, CELLS, CELLS, CELLS), max_size=12)


def _cells(table: LaidOutTable, top_left: tuple[float, float]) -> list[Rect]:
    x0, y = top_left[0], top_left[1] - table.title_height_mm
    cells = []
    for row in (table.header, *table.rows):
        x = x0
        for width in table.widths_mm:
            cells.append(Rect(x, y - row.height_mm, x + width, y))
            x += width
        y -= row.height_mm
    return cells


@settings(max_examples=40)
@given(ROWS, st.floats(110, 300), st.floats(20, 200), st.sampled_from(["", "Cable schedule", "A title " * 30]))
def test_nothing_overflows_and_no_row_is_lost(
    rows: list[tuple[str, str, str, str]], width_mm: float, height_mm: float, title: str
) -> None:
    asked = Table(title, COLUMNS, tuple(rows))
    table = lay_out(asked, width_mm=width_mm, height_mm=height_mm)
    assert [*rows[: len(table.rows)], *asked.after(len(table.rows), "").rows] == rows
    assert table.rest == len(rows) - len(table.rows)
    assert table.width_mm <= width_mm + 1e-6
    if table.rows:
        assert table.height_mm <= height_mm + 1e-6
    canvas = Canvas("T-601", sheet_size("A3"))
    box = table.draw(canvas, (30, 280))
    assert (box.width, box.height) == pytest.approx((table.width_mm, table.height_mm))
    cells = _cells(table, (30, 280))
    texts = [placed.rect for placed in canvas.placed.boxes]
    heading = len(table.title_lines)
    assert all(any(cell.holds(text, 0.01) for cell in cells) for text in texts[heading:])
    assert all(box.holds(text, 0.01) for text in texts)
    assert not list(canvas.placed.clashes())


def test_rows_that_just_fit() -> None:
    """Exactly the height takes the row; a hair less leaves it over."""
    rows = (("101", "W1", "", "3 m"), ("102", "W2", "", "4 m"))
    table = Table("", COLUMNS, rows, ("opening:101", "opening:102"), (False, True))
    whole = lay_out(table, width_mm=200)
    assert [(row.subject, row.held) for row in whole.rows] == [("opening:101", False), ("opening:102", True)]
    assert not lay_out(table, width_mm=200, height_mm=whole.height_mm).rest
    assert lay_out(table, width_mm=200, height_mm=whole.height_mm - 0.01).rest == 1
    assert table.after(1, "more") == Table("more", COLUMNS, rows[1:], ("opening:102",), (True,))


def test_what_cannot_be_laid_out_is_told() -> None:
    with pytest.raises(SheetError, match="row 2 has 1 cells for 4 columns"):
        lay_out(Table("", COLUMNS, (("1", "2", "3", "4"), ("1",))), width_mm=200)
    with pytest.raises(SheetError, match="Mark, Cable, Remarks, Length need"):
        lay_out(Table("", COLUMNS, (("1" * 90, "2", "3 " * 90, "4" * 90),)), width_mm=40)


def test_a_long_table_of_fixed_columns_is_looked_at_as_far_as_it_has_room() -> None:
    """It goes on over many sheets: to look at all of it for each would take the square of its length."""

    class Row(tuple[str, ...]):
        def __iter__(self) -> Iterator[str]:
            looked_at.append(self)
            return super().__iter__()

    looked_at: list[object] = []
    rows = tuple(Row((str(n), "one")) for n in range(200))
    table = Table("", columns_of(("Mark", "Cable"), (30.0, 60.0)), rows)
    laid_out = lay_out(table, width_mm=90, height_mm=60)
    assert 3 < len(laid_out.rows) < 20
    assert laid_out.rest == 200 - len(laid_out.rows)
    assert len(looked_at) <= len(laid_out.rows) + 1
    with pytest.raises(SheetError, match="row 2 has 3 cells for 2 columns"):
        lay_out(Table("", table.columns, (("1", "2"), ("1", "2", "3"))), width_mm=90)


def test_a_long_title_is_said_whole_on_every_part_of_its_table() -> None:
    rows = tuple((f"{n}", "x") for n in range(60))
    title = "B2 from 1A.R1-B: Mezzanine over the north reading room and the gallery behind it"
    table = Table(title, columns_of(("No.", "Text"), (20.0, 60.0)), rows, tuple(f"r:{n}" for n in range(60)))
    flow = flow_tables([table], Rect(0, 0, 400, 120))
    first, *others = [" ".join(placed.table.title_lines) for placed in flow.placed]
    assert first == title
    assert len(others) >= 1
    assert set(others) == {f"{title} (continued)"}
    assert all(placed.at[1] - placed.table.height_mm >= 0 for placed in flow.placed)
    assert [row.cells[0][0] for placed in flow.placed for row in placed.table.rows] == [n for n, _ in rows]


def test_columns_go_beside_the_corner_and_begin_anew_below_a_table_that_fills_the_width() -> None:
    """Nothing of a sheet stands empty for a title block in its corner, or for a wide table above narrow ones."""
    wide = Table("Wide", columns_of(("A", "B"), (180.0, 190.0)), tuple((f"{n}", "x") for n in range(10)))
    narrow = Table("Narrow", columns_of(("A", "B"), (40.0, 70.0)), tuple((f"{n}", "x") for n in range(60)))
    corner = Rect(300, 0, 400, 90)
    flow = flow_tables([wide, narrow], Rect(0, 0, 400, 250), corner)
    assert flow.rest == ()
    sized = [(placed.table.width_mm, placed.table.height_mm, *placed.at) for placed in flow.placed]
    boxes = [Rect(x, y - height, x + width, y) for width, height, x, y in sized]
    assert not any(box.overlaps(other) for n, box in enumerate((*boxes, corner)) for other in boxes[n + 1 :])
    first, *parts = boxes
    assert [part.x0 for part in parts[:2]] == [0.0, 115.0]
    assert {part.y1 for part in parts} == {first.y0 - 5.0}
    assert parts[0].y0 < 10, "to the sheet's edge beside the corner"
    assert all(part.y0 >= 95 for part in parts if part.x1 > corner.x0 - 5)
    assert [row.cells[0][0] for placed in flow.placed[1:] for row in placed.table.rows] == [n for n, _ in narrow.rows]


def test_words_stay_whole_where_the_other_columns_can_give_way() -> None:
    columns = (
        TableColumn("Ref."),
        TableColumn("Device", max_width_mm=46),
        TableColumn("Where"),
        TableColumn("Height mm", align="right"),
    )
    rows = (("M1", "Electromagnetic lock 24 V, heavy", "unsecured side", "2134"), ("K1", "Door", "above ceiling", ""))
    table = lay_out(Table("", columns, rows), width_mm=74)
    assert table.width_mm == pytest.approx(74)
    assert table.rows[0].cells[1][0].startswith("Electromagnetic")
    narrow = lay_out(Table("", columns, rows), width_mm=56)
    assert narrow.width_mm == pytest.approx(56)
    assert not narrow.rest
