"""The wiring of a door as shapes that a browser draws and that can be clicked, from the same layout as the sheet's."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.wiring.layout import lay_out
from riserkit.drawings.wiring.values import DrawnDevice, Label, PlacedSymbol, Style, WiringDiagram

_STYLE: Final = Style(with_gauge=False, share_lanes=True, columns=2)
"""Two columns: a telephone shows them one beside the other."""
_ROOM_MM: Final = 240.0
_MARGIN_MM: Final = 3.0

Shape = dict[str, object]


def wiring_picture(netlist: Netlist) -> Shape:
    """Shapes in millimetres, y downward.

    Returns:
        `size`: width and height; `boxes`, `across`: devices with outline, lines and symbols; `terminals`: name, point, where its
        label stands and how; `wires`: designation, corners from landing `a` to `b`, labels.
    """
    diagram = lay_out(netlist, _STYLE, _ROOM_MM)
    return _Flipped(diagram).shape()


class _Flipped:
    def __init__(self, diagram: WiringDiagram) -> None:
        self.diagram = diagram
        self.height = diagram.height_mm

    def shape(self) -> Shape:
        d = self.diagram
        return {
            "size": [round(d.width_mm + 2 * _MARGIN_MM, 2), round(d.height_mm + 2 * _MARGIN_MM, 2)],
            "boxes": [self._box(box) for box in d.boxes],
            "across": [
                {"ref": one.ref, "symbols": [self._symbol(one.symbol)], "texts": self._labels(one.labels)} for one in d.across
            ],
            "terminals": list(self._terminals()),
            "wires": [[w.ref, self._points(w.path), self._labels(w.labels)] for w in d.wires],
            "jackets": [
                [j.cable, *self._at((j.rect.x0, j.rect.y1)), round(j.rect.width, 2), round(j.rect.height, 2),
                 self._labels((j.label,) if j.label else ())]
                for j in d.jackets
            ],
        }  # fmt: skip

    def _box(self, box: DrawnDevice) -> Shape:
        x, y = self._at((box.rect.x0, box.rect.y1))
        return {
            "ref": box.ref,
            "rect": [x, y, round(box.rect.width, 2), round(box.rect.height, 2)],
            "texts": self._labels(box.heading),
            "lines": [self._points(stub) for stub in box.stubs],
            "dots": [self._at(dot) for dot in box.dots],
            "symbols": [self._symbol(symbol) for symbol in box.symbols],
        }

    def _symbol(self, symbol: PlacedSymbol) -> list[object]:
        return [
            f"{symbol.component}.{symbol.element}", symbol.kind, symbol.normally_closed, *self._at(symbol.center),
            symbol.plus_up,
        ]  # fmt: skip

    def _terminals(self) -> Iterator[list[object]]:
        """Each terminal once, at its first landing."""
        for box in self.diagram.boxes:
            for t in box.terminals:
                yield [f"{box.ref}.{t.name}", *self._at(t.points[0]), *self._label(t.label)]

    def _labels(self, labels: tuple[Label, ...]) -> list[list[object]]:
        return [self._label(label) for label in labels]

    def _label(self, label: Label) -> list[object]:
        return [label.text, *self._at(label.at), label.height_mm, label.align]

    def _points(self, points: tuple[Point, ...]) -> list[list[float]]:
        return [self._at(p) for p in points]

    def _at(self, point: Point) -> list[float]:
        return [round(point[0] + _MARGIN_MM, 2), round(self.height - point[1] + _MARGIN_MM, 2)]
