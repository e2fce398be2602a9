"""What is to become of each thing of a sheet, decided before anything is changed.

A question stands on the sheet until it is answered: whoever erases its cloud says that what it holds is right, whoever
erases what it holds takes the other value.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from riserkit.drawings.dxf.aspects import aspects_of
from riserkit.drawings.dxf.marks import fingerprint, read_mark
from riserkit.drawings.dxf.record import Drawn, told
from riserkit.drawings.edits.match import Earlier, Pair
from riserkit.drawings.edits.merge import Merge, merge
from riserkit.drawings.edits.questions import QuestionKind, answered, is_open
from riserkit.drawings.edits.survey import Survey
from riserkit.drawings.edits.values import Note

Action = Literal["stand", "bring", "drop", "absent", "release", "keep"]


@dataclass(frozen=True)
class Decision:
    """What becomes of one thing.

    Args:
        pair: it as drawn earlier and as drawn now.
        action: it stands (with what `merge` says), is brought anew (likewise), is dropped, stays absent, is released to
            the drafter, or is kept though the design has it no more.
        entity: what stands for it in the drawing.
        merge: how hand and design are merged.
        note: for the report.
        asks: the kind of question it raises.
        question: that question in words.
    """

    pair: Pair
    action: Action
    entity: Any = None
    merge: Merge | None = None
    note: Note | None = None
    asks: QuestionKind | None = None
    question: str = ""

    @property
    def old(self) -> Earlier | None:
        """As drawn earlier."""
        return self.pair.earlier

    @property
    def new(self) -> Drawn | None:
        """As drawn now."""
        return self.pair.now

    @property
    def state(self) -> str | None:
        """What a drafter has done with it; None where it was not there."""
        return self.pair.earlier.state if self.pair.earlier else None

    @property
    def pair_key(self) -> str:
        """Its key, the new one where there is one."""
        return self.pair.now.key if self.pair.now else self.pair.earlier.drawn.key if self.pair.earlier else ""

    @property
    def subject(self) -> str:
        """What it stands for."""
        drawn = self.pair.now or (self.pair.earlier.drawn if self.pair.earlier else None)
        return drawn.model_id if drawn else ""

    @property
    def is_view_moved(self) -> bool:
        """The view, which is never brought anew, shows another part now."""
        return self.state == "intact" and self.action == "stand" and not self.pair.is_same


def decide(found: Survey, pair: Pair, source: Mapping[str, Any]) -> Decision:
    """What becomes of a thing.

    Args:
        found: the drawing as it was found.
        pair: the thing as drawn earlier and as drawn now.
        source: what is drawn now, by key.
    """
    old, new = pair
    if old is None:
        return Decision(pair, "bring")
    entity, drawn = found.entity.get(old.drawn.key), source[new.key] if new is not None else None
    if old.state == "deleted":
        return _deleted(found, pair, drawn)
    if old.state == "intact":
        return _intact(found, pair, entity, drawn)
    if drawn is None:
        return _gone(found, pair, entity)
    return _edited(found, pair, entity, drawn)


def _deleted(found: Survey, pair: Pair, drawn: Any) -> Decision:
    old = pair.earlier
    if drawn is None or old is None:
        return Decision(pair, "absent")
    key, subject = old.drawn.key, old.drawn.model_id
    if is_open(found, key, "edited"):
        return Decision(pair, "bring", note=Note("taken", subject, f"the design's value is taken: {told(drawn)}"))
    if pair.is_same or pair.says_the_same:  # a sheet that is laid out anew moves everything on it
        return Decision(pair, "absent", note=Note("deleted", subject, f"{told(drawn)} stays deleted"))
    return _erased(pair, "bring", None, drawn)


def _erased(pair: Pair, action: Action, entity: Any, drawn: Any) -> Decision:
    subject = pair.earlier.drawn.model_id if pair.earlier else ""
    text = f"{told(drawn)} was deleted by hand and has changed in the design since; it is drawn again, with a question"
    said = f"Erased by hand, and changed in the design since: {told(drawn)}."
    return Decision(pair, action, entity, note=Note("deleted", subject, text, True), asks="erased", question=said)


def _intact(found: Survey, pair: Pair, entity: Any, drawn: Any) -> Decision:
    old = pair.earlier
    if drawn is None or old is None:
        return Decision(pair, "drop", entity)
    stands = pair.is_same or drawn.dxftype() == "VIEWPORT"
    action: Action = "stand" if stands else "bring"
    if is_open(found, old.drawn.key, "erased"):
        return _erased(pair, action, entity, drawn)
    return Decision(pair, action, entity)


def _gone(found: Survey, pair: Pair, entity: Any) -> Decision:
    drawn = pair.earlier.drawn if pair.earlier else None
    key, subject = (drawn.key, drawn.model_id) if drawn else ("", "")
    if answered(found, key, "gone"):
        note = Note("own", subject, f"{told(entity)}, which the design has no more, is a drafter's own from now on")
        return Decision(pair, "release", entity, note=note)
    text = f"{told(entity)} kept as edited; no longer in the design"
    said = f"By hand: {told(entity)}. The design has it no more."
    return Decision(pair, "keep", entity, note=Note("edited", subject, text, True), asks="gone", question=said)


def _edited(found: Survey, pair: Pair, entity: Any, drawn: Any) -> Decision:
    old, mark, design = pair.earlier, read_mark(entity), read_mark(drawn)
    if old is None or mark is None or design is None:
        return Decision(pair, "stand", entity)
    key, subject = old.drawn.key, old.drawn.model_id
    if fingerprint(entity) == design.fingerprint and key not in found.strayed:
        return Decision(pair, "stand", entity)
    hand, designed = _two(entity, drawn)
    asked = is_open(found, key, "edited")
    whole = drawn.dxftype() == "VIEWPORT" or key in found.strayed
    merged = None if whole else merge(mark.drawn, aspects_of(entity), design.drawn)
    clashes = not pair.is_same if merged is None else bool(merged.conflicts)
    action: Action = "stand"
    if merged is not None and merged.shape == "design" and mark.drawn.shape != design.drawn.shape:
        action = "bring"
    if clashes or asked:
        text = f"{hand} kept as edited; the design has {designed}"
        said = f"By hand: {hand}. Design: {designed}."
        note = Note("edited", subject, text, True)
        return Decision(pair, action, entity, merged, note, "edited", said)
    if pair.is_same or merged is None:
        return Decision(
            pair, action, entity, merged, Note("edited", subject, f"{hand} kept as edited; riserkit draws {designed}")
        )
    if merged.is_along:
        dx, dy = merged.onward
        text = f"{hand}, moved by hand, has moved along with the design by ({dx:g}, {dy:g}): {designed}"
        return Decision(pair, action, entity, merged, Note("moved along", subject, text))
    text = f"{hand} keeps what was edited and follows the design for the rest: {designed}"
    return Decision(pair, action, entity, merged, Note("edited", subject, text))


def _two(entity: Any, drawn: Any) -> tuple[str, str]:
    """Both in words; with their layers where nothing else tells them apart."""
    hand, designed = told(entity), told(drawn)
    if hand != designed:
        return hand, designed
    return f"{hand} on layer {entity.dxf.layer}", f"{designed} on layer {drawn.dxf.layer}"
