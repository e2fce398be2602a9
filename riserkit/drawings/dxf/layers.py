"""Layers, line types and line weights.

Names follow the layer scheme published with the national CAD standard: discipline (T telecommunications,
A architectural background), major group, minor groups of four letters (scheme verified, single names from memory).
Weights are of the series of ISO 128-2 (from memory). Colours help on a screen only and print black by the table of
plot styles beside the drawings: weight and line type carry the meaning.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from ezdxf.document import Drawing


@dataclass(frozen=True, slots=True)
class LayerStyle:
    """One layer. `weight_mm` is one of DXF's legal line weights; `color` is an index, seen on a screen only."""

    name: str
    weight_mm: float
    linetype: str
    description: str
    color: int = 7
    plots: bool = True


CABLE: Final = "T-CABL"
BACKBONE: Final = "T-CABL-BKBN"
CONDUCTOR: Final = "T-CABL-COND"
JACKET: Final = "T-CABL-JCKT"
SPARE: Final = "T-CABL-SPAR"
PATHWAY: Final = "T-CABL-TRAY"
EQUIPMENT: Final = "T-EQPM"
DIAGRAM: Final = "T-DIAG"
DIAGRAM_LIGHT: Final = "T-DIAG-LITE"
ROOM: Final = "T-DIAG-ROOM"
LEVEL: Final = "T-DIAG-LEVL"
TEXT: Final = "T-ANNO-TEXT"
IDENT: Final = "T-ANNO-IDEN"
NOTE: Final = "T-ANNO-NOTE"
LEGEND: Final = "T-ANNO-LEGN"
SCHEDULE: Final = "T-ANNO-SCHD"
SYMBOL: Final = "T-ANNO-SYMB"
DIMENSION: Final = "T-ANNO-DIMS"
MATCH_LINE: Final = "T-ANNO-MATC"
REVISION: Final = "T-ANNO-REVS"
QUESTION: Final = "T-ANNO-QUES"
VOID: Final = "T-ANNO-VOID"
TITLE_BLOCK: Final = "T-ANNO-TTLB"
NO_PLOT: Final = "T-ANNO-NPLT"
WALL: Final = "A-WALL"
DOOR: Final = "A-DOOR"
FLOOR: Final = "A-FLOR"
BACKGROUND: Final = "A-BKGD"
BACKGROUND_RGB: Final = (158, 158, 158)
"""A true colour: a table of plot styles that prints every numbered colour black leaves it as it is."""
"""Of the architect's own drawing, only where there is one."""

LAYERS: Final = (
    LayerStyle(CABLE, 0.35, "Continuous", "Horizontal cable to an opening", 150),
    LayerStyle(BACKBONE, 0.70, "Continuous", "Backbone cable between closets", 14),
    LayerStyle(CONDUCTOR, 0.25, "Continuous", "Single conductor in a wiring detail", 150),
    LayerStyle(JACKET, 0.18, "DASHED", "Cable jacket round its conductors", 132),
    LayerStyle(SPARE, 0.25, "DOT", "Conductor not used, insulated by itself", 136),
    LayerStyle(PATHWAY, 0.25, "DASHDOT", "Tray, conduit, sleeve or riser", 84),
    LayerStyle(EQUIPMENT, 0.35, "Continuous", "Equipment", 32),
    LayerStyle(DIAGRAM, 0.35, "Continuous", "Outlines in a diagram"),
    LayerStyle(DIAGRAM_LIGHT, 0.18, "Continuous", "Thin lines in a diagram", 252),
    LayerStyle(ROOM, 0.50, "Continuous", "Outline of a closet or an enclosure", 216),
    LayerStyle(LEVEL, 0.18, "CENTER", "Floor line of a level", 252),
    LayerStyle(TEXT, 0.25, "Continuous", "Text"),
    LayerStyle(IDENT, 0.25, "Continuous", "Marks, labels and references of things"),
    LayerStyle(NOTE, 0.25, "Continuous", "Notes and cautions"),
    LayerStyle(LEGEND, 0.25, "Continuous", "Legend", 251),
    LayerStyle(SCHEDULE, 0.25, "Continuous", "Tables and schedules", 251),
    LayerStyle(SYMBOL, 0.25, "Continuous", "Symbols of annotation", 32),
    LayerStyle(DIMENSION, 0.18, "Continuous", "Dimensions", 94),
    LayerStyle(MATCH_LINE, 0.70, "PHANTOM", "Match lines between sheets", 224),
    LayerStyle(REVISION, 0.50, "Continuous", "Revision clouds and deltas", 12),
    LayerStyle(QUESTION, 0.50, "Continuous", "Questions where a hand edit and the design disagree", 12),
    LayerStyle(VOID, 1.00, "Continuous", "VOID across a sheet that is no longer part of the set", 12),
    LayerStyle(TITLE_BLOCK, 0.25, "Continuous", "Frame, zones and title block"),
    LayerStyle(NO_PLOT, 0.18, "Continuous", "Not plotted: edges of views", color=8, plots=False),
    LayerStyle(WALL, 0.25, "Continuous", "Walls, background", 253),
    LayerStyle(DOOR, 0.18, "Continuous", "Door leaves and frames", 40),
    LayerStyle(FLOOR, 0.18, "HIDDEN", "Rooms and floor edges, background", 254),
)

LINETYPES_MM: Final = (
    ("DASHED", "Dashed __ __ __", (5.0, 3.5, -1.5)),
    ("HIDDEN", "Hidden _ _ _ _", (3.0, 2.0, -1.0)),
    ("DOT", "Dots . . . .", (1.5, 0.0, -1.5)),
    ("DASHDOT", "Dash dot __ . __ .", (9.0, 6.0, -1.5, 0.0, -1.5)),
    ("CENTER", "Long dash, short dash ____ _ ____", (16.0, 11.0, -1.5, 2.0, -1.5)),
    ("PHANTOM", "Long dash, two short ____ _ _ ____", (20.0, 12.0, -1.5, 1.75, -1.5, 1.75, -1.5)),
)
"""Name, description, pattern in millimetres of paper: total, then strokes (0 a dot) and gaps (negative)."""


def set_up_layers(doc: Drawing) -> None:
    """Define every layer and line type in a document, leaving those alone that are there already."""
    for name, description, pattern in LINETYPES_MM:
        if name not in doc.linetypes:
            doc.linetypes.add(name, pattern=list(pattern), description=description)
    for style in LAYERS:
        if style.name not in doc.layers:
            _add_layer(doc, style)


def _add_layer(doc: Drawing, style: LayerStyle) -> None:
    layer = doc.layers.add(
        style.name, color=style.color, linetype=style.linetype, lineweight=round(style.weight_mm * 100)
    )
    layer.dxf.plot = int(style.plots)
    layer.description = style.description
