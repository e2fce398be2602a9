"""One sheet of a set, with all that the set knows of it before it is drawn."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from typing import Literal

from riserkit.drawings.setting.frames import Sheet

SheetKind = Literal["cover", "plan", "door", "typical", "riser", "schedule", "void"]


@dataclass(frozen=True)
class SheetJob(Sheet):
    """A sheet with what the set, its index and the next build need to know of it.

    Args:
        kind: cover, plan, door, typical, riser, schedule, or void (of an earlier set, and of this one no more).
        subject: the opening's mark of a door detail or a counterexample, empty otherwise.
        group: door details of one level, or sheets of one schedule, which the index may list together.
        inputs: a digest of all that it is drawn from; empty when that is not known.
        alike: equal for sheets whose wiring is laid out alike, so that one process draws them and lays it out once.
    """

    kind: SheetKind = "door"
    subject: str = ""
    group: str = ""
    inputs: str = ""
    alike: Hashable = ""

    @property
    def file_name(self) -> str:
        """Of its drawing."""
        return f"{self.sheet_id}.dxf"
