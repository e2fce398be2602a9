"""HTML of values, by templates that take every text for text."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any, Final
from urllib.parse import quote

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from riserkit.bench.paper import PaperLesson
from riserkit.page.values import STATUSES, DoorPage, FindingView, Overview, PageFrame, SheetView

POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self' data:; "
    "base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'"
)
"""What a page may load: its own folder's scripts, styles and font. Chromium takes `'self'` of a file for files."""


def sheet_anchor(sheet_id: str) -> str:
    """What a link to a sheet on a page ends in."""
    return f"sheet-{quote(sheet_id, safe='').replace('%', '_')}"


@cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("riserkit.page"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    # no mark and no sheet's identification holds a slash or a number sign
    made.filters["link"] = lambda name: quote(str(name), safe="/#")
    made.filters["sheet_anchor"] = sheet_anchor
    # The body of a sheet is our own SVG, in which every text is escaped.
    made.filters["drawing"] = lambda sheet: Markup(sheet.body)
    made.globals["policy"] = POLICY
    made.globals["statuses"] = STATUSES
    return made


def _html(template: str, frame: PageFrame, root: str, **values: Any) -> str:
    return _templates().get_template(template).render(frame=frame, root=root, **values)


def door_html(page: DoorPage, frame: PageFrame) -> str:
    """The page of one door, to stand in a folder beside `assets`."""
    return _html("door.html", frame, "../", page=page)


def sheet_html(sheet: SheetView, frame: PageFrame) -> str:
    """The page of one sheet, to stand in a folder beside `assets`."""
    return _html("sheet.html", frame, "../", sheet=sheet)


def overview_html(overview: Overview, frame: PageFrame) -> str:
    """The first page, to stand beside `assets`."""
    return _html("index.html", frame, "", page=overview)


def findings_html(
    findings: Sequence[FindingView], held: Sequence[tuple[str, str]], passed: int, frame: PageFrame
) -> str:
    """The list of findings.

    Args:
        findings: all that do not pass.
        held: mark of each door on HOLD, and why.
        passed: how many passed.
        frame: what every page says.
    """
    return _html("findings.html", frame, "", findings=findings, held=held, passed=passed)


def acceptance_html(
    data: Sequence[dict[str, Any]], columns: Sequence[str], held: Sequence[tuple[str, str]], frame: PageFrame
) -> str:
    """The composer of acceptances, for findings as `acceptance_data` has them."""
    return _html("acceptance.html", frame, "", data=data, columns=columns, held=held)


def lessons_html(lessons: Sequence[PaperLesson], title: str, frame: PageFrame, *, answers: bool) -> str:
    """Lessons to be printed, or their answers, to stand beside `assets`."""
    intro = (
        "Each door has one fault. Have its sheet at hand."
        if not answers
        else "Not for learners before they have answered."
    )
    return _html("lessons.html", frame, "", lessons=lessons, title=title, intro=intro, answers=answers)
