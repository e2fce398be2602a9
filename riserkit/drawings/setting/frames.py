"""Frames and title blocks of a set's sheets, filled in from the site's facts the same way on each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.sheet_size import sheet_size
from riserkit.drawings.dxf.title_block import TitleBlock
from riserkit.drawings.dxf.view import View
from riserkit.drawings.setting.sheet import STANDING_CAUTION, RevisionLine, SheetFrame
from riserkit.holds import HOLD
from riserkit.model.info import SiteInfo
from riserkit.model.site import Site
from riserkit.standards.sheets import PaperSize

NOT_DATED: Final = "not dated"
SET_SIZES: Final = {
    "ISO": ("ISO A3", "ISO A2", "ISO A1"),
    "ANSI": ("ANSI B", "ANSI C", "ANSI D"),
    "ARCH": ("ARCH B", "ARCH C", "ARCH D"),
}
"""Sizes that sheets may have where the site asks for none, the smallest first."""


@dataclass(frozen=True)
class Sheet:
    """One sheet of a set. Nothing is drawn before `draw` is called, and nothing is kept of it afterwards.

    Args:
        sheet_id: its identification, and the name of its file without `.dxf`.
        title: for lists and bookmarks.
        draw: draws it anew at each call, always the same.
        number: among the sheets of its type, which orders the set: 1 of `T-501-GATE`.
        marks: the openings it shows, where it shows no others.
        on_record: what the record of issued labels calls its subject; empty where its identification says that.
    """

    sheet_id: str
    title: str
    draw: Callable[[], Canvas] = field(repr=False, compare=False)
    number: int = 1
    marks: tuple[str, ...] = ()
    on_record: str = ""


def sheet_canvas(site: Site, frame: SheetFrame, info: DrawingInfo, view: View | None = None) -> Canvas:
    """An empty sheet of the frame's size, named as its title block says."""
    return Canvas(frame.title.number, frame.size, replace(info, site_name=site.info.name), view)


def set_title(
    site: Site,
    sheet_id: str,
    title: str,
    document_type: str,
    *,
    sheet: str = "",
    scale: str = "none",
    supplement: str = "",
) -> TitleBlock:
    """The title block of one sheet.

    Args:
        site: whose facts fill it.
        sheet_id: identification of the sheet.
        title: of the sheet.
        document_type: in words; the status of the issue is added.
        sheet: such as `2 of 31`; the identification when empty.
        scale: as written.
        supplement: under the title; who checked it when empty.
    """
    info = site.info
    return TitleBlock(
        legal_owner=info.owner,
        number=sheet_id,
        title=title,
        project=info.project,
        sheet=sheet or sheet_id,
        date_of_issue=NOT_ISSUED if site.changed_since else _dated(site, sheet_id),
        created_by=info.drawn_by or info.designer,
        approved_by=approver(site),
        document_type=f"{document_type}, {status_words(site)}",
        supplementary_title=supplement or (f"Checked by {info.checked_by}" if info.checked_by else ""),
        revision=next((r.index for r in reversed(site.revisions) if r.changes(sheet_id)), ""),
        scale=scale,
    )


NOT_ISSUED: Final = "not issued"


def status_words(site: Site) -> str:
    """What the set may be used for; a set that has changed since its last issue does not pass for it."""
    if not site.changed_since:
        return site.info.status
    if site.as_built is not None:
        return f"{site.info.status}, {NOT_ISSUED}"
    return f"set changed since {site.changed_since}, {NOT_ISSUED}"


def approver(site: Site) -> str:
    """Who has approved the set: nobody, where it has changed since."""
    return "" if site.changed_since else site.info.approved_by


def stamped(title: TitleBlock, *, held: bool) -> TitleBlock:
    """The title block of a sheet with anything on HOLD on it: nobody has approved it."""
    return replace(title, approved_by=HOLD) if held else title


def issued_on(info: SiteInfo) -> str:
    """The date of issue as stated; the model's stand-in for one is no date that a drawing may bear."""
    return info.issue_date.isoformat() if "issue_date" in info.model_fields_set else NOT_DATED


def _dated(site: Site, sheet_id: str) -> str:
    """The date of issue; of a sheet that has revisions of its own, that of the last."""
    own = [r for r in site.revisions if r.sheets]
    last = next((r for r in reversed(site.revisions) if r.changes(sheet_id)), None)
    return last.date.isoformat() if own and last is not None else issued_on(site.info)


def set_frames(
    site: Site, sizes: Sequence[PaperSize], title: TitleBlock, caution: str = STANDING_CAUTION
) -> tuple[SheetFrame, ...]:
    """A frame of each size with the site's revisions, to measure the room that is left."""
    revisions = tuple(
        RevisionLine(r.index, r.date.isoformat(), r.description, r.name, r.numbers) for r in site.revisions
    )
    return tuple(SheetFrame(size, title, revisions, caution) for size in sizes)


def sheet_sizes_of(info: SiteInfo) -> tuple[PaperSize, ...]:
    """Sizes that a set's sheets may have: the one the site asks for, or those usual in its series.

    Raises:
        SheetError: the size asked for is not known.
    """
    asked = info.sheet_size.strip() or info.riser_sheet.strip()
    if not asked:
        return tuple(map(sheet_size, SET_SIZES[info.sheet_series]))
    return (sheet_size(asked if " " in asked else f"{info.sheet_series} {asked}"),)
