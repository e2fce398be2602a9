"""What a cable's jacket has to be fit for: the space of each stretch of its way, and that at the door."""

from __future__ import annotations

from riserkit.design import Design
from riserkit.model.cabling import PathwayKind, PathwaySegment
from riserkit.model.opening import Opening
from riserkit.network.spots import building_of

_OUTDOOR = "outdoor"


class Spaces:
    """The spaces of one site; None where nothing states them."""

    def __init__(self, design: Design) -> None:
        self._site = design.site
        self._segments = {segment.id: self._space(segment) for segment in design.site.pathway_segments}
        self._conduits = {s.id for s in design.site.pathway_segments if s.kind is PathwayKind.CONDUIT}

    def of_segment(self, name: str) -> str | None:
        """As the segment states it; else that of a riser for a shaft, and above its level's ceiling for the rest."""
        return self._segments[name]

    def is_conduit(self, name: str) -> bool:
        """Whether the segment is a conduit, in which the code may allow more than in the open."""
        return name in self._conduits

    def crosses_floor(self, name: str) -> bool:
        """Whether the segment is stated to be above a ceiling, and leads from one level to another of its building."""
        segment = self._site.pathway_segment[name]
        return segment.space == "general" and len(self._levels(segment)) > 1

    def _levels(self, segment: PathwaySegment) -> set[str]:
        nodes = (self._site.pathway_node.get(name) for name in (segment.from_node, segment.to_node))
        return {node.level for node in nodes if node is not None}

    def above_ceiling(self, opening: Opening) -> str | None:
        """The space above the ceiling at the door, as the opening states it, else as its level does.

        Without a ceiling cables run in the room, where any listed jacket may.
        """
        if opening.ceiling_space == "none":
            return "general"
        level = self._site.level.get(opening.level)
        return opening.ceiling_space or (level.ceiling_space if level else None)

    def last_stretch(self, opening: Opening) -> str | None:
        """Where a cable from elsewhere comes to the controller: outdoors where that is, else above the door's ceiling."""
        outside = opening.outdoor and (opening.type == "gate" or opening.controller_at == "unsecured")
        return _OUTDOOR if outside else self.above_ceiling(opening)

    def at_door(self, opening: Opening) -> str | None:
        """Where cables run from device to device: an outdoor gate has no ceiling, a door has one on its secured side."""
        return _OUTDOOR if opening.type == "gate" and opening.outdoor else self.above_ceiling(opening)

    def _space(self, segment: PathwaySegment) -> str | None:
        if segment.space is not None:
            return segment.space.value
        levels = self._levels(segment)
        if len({building_of(self._site, level) for level in levels}) > 1:
            return None  # between buildings nobody's ceiling is above it
        if segment.kind is PathwayKind.RISER or len(levels) > 1:
            return PathwayKind.RISER.value
        level = self._site.level.get(next(iter(levels), ""))
        return level.ceiling_space if level else None
