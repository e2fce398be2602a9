"""The window from paper into the model: where it lies on the sheet, and at what scale."""

from __future__ import annotations

from dataclasses import dataclass

from riserkit.drawings.dxf.boxes import Point, Rect
from riserkit.drawings.dxf.errors import SheetError


@dataclass(frozen=True, slots=True)
class View:
    """A viewport.

    Args:
        paper: its place on the sheet, mm from the sheet's lower left corner.
        model_center: point of the model in its middle, in drawing units (mm).
        scale: model millimetres per millimetre of paper: 1 for diagrams, 50 for a plan at 1:50.
    """

    paper: Rect
    model_center: Point
    scale: float = 1.0

    def __post_init__(self) -> None:
        if self.scale <= 0 or self.paper.width <= 0 or self.paper.height <= 0:
            raise SheetError(f"a view needs a scale and a size above zero, not {self.scale:g} and {self.paper}")

    @property
    def model(self) -> Rect:
        """What it shows of the model."""
        half_x, half_y = self.paper.width * self.scale / 2, self.paper.height * self.scale / 2
        x, y = self.model_center
        return Rect(x - half_x, y - half_y, x + half_x, y + half_y)


def view_one_to_one(paper: Rect) -> View:
    """A view in which the model has the sheet's own coordinates: 1 unit is 1 mm of paper."""
    return View(paper, paper.center)
