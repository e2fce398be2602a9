"""Whose an entity is, told from its mark."""

from __future__ import annotations

from typing import Literal

from ezdxf.entities import DXFEntity

from riserkit.drawings.dxf.marks import fingerprint, read_mark


def origin(entity: DXFEntity) -> Literal["ours", "edited", "manual"]:
    """Ours as drawn, ours but edited, or drawn by hand."""
    mark = read_mark(entity)
    if mark is None:
        return "manual"
    return "ours" if mark.fingerprint == fingerprint(entity) else "edited"
