"""Floor plans of a design, as a set has them."""

from __future__ import annotations

from riserkit.checked import Checked
from riserkit.design import Design
from riserkit.drawings.dxf.canvas import NO_INFO, DrawingInfo
from riserkit.drawings.plan.sheets import FloorPlans, plan_floor_plans, plan_levels


def floor_plans(made: Design, info: DrawingInfo = NO_INFO) -> FloorPlans:
    """All that has no findings."""
    return plan_floor_plans(made, plan_levels(Checked(made), info), info)
