"""What belongs to no single door: the backbone, what stands in closets, pathways, and what closes their way through floors."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.design import Design
from riserkit.model.cabling import PathwayKind, PathwaySegment
from riserkit.model.power import Switch
from riserkit.reports.materials.values import CABLE_LABELS, FIBRE_ENDS, JACKS, METRES, MaterialLine, Needed, cable_line

FIRESTOP: Final = MaterialLine(
    "consumable",
    "",
    "Firestop, one pathway through a floor",
    note="and each rated wall passed, which the data does not tell",
)
_OF_TRADE_SIZE: Final = frozenset({PathwayKind.CONDUIT, PathwayKind.SLEEVE})
_IN_PLACE: Final = "unless in place"
_AS_DATA: Final = "as in the data; order none that is in place"


def closet_lines(design: Design) -> Iterator[Needed]:
    """Backbone, switches with their patch panels, UPSes, shared supplies, pathways, firestop; not yet added up."""
    for run in design.backbone:
        kind = design.site.cable_type[run.cable_type]
        if run.route is not None:
            yield cable_line(kind), run.route.length_m
        yield (FIBRE_ENDS, 2 * kind.conductors) if kind.kind == "optical" else (JACKS, 2)
        yield CABLE_LABELS, 2
    for switch in design.site.switches:
        yield _switch_line(switch), 1
        yield (
            MaterialLine(
                "part", "", f"Patch panel, {switch.ports - switch.uplink_ports} ports or more", note=_IN_PLACE
            ),
            1,
        )
    for ups in design.site.upses:
        yield (
            MaterialLine("part", ups.id, ups.name or "UPS", note=f"closet {design.labels.closet_of(ups.closet)}"),
            1,
        )
    for supply in design.site.supplies:
        if not supply.opening:
            yield MaterialLine("part", supply.part, design.site.part_title(supply.part)), 1
    for segment in design.site.pathway_segments:
        yield from _pathway(design, segment)


def _switch_line(switch: Switch) -> MaterialLine:
    budget = f", {switch.poe_budget_w:g} W for all ports" if switch.poe_budget_w is not None else ""
    classes = switch.port_classes or f"class {switch.poe_class}"
    return MaterialLine("part", "", f"Network switch, {switch.ports} ports, PoE {classes}{budget}", note=_IN_PLACE)


def _pathway(design: Design, segment: PathwaySegment) -> Iterator[Needed]:
    """Its length where that is known, and firestop where it goes from one level to another of the same building."""
    site = design.site
    size = segment.trade_size if segment.kind in _OF_TRADE_SIZE else ""
    named = " ".join(filter(None, (segment.kind.capitalize(), size)))
    if segment.kind in _OF_TRADE_SIZE and not size:
        named += ", size not stated"
    yield MaterialLine("pathway", "", named, METRES, _AS_DATA), design.router.pathways.length_m(segment.id)
    ends = [site.pathway_node[node].level for node in (segment.from_node, segment.to_node)]
    buildings = [site.level[level].building for level in ends]
    if ends[0] != ends[1] and buildings[0] == buildings[1]:
        yield FIRESTOP, 1
