"""Parts and cable types that a site may use without stating them: those that ship, and those of plugins."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from riserkit.model import catalogue
from riserkit.model.cabling import CableType
from riserkit.model.parts import Part


@dataclass(frozen=True, slots=True)
class Stock:
    """What is available besides a site's own parts and cable types. A site's own of the same id takes its place."""

    parts: tuple[Part, ...]
    cable_types: tuple[CableType, ...]


SHIPPED_STOCK: Final = Stock(catalogue.PARTS, catalogue.CABLE_TYPES)
