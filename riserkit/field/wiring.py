"""The wiring of a door as pictures that a page can hold: whole where it can be read, else in parts, as the sheets have it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.drawings.door.wiring_parts import part, wiring_parts
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.prints.pdf import PdfPage
from riserkit.drawings.prints.surface import PictureSurface
from riserkit.drawings.wiring.draw import draw_wiring
from riserkit.drawings.wiring.layout import Layouts, SizedDiagram
from riserkit.drawings.wiring.values import Style
from riserkit.field.blocks import BESIDES_MM, Picture
from riserkit.field.form import PaperForm

_MARGIN_MM: Final = 2.0
_LEAST_SCALE: Final = 0.8
"""Below this, lettering of 2.5 mm is smaller than 2 mm, and the wiring is cut into parts."""
_STYLES: Final = (Style(), Style(share_lanes=True), Style(with_gauge=False, share_lanes=True))
_MOST_COLUMNS: Final = 4


def wiring_pictures(
    netlist: Netlist, mark: str, form: PaperForm, block_folders: tuple[Path, ...] = ()
) -> tuple[Picture, ...]:
    """Pictures that together show every conductor of a door.

    On a page as wide as a telephone each cable has a picture of its own; leads go with the cable of their device.

    Args:
        netlist: closets by their labels.
        mark: of the opening.
        form: the page.
        block_folders: the site's own blocks, before the shipped ones.
    """
    if not netlist.conductors:
        return ()
    parts = tuple(_by_cable(netlist)) if form.is_narrow else _parts(netlist, form)
    found = []
    for n, one in enumerate(parts, 1):
        title = _title(one, n, len(parts))
        found.append(Picture(_drawn(_best(one, form), mark, block_folders), title))
    return tuple(found)


def _title(one: Netlist, n: int, count: int) -> str:
    cables = ", ".join(cable.ref for cable in one.cables)
    if count == 1:
        return ""
    return f"Part {n} of {count}: {cables}" if cables else f"Part {n} of {count}"


def _parts(netlist: Netlist, form: PaperForm) -> tuple[Netlist, ...]:
    try:
        return wiring_parts(netlist, lambda one: _scale(_best(one, form), form) >= _LEAST_SCALE)
    except SheetError:
        # devices larger than a page are shown smaller, never left out
        return (netlist,)


def _by_cable(netlist: Netlist) -> Iterator[Netlist]:
    taken: set[str] = set()
    for cable in netlist.cables:
        mine = [c for c in netlist.conductors if c.cable == cable.ref]
        ends = {end.component for c in mine for end in (c.a, c.b)}
        leads = [
            c
            for c in netlist.conductors
            if not c.cable and c.ref not in taken and {c.a.component, c.b.component} & ends
        ]
        # a suppressor's leads belong with the cable that ends at its lock
        leads = leads if cable.role == "lock" or not any(other.role == "lock" for other in netlist.cables) else []
        taken |= {c.ref for c in leads}
        if mine:
            yield part(netlist, [*mine, *leads])
    rest = [c for c in netlist.conductors if not c.cable and c.ref not in taken]
    if rest:
        yield part(netlist, rest)


def _best(netlist: Netlist, form: PaperForm) -> SizedDiagram:
    """The diagram that stands largest on the page; of those as large, the one that says most."""
    room_mm = form.height_mm - 2 * form.margin_mm - BESIDES_MM
    layouts = Layouts(netlist, round(room_mm, 1))
    styles = _STYLES[-1:] if form.is_narrow else _STYLES
    sized = [
        layouts.sized(style, columns)
        for style in styles
        for columns in dict.fromkeys((2, *layouts.ranked_columns(style, _MOST_COLUMNS)))
    ]
    return max(sized, key=lambda one: round(_scale(one, form), 3))


def _scale(sized: SizedDiagram, form: PaperForm) -> float:
    wide, high = form.room_mm, form.height_mm - 2 * form.margin_mm - BESIDES_MM
    return min(1.0, wide / (sized.width_mm + 2 * _MARGIN_MM), high / (sized.height_mm + 2 * _MARGIN_MM))


def _drawn(sized: SizedDiagram, mark: str, block_folders: tuple[Path, ...]) -> PdfPage:
    surface = PictureSurface(sized.width_mm + 2 * _MARGIN_MM, sized.height_mm + 2 * _MARGIN_MM, block_folders)
    draw_wiring(surface, sized.drawn(), (_MARGIN_MM, _MARGIN_MM), f"opening:{mark}")
    return surface.picture()
