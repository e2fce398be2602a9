"""One sheet of the floor plans: a window of a level at a scale, and what it is called."""

from __future__ import annotations

from dataclasses import dataclass

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.plan.placed import PlanView
from riserkit.drawings.setting.scale import DrawingScale


@dataclass(frozen=True)
class PlanPage:
    """One sheet: what it shows, which part of its level that is, and the identifications of the sheets of the level.

    Args:
        view: what it shows, devices placed.
        part: which of the windows, from 0; of an enlarged plan nothing.
        windows: all parts of the level, mm of paper at the scale of the plans.
        scale: its own.
        area: of an enlarged plan, which one of its level from 1; 0 of the plans themselves.
        sheet_id: its identification.
        sheet_ids: those of the level's parts.
    """

    view: PlanView
    part: int
    windows: tuple[Rect, ...]
    scale: DrawingScale
    area: int = 0
    sheet_id: str = ""
    sheet_ids: tuple[str, ...] = ()

    @property
    def on_record(self) -> str:
        """What the record of issued labels calls it."""
        which = f"enlarged {self.area}" if self.area else f"{self.part + 1}"
        return f"plan {self.view.level.id} {which}"

    @property
    def parts(self) -> int:
        """How many sheets the level takes, enlarged plans left out."""
        return len(self.windows)

    @property
    def has_key(self) -> bool:
        """It shows a part of its level, so that a key plan says which."""
        return self.parts > 1 or self.area > 0

    @property
    def title(self) -> str:
        """Title of the sheet."""
        title = self.view.level.title
        if self.area:
            return f"Enlarged plan, {title}, area {self.area}"
        return f"Plan, {title}, part {self.part + 1} of {self.parts}" if self.parts > 1 else f"Plan, {title}"
