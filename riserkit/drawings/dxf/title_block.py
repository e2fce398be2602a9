"""The title block: its data fields after ISO 7200, and where each stands. Drawn from a block with attributes.

ISO 7200 fields (from memory): legal owner, identification number, date of issue, sheet number, title, approval
person, creator and document type are mandatory; supplementary title and revision index are optional. Width 180 mm.
Scale and project are added. The arrangement is our own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.text import LEAST_HEIGHT_MM, text_width_mm, wrap

TITLE_BLOCK_NAME: Final = "title_block"
WIDTH_MM: Final = 180.0
HEIGHT_MM: Final = 47.0
"""The block is that of every site, whatever its units."""
_MARGIN_MM: Final = 1.5
_HAIR_MM: Final = 1e-6


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


_TITLE_CELL: Final = Rect(62, 17, 180, 34)
_PROJECT_CELL: Final = Rect(0, 34, 84, 47)
_TYPE_CELL: Final = Rect(84, 34, 134, 47)
_NUMBER_CELL: Final = Rect(134, 34, 180, 47)
FIELDS: Final = (
    Field("CREATED_BY", "Created by", Rect(0, 0, 40, 11), 2.5),
    Field("APPROVED_BY", "Approved by", Rect(40, 0, 80, 11), 2.5),
    Field("DATE", "Date of issue", Rect(80, 0, 106, 11), 2.5),
    Field("SCALE", "Scale", Rect(106, 0, 136, 11), 2.5),
    Field("REV", "Revision", Rect(136, 0, 152, 11), 3.5),
    Field("SHEET", "Sheet", Rect(152, 0, 180, 11), 3.5),
    Field("OWNER", "Legal owner", Rect(0, 11, 62, 34), 3.5),
    Field("OWNER_2", "", Rect(0, 11, 62, 34), 3.5, 8.0),
    Field("TITLE", "Title", _TITLE_CELL, 5.0, 6.5),
    Field("TITLE_2", "", _TITLE_CELL, 3.5, 1.0),
    Field("SUBTITLE", "", Rect(62, 11, 180, 17), 2.5, 1.8),
    Field("PROJECT", "Project", _PROJECT_CELL, 3.5, 1.6),
    Field("PROJECT_2", "", _PROJECT_CELL, 2.5, 5.6),
    Field("DOC_TYPE", "Document type", _TYPE_CELL, 2.5, 1.6),
    Field("DOC_TYPE_2", "", _TYPE_CELL, 2.5, 5.6),
    Field("NUMBER", "Identification number", _NUMBER_CELL, 3.5, 1.6),
    Field("NUMBER_2", "", _NUMBER_CELL, 2.5, 5.6),
)
_NEVER_CUT: Final = frozenset({"NUMBER", "NUMBER_2"})
"""An identification cut short is another sheet's: rather the least height than an ellipsis."""
TITLE_BLOCK_TAGS: Final = tuple(field.tag for field in FIELDS)


def field_values(data: TitleBlock) -> dict[str, str]:
    """Attribute values by tag, as the user wrote them; title, owner, project, type and number may take two lines."""
    return {
        "CREATED_BY": data.created_by,
        "APPROVED_BY": data.approved_by,
        "DATE": data.date_of_issue,
        "SCALE": data.scale,
        "REV": data.revision,
        "SHEET": data.sheet,
        "SUBTITLE": data.supplementary_title,
        **{tag: text for pair in _pairs(data) for tag, text in zip(pair.tags, pair.lines, strict=True)},
    }


def least_height_mm(tag: str) -> float:
    """The height down to which a value is made smaller before it is cut."""
    return LEAST_HEIGHT_MM if tag in _NEVER_CUT else 2.5


def field_rooms(data: TitleBlock) -> dict[str, float]:
    """Greatest width of each value, by tag: two lines of one field are as high as one another."""
    rooms = {field.tag: field.room_mm for field in FIELDS}
    for pair in _pairs(data):
        if all(pair.lines):
            asked = {tag: text_width_mm(text, pair.height_mm) for tag, text in zip(pair.tags, pair.lines, strict=True)}
            rooms.update({tag: min(rooms[tag], width + _HAIR_MM) for tag, width in asked.items()})
    return rooms


class _TwoLines(NamedTuple):
    """A field of up to two lines: their tags, what each says, and their height."""

    tags: tuple[str, str]
    lines: tuple[str, str]
    height_mm: float


def _pairs(data: TitleBlock) -> tuple[_TwoLines, ...]:
    return (
        _pair(data.legal_owner, "OWNER", first_is_main=False, heights_mm=(3.5, 2.5)),
        _pair(data.title, "TITLE", first_is_main=True, heights_mm=(3.5, 2.5)),
        _pair(data.project, "PROJECT", first_is_main=False, heights_mm=(2.5,)),
        _pair(data.document_type, "DOC_TYPE", first_is_main=False, heights_mm=(2.5,)),
        _pair(data.number, "NUMBER", first_is_main=False, heights_mm=(2.5, LEAST_HEIGHT_MM)),
    )


def _pair(text: str, tag: str, *, first_is_main: bool, heights_mm: Sequence[float]) -> _TwoLines:
    """One line under the tag itself where it fits at the field's height, else two at the first height that takes them."""
    field = next(field for field in FIELDS if field.tag == tag)
    tags = (tag, f"{tag}_2") if first_is_main else (f"{tag}_2", tag)
    if text_width_mm(text, field.height_mm) <= field.room_mm:
        return _TwoLines(tags, (text, "") if first_is_main else ("", text), field.height_mm)
    wrapped = [(wrap(text, field.room_mm, height), height) for height in heights_mm]
    lines, height = next((found for found in wrapped if len(found[0]) <= 2), wrapped[-1])
    return _TwoLines(tags, (lines[0], " ".join(lines[1:])), height)
