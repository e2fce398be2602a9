"""The rule `no-cable-route`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.opening import Opening
from riserkit.network.values import CableRun
from riserkit.quantities.printed import format_length
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.rules._shared.lookups import closet_name


class NoCableRoute:
    """A way for its cable leads to every opening and every closet.

    Why:
        An opening that no pathway reaches gets no cable in the bid and a surprise on site; a closet without its
        backbone leaves all its doors dead.
    Measures:
        Whether the cable of each opening, and each backbone cable, has a route over pathways, by estimate, or a
        stated length.
    Limit:
        There is one.
    Remedy:
        The nearest closet and how far away it stands, walls and levels not counted; or a run with a stated length.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "no-cable-route"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening and each backbone cable."""
        for door in design.doors:
            yield self._door(design, door)
        for cable in design.backbone:
            yield self._backbone(cable)

    def _door(self, design: Design, door: DoorDesign) -> Finding:
        subject = ("opening", door.mark)
        route = door.cable.route if door.cable else None
        if route is not None:
            return stated(self, subject, True, f"Routed from {closet_name(design, route.from_id)}.")
        return stated(
            self,
            subject,
            False,
            "No route for its cable from any closet.",
            remedy=_remedy(design, door.opening),
        )

    def _backbone(self, cable: CableRun) -> Finding:
        ends = f"{cable.from_id} and {cable.to_id}"
        return stated(
            self, ("cable", cable.subject), cable.route is not None,
            f"{'A' if cable.route else 'No'} route for the backbone cable between closets {ends}.",
            remedy=f"Join the pathways of {ends}, or state a run between them with its length.",
        )  # fmt: skip


def _remedy(design: Design, opening: Opening) -> str:
    distances = sorted((_apart_m(design, opening, closet.id), closet.id) for closet in design.site.closets)
    if not distances:
        return "State a closet with its position."
    apart_m, nearest = distances[0]
    length = format_length(apart_m, design.site.info.unit_system)
    return (
        f"{closet_name(design, nearest)[0].upper()}{closet_name(design, nearest)[1:]} is {length} away: connect its "
        f"pathways to this opening, or state a run between them with its length."
    )


def _apart_m(design: Design, opening: Opening, closet_id: str) -> float:
    closet, level = design.site.closet[closet_id], design.site.level
    rise_m = abs(level[closet.level].elevation_m - level[opening.level].elevation_m)
    return abs(closet.x_m - opening.x_m) + abs(closet.y_m - opening.y_m) + rise_m
