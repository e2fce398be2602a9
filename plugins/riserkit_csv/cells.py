"""What a single cell says: formulas, the apostrophe that guards text, decimal commas, yes and no, units.

A cell stays text; what the text means is the model's to judge. The apostrophe is that of `riserkit.model.guarded`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Final

from riserkit.model.guarded import guard, unguard
from riserkit_csv.columns import Column
from riserkit_csv.table import CsvTable

__all__ = ["FORMULA", "FormulaError", "Scalar", "cell_reader", "decimal_sign", "guard", "unguard"]

Scalar = str | bool | int | float
FORMULA: Final = "expected a value; this is a formula, so save the table with values only, or write '= for text"
_BARE_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d+)?|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_POINT = re.compile(r"[+-]?\d+\.\d+(?![\d,])", re.ASCII)
_COMMA = re.compile(r"([+-]?\d+),(\d+)(?![\d.,])", re.ASCII)
_GROUPED = re.compile(r"([+-]?[1-9]\d{0,2}(?:\.\d{3})+),(\d+)(?![\d.,])", re.ASCII)
_DOUBTFUL = re.compile(r"[+-]?[1-9]\d{0,2}(?:\.\d{3})+(?![\d.,])", re.ASCII)
_TICKED: Final = frozenset({"x", "✓", "✔"})


class FormulaError(ValueError):
    """The cell does not hold its value: it is a formula, or a number that can be read in two ways."""


def decimal_sign(table: CsvTable, columns: tuple[Column, ...], stated: str) -> str:
    """The decimal sign of a table's bare numbers.

    A table divided by semicolons has decimal commas (spreadsheets use the semicolon just because the comma is taken),
    unless a number in it is written with a point.
    """
    if stated:
        return stated
    if table.delimiter != ";":
        return "."
    numeric = [c.index for c in columns if c.facts.kind in {"number", "quantity", "whole"}]
    pointed = any(_POINT.match(cells[i].strip()) for _, cells in table.rows for i in numeric)
    return "." if pointed else ","


def cell_reader(column: Column, translation: Mapping[str, Scalar], decimal: str) -> Callable[[str], Scalar]:
    """A function from a column's stripped, filled cells to values. It raises `FormulaError`."""
    shape = _shaper(column, decimal)

    def read(cell: str) -> Scalar:
        if cell in translation:
            return translation[cell]
        if cell[0] == "=":
            raise FormulaError(FORMULA)
        return shape(unguard(cell) if cell[0] == "'" else cell)

    return read


def _with_point(text: str) -> str:
    """A number with a decimal comma as one with a point; points that part thousands are taken out."""
    grouped = _GROUPED.match(text)
    if grouped:
        return f"{grouped[1].replace('.', '')}.{grouped[2]}{text[grouped.end() :]}"
    doubtful = _DOUBTFUL.match(text)
    if doubtful:
        whole = doubtful[0].replace(".", "")
        last = doubtful[0].count(".") == 1
        raise FormulaError(
            f"expected {whole}" + (f" or {doubtful[0].replace('.', ',')}" if last else "")
            + "; in a table with decimal commas this point may part thousands"
        )  # fmt: skip
    return _COMMA.sub(r"\1.\2", text, count=1)


def _shaper(column: Column, decimal: str) -> Callable[[str], str]:
    kind, unit = column.facts.kind, column.unit

    def yes_no(text: str) -> str:
        return "yes" if text.lower() in _TICKED else text

    def number(text: str) -> str:
        text = _with_point(text) if decimal == "," else text
        return f"{text} {unit}" if unit and _BARE_NUMBER.fullmatch(text) else text

    if kind == "yes-no":
        return yes_no
    if kind in {"number", "whole", "quantity"} and (decimal == "," or unit):
        return number
    return str
