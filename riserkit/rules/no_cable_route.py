"""The rule `no-cable-route`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.cabling import LengthBasis
from riserkit.model.opening import Opening
from riserkit.network.values import CableRun, Route
from riserkit.quantities.printed import format_length
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import closet_name


class NoCableRoute:
    """A way for its cable leads to every opening and every closet.

    Why:
        An opening that no pathway reaches gets no cable in the bid and a surprise on site; a closet without its
        backbone leaves all its doors dead.
    Measures:
        Whether the cable of each opening, and each backbone cable, has a route over pathways, by estimate, or a
        stated length. An estimate between two levels without a riser or sleeve is not evaluated. Of closets with switches
        in one building all but the main one are fed from another.
    Limit:
        There is one.
    Remedy:
        The closest closet and how far away it is, walls and levels not counted; or a run with a stated length.
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
        yield from self._unfed(design)

    def _door(self, design: Design, door: DoorDesign) -> Finding:
        subject = door.subject
        route = door.cable.route if door.cable else None
        if route is not None and _through_floors(design, door.opening, route):
            here, there = design.site.closet[route.from_id].level, door.opening.level
            return not_evaluated(
                self, subject,
                f"No pathway leads from {closet_name(design, route.from_id)} on level {here} to level {there}: where its cable"
                " passes the floors between is not stated.",
                "State the riser or sleeve between the levels in pathway_segments, or a run with its length as measured.",
            )  # fmt: skip
        if route is not None:
            return stated(self, subject, True, f"Routed from {closet_name(design, route.from_id)}.")
        return stated(
            self,
            subject,
            False,
            "No route for its cable from any closet.",
            remedy=_remedy(design, door.opening),
        )

    def _unfed(self, design: Design) -> Iterator[Finding]:
        """Closets with switches, in one building, that no other feeds: one of them is the main closet."""
        switched = {switch.closet for switch in design.site.switches}
        mains: dict[str, list[str]] = {}
        for closet in design.site.closets:
            building = design.site.level[closet.level].building
            feeds = any(other.fed_from == closet.id for other in design.site.closets)
            if not closet.fed_from and (feeds or closet.id in switched):
                mains.setdefault(building, []).append(closet.id)
        for main, *others in mains.values():
            for name in others:
                yield stated(
                    self, ("closet", name), False,
                    f"Neither {main} nor {name} is fed from another closet: no backbone joins them.",
                    severity=Severity.WARNING, about="backbone",
                    remedy=f"State fed_from of {name}, or accept this where it has an uplink of its own.",
                )  # fmt: skip

    def _backbone(self, cable: CableRun) -> Finding:
        ends = f"{cable.from_id} and {cable.to_id}"
        return stated(
            self, ("cable", cable.subject), cable.route is not None,
            f"{'A' if cable.route else 'No'} route for the backbone cable between closets {ends}.",
            remedy=f"Join the pathways of {ends}, or state a run between them with its length.",
        )  # fmt: skip


def _through_floors(design: Design, opening: Opening, route: Route) -> bool:
    """On another level, with nothing that says where the cable goes up or down."""
    known = route.basis is not LengthBasis.ESTIMATED or route.segments
    return not known and design.site.closet[route.from_id].level != opening.level


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
