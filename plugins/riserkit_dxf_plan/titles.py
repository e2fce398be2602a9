"""The storey that a plan shows, as its title block or the titles beside it name it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Final

from riserkit.importing.names import level_named
from riserkit_dxf_plan.pieces import PlanText

_MOST_CHARS: Final = 60
_PLAN_OF: Final = re.compile(r"(floor )?plan\s*[,:\u2013-]\s*(?P<level>[^,;]{1,40})", re.IGNORECASE)
"""Plan, Garden house"""
_SPEAKS: Final = re.compile(
    r"plan|level|floor|geschoss|mezz|niveau|[ée]tage|rez[- ]de|\brdc\b|sous-sol|piso|s[óo]tano|piano|verdieping|R\s?\+\s?\d",
    re.IGNORECASE,
)


def level_of_title_block(doc: Any) -> str:
    """The level that the title in the title block names, where all sheets of the drawing name the same; empty for none."""
    titles = [
        " ".join(
            a.dxf.text
            for a in sorted(block.attribs, key=lambda a: -a.dxf.insert.y)
            if "TITLE" in a.dxf.tag.upper().split("_")
        ).strip()
        for sheet in doc.layouts
        if sheet.name != "Model"
        for block in sheet.query("INSERT")
    ]
    plans = {match["level"] for title in titles if (match := _PLAN_OF.match(title))}
    named = {level_named(title) for title in titles} - {""} or plans
    return next(iter(named)).strip() if len(named) == 1 else ""


def levels_of_titles(words: Sequence[PlanText]) -> list[str]:
    """The levels that texts speak of, by name."""
    said = [word for word in words if len(word.text) <= _MOST_CHARS and _SPEAKS.search(word.text)]
    return sorted({level_named(word.text) for word in said} - {""})
