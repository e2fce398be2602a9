"""Cable carriers as nodes and segments of pathways."""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from itertools import pairwise

from riserkit.importing.facts import PathwayFact, Point
from riserkit.importing.names import number_text, unlike
from riserkit.importing.row import ImportedCell, Row


def pathways_of(ways: Sequence[PathwayFact]) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """Nodes where stretches end, each once within a hand's breadth, and the segments between them."""
    nodes: list[Row] = []
    segments: list[Row] = []
    found: list[tuple[str, Point, str]] = []
    for way in ways:
        ends = []
        for at_m in way.points_m:
            known = next((n for level, p, n in found if level == way.level and math.dist(p, at_m) <= 0.15), "")
            if not known:
                known = unlike(_short(f"N{way.identity}{at_m}", "N"), {row.key for row in nodes})
                found.append((way.level, at_m, known))
                cells = {"id": ImportedCell(known, way.at, "made of the carrier's own id"), "level": ImportedCell(way.level, way.at),
                         "x_m": ImportedCell(number_text(at_m[0]), way.at), "y_m": ImportedCell(number_text(at_m[1]), way.at)}  # fmt: skip
                if way.elevation_m is not None and way.elevation_m > 0:
                    cells["height_m"] = ImportedCell(number_text(way.elevation_m), way.at)
                nodes.append(Row(known, cells, f"{way.identity} {number_text(at_m[0])} {number_text(at_m[1])}"))
            ends.append(known)
        for part, (one, other) in enumerate(pairwise(ends)):
            if one == other:
                continue
            name = unlike(_short(f"{way.identity} {part}", "S"), {row.key for row in segments})
            cells = {"id": ImportedCell(name, way.at, "made of the carrier's own id"), "from_node": ImportedCell(one, way.at),
                     "to_node": ImportedCell(other, way.at), "kind": ImportedCell(way.kind, way.at)}  # fmt: skip
            segments.append(Row(name, cells, f"{way.identity} {part}"))
    return tuple(nodes), tuple(segments)


def _short(text: str, letter: str) -> str:
    return f"{letter}{zlib.crc32(text.encode()) & 0xFFFFFF:06x}"
