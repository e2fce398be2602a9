"""Files that stand beside the drawings: the font of all lettering with its licence, and the table of plot styles."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path
from typing import Final

from ezdxf.addons.acadctb import ColorDependentPlotStyles

from riserkit.drawings.dxf.document import write_whole
from riserkit.drawings.dxf.paper import PLOT_STYLES
from riserkit.drawings.dxf.text import FONT_FILE, font_path

FONT_LICENCE: Final = "LICENSE-DejaVu.txt"
_HEADER: Final = b"PIAFILEVERSION_2.0,CTBVER1,compress\r\npmzlibcodec"
BESIDE: Final = (FONT_FILE, FONT_LICENCE, PLOT_STYLES)
"""Names of the files."""


def write_beside(folder: Path) -> tuple[Path, ...]:
    """Put the files into a folder of drawings; one that is there already with the same content is left alone.

    Raises:
        DrawingError: the folder cannot be written.
        FontError: the shipped font is missing.
    """
    fonts = font_path().parent
    content = {name: (fonts / name).read_bytes() for name in (FONT_FILE, FONT_LICENCE)} | {PLOT_STYLES: plot_styles()}
    for name, wanted in content.items():
        path = folder / name
        if not path.is_file() or path.read_bytes() != wanted:
            write_whole(path, wanted)
    return tuple(folder / name for name in BESIDE)


def plot_styles() -> bytes:
    """The table of plot styles: every colour in black, widths those of the layers."""
    table = ColorDependentPlotStyles("All colours print black; line weights are those of the layers.")
    for index in range(1, 256):
        table[index].color = (0, 0, 0)
    stream = io.StringIO()
    table.write_content(stream)
    plain = (stream.getvalue() + "\0").encode()
    packed = zlib.compress(plain)
    # the library writes these three numbers in the machine's own size; the format has them in four bytes each
    return _HEADER + struct.pack("<LLL", zlib.adler32(packed), len(plain), len(packed)) + packed
