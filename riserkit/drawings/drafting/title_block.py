"""The title block: its data fields after ISO 7200, and where each stands. Drawn from a block with attributes.

ISO 7200 fields (from memory): legal owner, identification number, date of issue, sheet number, title, approval
person, creator and document type are mandatory; supplementary title and revision index are optional. Width 180 mm.
Scale and project are added. The arrangement is our own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

from riserkit.drawings.drafting.boxes import Rect
from riserkit.drawings.drafting.text import LEAST_HEIGHT_MM, text_width_mm, wrap

TITLE_BLOCK_NAME: Final = "title_block"
WIDTH_MM: Final = 180.0
HEIGHT_MM: Final = 44.0
CAPTION_HEIGHT_MM: Final = LEAST_HEIGHT_MM
_MARGIN_MM: Final = 1.5


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What the title block says; every field is free text as the user writes it."""

    legal_owner: str
    number: str
    title: str
    project: str
    sheet: str
    date_of_issue: str
    created_by: str
    approved_by: str
    document_type: str
    supplementary_title: str = ""
    revision: str = ""
    scale: str = "none"


class Field(NamedTuple):
    """One field: attribute tag, caption, its cell in mm from the block's corner, height and baseline of the value."""

    tag: str
    caption: str
    cell: Rect
    height_mm: float
    baseline_mm: float = 2.2

    @property
    def text_x(self) -> float:
        """Left edge of the value."""
        return self.cell.x0 + _MARGIN_MM

    @property
    def text_y(self) -> float:
        """Baseline of the value."""
        return self.cell.y0 + self.baseline_mm

    @property
    def room_mm(self) -> float:
        """Width for the value; some is left over for programs without the font."""
        return (self.cell.width - 2 * _MARGIN_MM) * 0.92


_TITLE_CELL: Final = Rect(62, 17, 180, 33)
FIELDS: Final = (
    Field("CREATED_BY", "Created by", Rect(0, 0, 40, 11), 2.5),
    Field("APPROVED_BY", "Approved by", Rect(40, 0, 80, 11), 2.5),
    Field("DATE", "Date of issue", Rect(80, 0, 106, 11), 2.5),
    Field("SCALE", "Scale", Rect(106, 0, 136, 11), 2.5),
    Field("REV", "Revision", Rect(136, 0, 152, 11), 3.5),
    Field("SHEET", "Sheet", Rect(152, 0, 180, 11), 3.5),
    Field("OWNER", "Legal owner", Rect(0, 11, 62, 33), 3.5),
    Field("OWNER_2", "", Rect(0, 11, 62, 33), 3.5, 8.0),
    Field("TITLE", "Title", _TITLE_CELL, 5.0, 6.3),
    Field("TITLE_2", "", _TITLE_CELL, 2.5, 1.0),
    Field("SUBTITLE", "", Rect(62, 11, 180, 17), 2.5, 1.8),
    Field("PROJECT", "Project", Rect(0, 33, 84, 44), 3.5),
    Field("DOC_TYPE", "Document type", Rect(84, 33, 134, 44), 2.5),
    Field("NUMBER", "Identification number", Rect(134, 33, 180, 44), 3.5),
)
TITLE_BLOCK_TAGS: Final = tuple(field.tag for field in FIELDS)


def field_values(data: TitleBlock) -> dict[str, str]:
    """Attribute values by tag, as the user wrote them; title and owner may take two lines."""
    owner_2, owner = _two_lines(data.legal_owner, "OWNER", first_is_upper=False)
    title, title_2 = _two_lines(data.title, "TITLE", first_is_upper=True)
    return {
        "CREATED_BY": data.created_by,
        "APPROVED_BY": data.approved_by,
        "DATE": data.date_of_issue,
        "SCALE": data.scale,
        "REV": data.revision,
        "SHEET": data.sheet,
        "OWNER": owner,
        "OWNER_2": owner_2,
        "TITLE": title,
        "TITLE_2": title_2,
        "SUBTITLE": data.supplementary_title,
        "PROJECT": data.project,
        "DOC_TYPE": data.document_type,
        "NUMBER": data.number,
    }


def _two_lines(text: str, tag: str, *, first_is_upper: bool) -> tuple[str, str]:
    """Upper and lower line: one line where it fits at its height, else two at 3.5 or 2.5 mm."""
    field = next(field for field in FIELDS if field.tag == tag)
    if text_width_mm(text, field.height_mm) <= field.room_mm:
        return (text, "") if first_is_upper else ("", text)
    lines = wrap(text, field.room_mm, 3.5)
    if len(lines) > 2:
        lines = wrap(text, field.room_mm, 2.5)
    return lines[0], " ".join(lines[1:])
