"""A problem is one printable line that says where, what was seen and what would do."""

from __future__ import annotations

import pytest

from riserkit.model.problems import InputError, Problem, Where, offer, shorten


@pytest.mark.parametrize(
    ("problem", "text"),
    [
        (Problem(Where("a.csv", 3), "x_m", "west", "expected 42"), "a.csv, row 3, column x_m: saw 'west'; expected 42"),
        (Problem(Where("a.json", pointer="/openings/2"), "x_m", "", "gone"), "a.json, /openings/2, column x_m; gone"),
        (Problem(Where("a.csv"), "", "", "empty"), "a.csv; empty"),
        (Problem(Where("a.csv", 1), "x\ny", "", "bad"), "a.csv, row 1, column 'x\\ny'; bad"),
        (Problem(Where("\x1b[2J"), "", "\x1b", "bad"), "'\\x1b[2J': saw '\\x1b'; bad"),
        (Problem(Where("a", pointer="/\ud800"), "", "", "bad"), "a, '/\\ud800'; bad"),
    ],
)
def test_one_line(problem, text):
    assert str(problem) == text


def test_an_error_has_each_problem_once_in_reading_order():
    def at(pointer: str, row: int = 0) -> Problem:
        return Problem(Where("a", row, pointer), "", "", "x")

    error = InputError([at("/o/10"), at("/o/9"), at("", 12), at("", 2), at("/o/9"), at("/p")])
    assert [(p.where.row, p.where.pointer) for p in error.problems] == [
        (0, "/o/9"), (0, "/o/10"), (0, "/p"), (2, ""), (12, ""),
    ]  # fmt: skip
    assert str(error).startswith("5 problems in the input:\n  a, /o/9; x\n")
    assert str(InputError([at("/p")])).startswith("1 problem in the input:")


def test_what_is_wrong_alike_in_more_than_a_few_rows_is_one_line():
    def told(rows: list[int]) -> list[str]:
        problems = [Problem(Where("a.csv", row), "x_m", "west", "expected 42") for row in rows]
        other = Problem(Where("a.csv", 4), "x_m", "east", "expected 42")
        first, *lines = str(InputError([*problems, other])).splitlines()
        assert first == f"{len(rows) + 1} problems in the input:"
        return lines

    one = "  a.csv, row 4, column x_m: saw 'east'; expected 42"
    assert told([3, 5, 6]) == [
        "  a.csv, row 3, column x_m: saw 'west'; expected 42", one,
        "  a.csv, row 5, column x_m: saw 'west'; expected 42", "  a.csv, row 6, column x_m: saw 'west'; expected 42",
    ]  # fmt: skip
    assert told([3, 5, 6, 7, 9]) == ["  a.csv, rows 3, 5 to 7, 9, column x_m: saw 'west'; expected 42", one]
    assert told([3, *range(10, 100, 2)])[0].startswith("  a.csv, rows 3, 10, 12, ")
    assert ", 46, and 26 more, column" in told([3, *range(10, 100, 2)])[0]


def test_shorten_keeps_60_characters():
    assert shorten("x" * 60) == "x" * 60
    assert shorten("x" * 61) == "x" * 60 + "... (61 characters)"
    assert shorten(12.5) == "12.5"


def test_offer_disregards_case_and_limits_itself():
    assert offer("MARC", ["mark", "level"]) == "did you mean mark?"
    assert (
        offer("zzz", [f"n{i:02}" for i in range(30)]) == "known: " + ", ".join(f"n{i:02}" for i in range(12)) + ", ..."
    )
    assert offer("x" * 1_000_000, ["mark"]) == "known: mark"
