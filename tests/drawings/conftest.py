"""What the drawing tests share: a small sheet that uses everything a canvas can draw."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.dxf.title_block import TitleBlock
from riserkit.drawings.setting.sheet import GAP_MM, RevisionLine, SheetFrame
from riserkit.drawings.setting.table import Table, TableColumn, lay_out

ODD_NAMES = (
    "Vault 7 %%c",
    "100%%%",
    "a^Jb ^",
    r"\P{\fArial;}",
    r"\U+0041 \M+1",
    'say "no" / <b>',
    "=1+1",
    "Ångström ñ €",
    "e\u0301tage",
    "門",
    "🚪 out",
    "tab\tand\nline",
    "bell \x07",
    "\u202eevil",
    "|" * 40,
)

TITLE = TitleBlock(
    legal_owner="Municipal Archive Trust",
    number="ARC-T-601",
    title="Riser diagram",
    project="Archive annex",
    sheet="1 of 3",
    date_of_issue="2026-05-04",
    created_by="R. Ashdown",
    approved_by="M. Ferreira",
    document_type="Riser diagram",
    supplementary_title="Levels 00 to 02",
    revision="B",
)
REVISIONS = (
    RevisionLine("A", "2026-03-02", "First issue", "RA"),
    RevisionLine("B", "2026-05-04", "Door 214 moved", "RA"),
)
SAMPLE = {
    "REF": "-K1",
    "LABEL": "12 V",
    "MARK": "101A",
    "TITLE": "Closet 01A",
    "PORTS": "24 ports",
    "REV": "B",
    "PLACE": "door",
}


def draw_chart(canvas: Canvas, room: Rect) -> None:
    """Every symbol with its name, in rows."""
    for n, symbol in enumerate(SYMBOLS.values()):
        x, y = room.x0 + 30 + n % 7 * 56, room.y1 - 14 - n // 7 * 36
        with canvas.subject(f"symbol:{symbol.name}"):
            canvas.insert(symbol.name, (x, y), {tag: SAMPLE[tag] for tag in symbol.tags})
            canvas.text(symbol.name, (x, y - 22), 2.5, "center", layers.LEGEND)


def draw_everything(canvas: Canvas) -> None:
    """One of each thing that a canvas draws, a dimension excepted."""
    with canvas.subject("opening:101A"):
        canvas.line((40, 60), (140, 60), layers.CABLE)
        canvas.polyline([(40, 70), (60, 70), (60, 80)], layers.BACKBONE)
        canvas.rect(Rect(40, 90, 60, 100))
        canvas.circle((80, 95), 4, layers.EQUIPMENT)
        canvas.arc((95, 95), 4, 0, 120, layers.EQUIPMENT)
        canvas.fill([(110, 90), (120, 90), (115, 98)])
        canvas.hatch([(130, 90), (150, 90), (150, 100), (130, 100)])
        canvas.paragraph("A note that a drafter may edit.\nSecond line {with} braces", (40, 58), 60)
        canvas.insert("opening_single", (70, 130), {"MARK": "101A"}, rotation_deg=30, scale=1.5)
    for n, name in enumerate(ODD_NAMES):
        canvas.text(name, (200, 60 + 6 * n), 2.5, "middle_right", layers.IDENT, 0.0)


@pytest.fixture
def make_sheet() -> Callable[[], Canvas]:
    """Makes the small sheet anew."""

    def make(dxf_version: str = "R2018", *, with_dimension: bool = False) -> Canvas:
        size = sheet_size("ISO A3")
        canvas = Canvas("T-601", size, DrawingInfo("Archive annex", "abc123", dxf_version))
        frame = SheetFrame(size, TITLE, REVISIONS)
        frame.draw(canvas)
        draw_everything(canvas)
        room, corner = frame.inner, frame.corner
        room = Rect(room.x0, room.y0, (room.x0 + corner.x0) / 2 - GAP_MM, corner.y1)
        columns = (TableColumn("Mark"), TableColumn("Cable"), TableColumn("Length", align="right"))
        table = Table("", columns, (("101A", "01A-A01", "31.5 m"), ("102", "01A-A02", "44 m")))
        lay_out(table, width_mm=room.width).draw(canvas, (room.x0, room.y1))
        if with_dimension:
            canvas.dimension((300, 150), (300, 190), (310, 0), "1 050", angle_deg=90)
        return canvas

    return make


@pytest.fixture
def odd_names() -> tuple[str, ...]:
    """Names that DXF would read as codes, that no line may hold, or that the font lacks."""
    return ODD_NAMES


@pytest.fixture
def sample_title() -> TitleBlock:
    """A title block with every field filled in."""
    return TITLE


@pytest.fixture
def symbol_chart() -> Canvas:
    """A sheet with every symbol on it."""
    size = sheet_size("ISO A2")
    canvas = Canvas("T-001", size)
    frame = SheetFrame(size, TITLE)
    frame.draw(canvas)
    draw_chart(canvas, frame.content)
    return canvas
