"""Blocks set on pages: whatever their length, each word of them is on a page, and whole."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from riserkit.drawings.prints.pdf_file import pdf_bytes
from riserkit.field.blocks import FactList, Notice, PaperBlock, PaperHeading, Paragraph
from riserkit.field.form import A4, LETTER, TELEPHONE, PaperForm
from riserkit.field.paper import Paper, pages_of
from riserkit.field.table import NO_BOX, WorkColumn, WorkTable

Pages = Callable[[Path | bytes], list[str]]
LONG = [f"word{n}" for n in range(900)]
COLUMNS = (
    WorkColumn("No.", leads=True),
    WorkColumn("What", max_mm=40),
    WorkColumn("Ok", "tick"),
    WorkColumn("Read", "blank"),
)


def paper(*blocks: PaperBlock, hold: str = "") -> Paper:
    return Paper(
        "Door 1", "Title", "P-1", "Revision A, 2026-03-01", "For construction", "A. Name", blocks, hold, "Door 1"
    )


def read(pages: Pages, form: PaperForm, *blocks: PaperBlock, hold: str = "") -> list[str]:
    return pages(pdf_bytes(pages_of(paper(*blocks, hold=hold), form)))


@pytest.mark.parametrize("form", [A4, LETTER, TELEPHONE])
@pytest.mark.parametrize(
    "block",
    [
        Paragraph(" ".join(LONG), ticked=True),
        FactList((("Remarks", " ".join(LONG)),)),
        Notice("STOP", " ".join(LONG)),
        WorkTable("T", COLUMNS, (("1", " ".join(LONG), "", "V"),)),
    ],
)
def test_nothing_of_a_long_text_is_cut(pages: Pages, form: PaperForm, block: PaperBlock) -> None:
    found = " ".join(read(pages, form, block)).split()
    assert [word for word in found if word in set(LONG)] == LONG


@pytest.mark.slow
def test_a_heading_never_stands_last_on_a_page(pages: Pages) -> None:
    for lines in range(30, 70):
        few = [Paragraph(f"line {n}") for n in range(lines)]
        table = WorkTable("Heading of rows", COLUMNS, (("first", "row", "", ""), ("second", "row", "", "")))
        for page in read(pages, A4, *few, table):
            assert ("Heading of rows" in page) == ("first row" in page or "second row" in page)


def test_the_header_of_a_table_stands_again_on_each_page_with_its_title(pages: Pages) -> None:
    rows = tuple((str(n), "text", "", "V") for n in range(80))
    found = read(pages, A4, WorkTable("Readings", COLUMNS, rows))
    assert len(found) > 1
    assert all("No. What Ok Read" in page for page in found)
    assert all("Readings, continued" in page for page in found[1:])


def test_a_table_without_rows_says_nothing(pages: Pages) -> None:
    assert "Nothing" not in read(pages, A4, WorkTable("Nothing", COLUMNS, ()), Paragraph("more"))[0]


def test_columns_that_cannot_be_so_narrow_become_cards(pages: Pages) -> None:
    columns = tuple(WorkColumn(f"Averylongheading{n}", leads=n == 0) for n in range(12))
    text = " ".join(read(pages, A4, WorkTable("T", columns, (tuple(f"value{n}" for n in range(12)),))))
    assert all(f"Averylongheading{n}: value{n}" in text for n in range(1, 12))


@pytest.mark.parametrize("form", [A4, TELEPHONE])
def test_what_is_not_to_be_ticked_has_no_box(form: PaperForm) -> None:
    def boxes(cell: str) -> int:
        pages = pages_of(paper(WorkTable("", COLUMNS, (("1", "a", cell, ""),))), form)
        return sum(len(page.drawn) for page in pages)

    assert boxes("") > boxes(NO_BOX)


def test_a_long_reason_for_a_hold_stays_within_its_band_in_lines_apart(pages: Pages) -> None:
    hold = "HOLD - DO NOT BUILD: release-on-power-loss and 4 more, see T-502-110A"
    for form in (A4, TELEPHONE):
        assert hold in read(pages, form, PaperHeading("H"), Paragraph("x"), hold=hold)[0]


def test_the_check_number_changes_with_any_word() -> None:
    table = WorkTable("T", COLUMNS, (("1", "a", "", ""),))
    other = WorkTable("T", COLUMNS, (("1", "b", "", ""),))
    checks = {paper(table).check, paper(other).check, paper(table, hold="HOLD").check, paper(table, table).check}
    assert len(checks) == 4
    assert paper(table).check == paper(table).check
