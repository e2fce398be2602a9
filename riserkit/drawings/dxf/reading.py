"""A drawing read from its file, and kept within bounds: whatever a file says, work and memory have an end."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import shapely.errors
from ezdxf.document import Drawing

from riserkit.drawings.dxf.errors import UNWORKABLE, ContentError, DrawingError, why_unworkable
from riserkit.drawings.dxf.file_tags import read_dxf

_MOST_BYTES: Final = 200_000_000
MOST_PAPER_MM: Final = 10_000.0
MOST_PIECES: Final = 1_000_000
"""Of one sheet, those of a block once for each time it stands there; a full sheet has some thousands."""
MOST_DEPTH: Final = 64
"""Of blocks in blocks."""
_MOST_CHARS: Final = 50_000


def read_drawing(path: Path) -> Drawing:
    """Read a drawing.

    Raises:
        UNREADABLE: it is none, is too large, or is no file; a pipe of that name would be waited for.
    """
    if path.exists() and not path.is_file():
        raise OSError(f"{path} is no file")
    if path.stat().st_size > _MOST_BYTES:
        raise OSError(f"it is larger than {_MOST_BYTES // 10**6} MB")
    return read_dxf(path)


@contextmanager
def workable(name: str, doing: str) -> Iterator[None]:
    """Have what no drawing holds told with the name of the drawing or sheet; where it lies may be a folder of the moment.

    Raises:
        DrawingError: there is such a thing.
    """
    try:
        yield
    except (*UNWORKABLE, shapely.errors.ShapelyError) as error:
        raise DrawingError(why_unworkable(name, doing, error)) from error


def paper_of(doc: Drawing, name: str) -> tuple[float, float]:
    """Width and height of a layout's paper, in millimetres.

    Raises:
        DrawingError: it has none that paper can have.
    """
    layout: Any = doc.layouts.get(name)
    width, height = float(layout.dxf.paper_width), float(layout.dxf.paper_height)
    if not (0 < width <= MOST_PAPER_MM and 0 < height <= MOST_PAPER_MM):
        raise DrawingError(f"the sheet {name} has no size that paper can have; set up its page and save it again")
    return width, height


def check_bounds(doc: Drawing, layouts: Iterable[Iterable[Any]]) -> None:
    """Refuse layouts whose blocks, taken apart, would have no end; nothing is taken apart for it.

    Raises:
        ContentError: a block holds itself, blocks are nested too deep, all is more than `MOST_PIECES`, or a text is a book.
    """
    known: dict[str, int] = {}
    if sum(_pieces(doc, layout, known, ()) for layout in layouts) > MOST_PIECES:
        raise ContentError(f"more than {MOST_PIECES} lines and texts, with all that its blocks hold")


def _pieces(doc: Drawing, entities: Iterable[Any], known: dict[str, int], within: tuple[str, ...]) -> int:
    count = 0
    for entity in entities:
        count += 1
        if entity.dxftype() == "INSERT":
            count += entity.mcount * _of_block(doc, entity.dxf.get("name", ""), known, within)
        elif entity.dxftype() == "MTEXT" and len(entity.text) > _MOST_CHARS:
            raise ContentError(f"a text of {len(entity.text)} characters")
    return count


def _of_block(doc: Drawing, name: str, known: dict[str, int], within: tuple[str, ...]) -> int:
    if name in known:
        return known[name]
    if name in within:
        raise ContentError(f"block {name} holds itself")
    if len(within) >= MOST_DEPTH:
        raise ContentError(f"blocks in blocks more than {MOST_DEPTH} deep")
    block: Any = doc.blocks.get(name)
    known[name] = 0 if block is None else _pieces(doc, block, known, (*within, name))
    return known[name]
