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


def test_a_number_alone_at_the_end_of_a_line_begins_its_note() -> None:
    was, now = _said("1. Test.\n2. Label both ends."), _said("1. Test.\n2.\nLabel both ends.")
    assert [line.digest for line in was] == [line.digest for line in now]


def _text(words: str, subject: str, x0: float, x1: float, row: int = 0, passage: int = 0) -> PlacedBox:
    return PlacedBox(Rect(x0, 0.0, x1, 3.0), "text", subject, 0, words, passage, row)


def test_texts_of_one_thing_are_a_line_each() -> None:
    """Whether a balloon stands level with a line of the same device's box is chance."""
    balloon, line = _text("M1", "opening:1/M1", 0.0, 5.0), _text("Lock, 24 V", "opening:1/M1", 10.0, 40.0)
    assert [said.rect for said in _lines([balloon, line], 1.0, with_places=False)] == [balloon.rect, line.rect]


def test_cells_of_a_row_are_one_line_wherever_their_words_break() -> None:
    def said(*lock: str) -> SaidLine:
        cells = [_text("101", "opening:1", 0.0, 8.0, 1, 1)]
        cells += [_text(words, "opening:1", 200.0, 220.0, 1, 2) for words in lock]
        (found,) = _lines(cells, 1.0, with_places=False)
        return found

    assert said("strike, fail-secure").rect == Rect(0.0, 0.0, 220.0, 3.0)
    assert (
        said("strike, fail-secure").digest
        == said("strike,", "fail-secure").digest
        == said("strike, fail-sec", "ure").digest
    )
    assert said("strike, fail-secure").digest != said("strike, fail-safe").digest


def test_a_row_whose_words_move_from_cell_to_cell_is_another() -> None:
    def said(*cells: str) -> SaidLine:
        (found,) = _lines(
            [_text(words, "opening:1", 9.0 * n, 9.0 * n + 8, 1, n) for n, words in enumerate(cells, 1)],
            1.0,
            with_places=False,
        )
        return found

    assert said("W1", "2 red").digest != said("W12", "red").digest
