"""Notes are revised one by one: a new one clouds itself, and renumbering or another line break clouds nothing."""

from __future__ import annotations

from riserkit.drawings.dxf.boxes import PlacedBox, Rect
from riserkit.drawings.revisions.content import SaidLine, _lines


def _said(words: str) -> list[SaidLine]:
    box = PlacedBox(Rect(0.0, 0.0, 100.0, 40.0), "text", "opening:1/notes", 0, words)
    return list(_lines([box], 1.0, with_places=False))


def test_a_new_note_is_the_only_one_that_is_new() -> None:
    was = _said("1. Land wires by\nname.\n2. Test the door.\n3. Sign.")
    now = _said("1. Land wires\nby name.\n2. Photograph it.\n3. Test the door.")
    known = {line.digest for line in was}
    assert len(was) == len(now) == 3
    assert [line.digest in known for line in now] == [True, False, True]
    new = now[1]
    assert new.rect == Rect(0.0, 10.0, 100.0, 20.0)


def test_notes_without_numbers_are_one() -> None:
    assert len(_said("Nothing is open\nat this opening.")) == 1


def _text(words: str, subject: str, x0: float, x1: float) -> PlacedBox:
    return PlacedBox(Rect(x0, 0.0, x1, 3.0), "text", subject, 0, words)


def test_far_texts_of_one_device_are_two_lines_where_another_thing_stands_between() -> None:
    balloon, line = _text("M1", "opening:1/M1", 0.0, 5.0), _text("Lock, 24 V", "opening:1/M1", 200.0, 230.0)
    between = _text("K1", "opening:1/K1", 100.0, 105.0)
    own = [said for said in _lines([balloon, between, line], 1.0, with_places=False) if said.model_id == "opening:1/M1"]
    assert [said.rect for said in own] == [balloon.rect, line.rect]


def test_cells_of_a_row_are_one_line_over_empty_cells() -> None:
    mark, lock = _text("101", "opening:1", 0.0, 8.0), _text("strike", "opening:1", 200.0, 220.0)
    (said,) = _lines([mark, lock], 1.0, with_places=False)
    assert said.rect == Rect(0.0, 0.0, 220.0, 3.0)
