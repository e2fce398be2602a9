"""Every kind of entity that riserkit draws has a fingerprint, and each of its changes another."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from ezdxf.filemanagement import new

from riserkit.drawings.dxf.marks import fingerprint
from riserkit.drawings.dxf.record import block_print

Make = Callable[[Any], Any]


def _hatch(space: Any) -> Any:
    hatch = space.add_hatch()
    hatch.paths.add_polyline_path([(0, 0), (5, 0), (5, 5)])
    return hatch


KINDS: dict[str, tuple[Make, Callable[[Any], object]]] = {
    "LINE": (lambda s: s.add_line((0, 0), (9, 9)), lambda e: setattr(e.dxf, "end", (9, 8, 0))),
    "CIRCLE": (lambda s: s.add_circle((0, 0), 4), lambda e: setattr(e.dxf, "radius", 5)),
    "ARC": (lambda s: s.add_arc((0, 0), 4, 0, 90), lambda e: setattr(e.dxf, "end_angle", 80)),
    "LWPOLYLINE": (lambda s: s.add_lwpolyline([(0, 0), (5, 5)]), lambda e: e.append((9, 9))),
    "TEXT": (lambda s: s.add_text("K1"), lambda e: setattr(e.dxf, "text", "K2")),
    "ATTDEF": (lambda s: s.add_attdef("MARK", (0, 0), "?"), lambda e: setattr(e.dxf, "insert", (3, 0, 0))),
    "MTEXT": (lambda s: s.add_mtext("Seal"), lambda e: setattr(e, "text", "{\\C1;Seal}")),
    "HATCH": (_hatch, lambda e: e.paths.clear()),
}


@pytest.mark.parametrize("kind", KINDS)
def test_a_change_by_hand_changes_the_fingerprint_of_an_entity_and_of_its_block(kind: str) -> None:
    make, change = KINDS[kind]
    block = new().blocks.new("symbol")
    entity = make(block)
    before, of_block = fingerprint(entity), block_print(block)
    assert len(before) == 16
    change(entity)
    assert len(fingerprint(entity)) == 16
    assert fingerprint(entity) != before
    assert block_print(block) != of_block
