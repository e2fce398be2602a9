"""The paper: the one paperspace layout of a drawing, at the sheet's true size, with its window into the model."""

from __future__ import annotations

from typing import Any, Final, cast

from ezdxf.document import Drawing
from ezdxf.layouts.base import BaseLayout

from riserkit.drawings.dxf import layers, marks
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.dxf.view import View
from riserkit.standards.sheets import PaperSize

PLOT_STYLES: Final = "riserkit.ctb"
"""Table of plot styles beside the drawings: every colour prints black, at the weight of its layer."""
_LOCKED: Final = 0x4000
"""Flag of a viewport whose scale does not change when somebody zooms in it (published DXF reference)."""
_MARGIN: Final = 1.05
_FORBIDDEN: Final = set('<>/\\":;?*|=`,')


def layout_name(name: str) -> str:
    """The name, when it can be that of a layout.

    Raises:
        SheetError: it is empty, too long, or holds characters that DXF forbids in names.
    """
    fine = 0 < len(name.encode("utf-8", "replace")) <= 255 and name.isprintable() and name.strip() == name
    if not fine or _FORBIDDEN.intersection(name) or name.lower() == "model":
        raise SheetError(f"{name[:40]!r} cannot name a sheet; use letters, digits, dots and hyphens, such as T-601")
    return name


def set_up_paper(doc: Drawing, name: str, size: PaperSize, view: View, model_id: str, keys: marks.Keys) -> BaseLayout:
    """Name the layout, give it the sheet's size with coordinates from the sheet's corner, and open the view."""
    doc.layouts.rename(doc.layouts.names_in_taborder()[1], layout_name(name))
    paper = cast(Any, doc.layouts.get(name))
    # page_setup first: it removes viewports. No margins, so that paper coordinates start at the sheet's corner
    size_mm = width, height = (size.width_mm, size.height_mm)
    paper.page_setup(size=size_mm, units="mm", scale=(1, 1), name=size.name, device="none_device")
    paper.plot_viewport_borders(False)
    paper.print_lineweights(True)
    paper.scale_lineweights(False)
    paper.draw_viewports_first(True)
    paper.dxf.plot_type = 5  # the layout, as it lies on its paper
    paper.dxf.current_style_sheet = PLOT_STYLES
    for main in paper.viewports():
        main.dxf.layer = layers.NO_PLOT
        main.dxf.center, main.dxf.view_center_point = (width / 2, height / 2), (width / 2, height / 2)
        main.dxf.view_height = height * _MARGIN
    marks.stamp(_open_view(paper, view), model_id, keys.next(model_id, "view", "VIEWPORT"))
    _open_on_sheet(doc, paper, view)
    return cast(BaseLayout, paper)


def _open_view(paper: Any, view: View) -> Any:
    window = view.paper
    viewport = paper.add_viewport(
        center=window.center,
        size=(window.width, window.height),
        view_center_point=view.model_center,
        view_height=window.height * view.scale,
        dxfattribs={"layer": layers.NO_PLOT},
    )
    viewport.dxf.flags = viewport.dxf.flags | _LOCKED
    return viewport


def _open_on_sheet(doc: Drawing, paper: Any, view: View) -> None:
    """Have a program open the file on its sheet, the whole of it in the window; the model shows what the view shows."""
    model, (width, height) = view.model, (paper.dxf.paper_width, paper.dxf.paper_height)
    doc.set_modelspace_vport(model.height * _MARGIN, view.model_center)
    header = doc.header
    header["$TILEMODE"] = 0
    header["$LIMMIN"], header["$LIMMAX"] = (model.x0, model.y0), (model.x1, model.y1)
    header["$EXTMIN"], header["$EXTMAX"] = (model.x0, model.y0, 0.0), (model.x1, model.y1, 0.0)
    header["$PLIMMIN"], header["$PLIMMAX"] = (0.0, 0.0), (width, height)
    header["$PEXTMIN"], header["$PEXTMAX"] = (0.0, 0.0, 0.0), (width, height, 0.0)
    paper.dxf.limmin, paper.dxf.limmax = (0.0, 0.0), (width, height)
    paper.dxf.extmin, paper.dxf.extmax = (0.0, 0.0, 0.0), (width, height, 0.0)
    doc.modelspace().dxf.extmin = (model.x0, model.y0, 0.0)
    doc.modelspace().dxf.extmax = (model.x1, model.y1, 0.0)
