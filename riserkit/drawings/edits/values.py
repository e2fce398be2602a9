"""What drawing into an existing sheet did: counts for the table, and a line for each thing that was a drafter's."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal

NoteKind = Literal[
    "edited", "moved along", "taken", "deleted", "copy", "own", "definition", "void", "repaired", "set aside", "foreign"
]  # fmt: skip

HANDS: Final = frozenset({"edited", "moved along", "copy", "own", "definition"})
"""Notes on work of a drafter's that stands in the sheet: a sheet with any of it is never taken away."""


@dataclass(frozen=True, slots=True)
class Note:
    """One thing of a drafter's.

    Args:
        kind: edited, moved along (with the design), taken (the design's value, as asked), deleted, copy (of something of
            ours), own (drawn by hand), definition (a block, layer or size of paper changed by hand), void (a sheet that is
            no longer part of the set), repaired (by the check of a drawing that another program left faulty), set aside
            and foreign (files).
        subject: id in the model, or what the note is about.
        text: one sentence.
        is_conflict: the model and the drafter now say different things.
    """

    kind: NoteKind
    subject: str
    text: str
    is_conflict: bool = False


@dataclass(frozen=True, slots=True)
class SheetMerge:
    """One sheet: how many entities were kept as the drafter left them, and what became of ours.

    Args:
        sheet: file name of the drawing.
        kept: entities of the drafter's: edited, copied or drawn by hand.
        unchanged: ours, standing as they stood.
        replaced: ours, drawn anew because the model changed.
        added: new.
        removed: ours, gone from the model.
        deleted: ours, deleted by hand, and not drawn again.
        notes: a line for each thing of the drafter's.
    """

    sheet: str
    kept: int = 0
    unchanged: int = 0
    replaced: int = 0
    added: int = 0
    removed: int = 0
    deleted: int = 0
    notes: tuple[Note, ...] = field(default=())

    @property
    def conflicts(self) -> int:
        """How many things the model and the drafter disagree on."""
        return sum(note.is_conflict for note in self.notes)

    @property
    def has_hand_work(self) -> bool:
        """Anything in it is a drafter's."""
        return any(note.kind in HANDS for note in self.notes)
