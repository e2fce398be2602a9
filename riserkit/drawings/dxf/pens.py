"""Pens: how a line is drawn where its layer's own weight or line type will not do."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from riserkit.drawings.dxf import layers


@dataclass(frozen=True)
class Pen:
    """A layer with another weight or line type. `weight_mm` is one of DXF's legal line weights."""

    layer: str
    weight_mm: float | None = None
    linetype: str | None = None

    @cached_property
    def attribs(self) -> dict[str, Any]:
        """DXF attributes."""
        attribs: dict[str, Any] = {"layer": self.layer}
        if self.weight_mm is not None:
            attribs["lineweight"] = round(self.weight_mm * 100)
        if self.linetype is not None:
            attribs["linetype"] = self.linetype
        return attribs


CABLE_PEN: Final = Pen(layers.CABLE)
"""One horizontal cable."""
BUNDLE_PEN: Final = Pen(layers.CABLE, 0.50)
"""Several cables that share their way."""


def line_attribs(layer: str | Pen) -> dict[str, Any]:
    """DXF attributes of a layer's name or a pen."""
    return {"layer": layer} if isinstance(layer, str) else layer.attribs
