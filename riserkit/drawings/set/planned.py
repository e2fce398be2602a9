"""Floor plans as an earlier build laid them out: while all that they show is the same, so is each of their sheets.

To lay them out is a large part of a build that has little to draw. What the set and its index need to know of them is kept; they
are laid out only when a sheet of them is drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from typing import Any, Final

from riserkit.design import Design
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.plan.sheets import FloorPlans, draw_plan_sheet, plan_floor_plans
from riserkit.drawings.plan.values import PlanLevel
from riserkit.drawings.setting.scale import DrawingScale
from riserkit.kept import value_digest

_PLANS: Final = "plans"


@dataclass(frozen=True, slots=True)
class PlannedSheet:
    """One sheet of a plan. `shown`: a digest of all that it is drawn from besides the facts that the sheets of a set share."""

    sheet_id: str
    title: str
    on_record: str
    shown: str


@dataclass(frozen=True, slots=True)
class SetPlans:
    """The plans of a set. `levels`: ids of those that are drawn, in order; `scale`: None where there is no plan."""

    sheets: tuple[PlannedSheet, ...] = ()
    levels: tuple[str, ...] = ()
    scale: DrawingScale | None = None


def set_plans(
    design: Design, info: DrawingInfo, levels: Sequence[PlanLevel], common: Iterable[str]
) -> tuple[SetPlans, Callable[[int], Canvas]]:
    """The plans of these levels, and what draws one of their sheets by its number, from 0.

    Args:
        design: the whole design.
        info: what goes into every file besides its drawing.
        levels: all that the plans show.
        common: digests of what else they are drawn from: what all sheets share, and the drawings behind them.

    Raises:
        SheetError: the site asks for a size that is not known.
    """

    @cache
    def laid_out() -> FloorPlans:
        return plan_floor_plans(design, levels, info)

    def draw(number: int) -> Canvas:
        return draw_plan_sheet(laid_out(), number)

    values = tuple(common), tuple(levels), design.site.issued_labels
    return design.kept.of(_PLANS, values, lambda: _planned(laid_out()), _read, asdict), draw


def _planned(plans: FloorPlans) -> SetPlans:
    sheets = tuple(
        PlannedSheet(sheet_id, plans.title(n), plans.on_record(n), value_digest(plans.shown(n)))
        for n, sheet_id in enumerate(plans.sheet_ids)
    )
    return SetPlans(sheets, tuple(level.id for level in plans.levels), plans.pages.scale if plans.pages else None)


def _read(told: Mapping[str, Any]) -> SetPlans:
    sheets = tuple(PlannedSheet(**sheet) for sheet in told["sheets"])
    return SetPlans(sheets, tuple(told["levels"]), DrawingScale(*told["scale"]) if told["scale"] else None)
