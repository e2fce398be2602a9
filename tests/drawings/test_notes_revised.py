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
