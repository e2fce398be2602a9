"""What belongs to no single door: the backbone, and the supplies that stand in closets."""

from __future__ import annotations

from collections.abc import Iterator

from riserkit.design import Design
from riserkit.reports.materials.values import CABLE_LABELS, FIBRE_ENDS, JACKS, MaterialLine, Needed, cable_line


def closet_lines(design: Design) -> Iterator[Needed]:
    """Backbone cables with their ends and labels, and shared supplies; not yet added up."""
    for run in design.backbone:
        kind = design.site.cable_type[run.cable_type]
        if run.route is not None:
            yield cable_line(kind), run.route.length_m
        yield (FIBRE_ENDS, 2 * kind.conductors) if kind.kind == "optical" else (JACKS, 2)
        yield CABLE_LABELS, 2
    for supply in design.site.supplies:
        if not supply.opening:
            part = design.site.part.get(supply.part)
            yield MaterialLine("part", supply.part, part.title if part and part.title else supply.part), 1
