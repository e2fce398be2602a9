"""Reads designs written as changes to a sound site, and checks them.

A design is a stack of layers: the site of `base.toml`, one of its doors, and what the case changes. A layer holds

- `opening`, `site`, `switch`, `segment`: columns laid over the door, the site's facts, the switch, and the stretch of pathway;
- any table's name, such as `supplies` or `runs`: rows added to it. A row may start as another thing does: `like` names a
  shipped part or cable type, or for an opening a door of `base.toml`;
- `confirm`, `unconfirm`: conditions of the building code that somebody has confirmed for the door, or not after all;
- `remove`: tables to be emptied first;
- `layers`: names of other layers of `base.toml` to lay beneath.

A value of `""` takes the column away, so that nothing is stated.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from riserkit.design import Design, design
from riserkit.findings import Finding
from riserkit.model import catalogue
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.rules._shared.evaluate import check
from riserkit.rules._shared.shipped import SHIPPED_RULES

FOLDER = Path(__file__).parent
Row = dict[str, Any]
_CONFIRMED: Row = {"name": "A. Official", "date": "2026-03-14"}
# layer key -> table whose one row of the base it is laid over
_SINGLE = {"switch": "switches", "segment": "pathway_segments", "closet": "closets", "level": "levels"}
_SHIPPED: Mapping[str, Mapping[str, Row]] = {
    "parts": {p.id: p.model_dump(mode="json", exclude_none=True) for p in catalogue.PARTS},
    "cable_types": {c.id: c.model_dump(mode="json", exclude_none=True) for c in catalogue.CABLE_TYPES},
}


@cache
def base() -> Mapping[str, Any]:
    """The sound site and its doors."""
    return tomllib.loads((FOLDER / "base.toml").read_text("utf-8"))


def cases(*folder: str) -> list[Row]:
    """All cases of a folder's files, each with the name of its file as `theme`."""
    found = []
    for path in sorted(FOLDER.joinpath(*folder).glob("*.toml")):
        rows = tomllib.loads(path.read_text("utf-8"))["case"]
        found += [{**row, "theme": path.stem, "id": f"{path.stem}/{row['id']}"} for row in rows]
    return found


def design_of(case: Mapping[str, Any]) -> Design:
    """The design of one case.

    Raises:
        InputError: the case is refused on reading.
    """
    return design(assemble_site(raw_site(case)))


def findings_of(case: Mapping[str, Any]) -> tuple[Finding, ...]:
    """Every finding of one case."""
    return check(design_of(case))


def said_by(case: Mapping[str, Any], *rules: str) -> tuple[Finding, ...]:
    """What these rules alone find; the rest need not be worked out. A case with acceptances is checked whole.

    Raises:
        InputError: the case is refused on reading.
    """
    made = design_of(case)
    if made.site.acceptances:
        return check(made)
    return tuple(found for rule in SHIPPED_RULES if rule.name in rules for found in rule.evaluate(made))


def raw_site(case: Mapping[str, Any]) -> RawSite:
    """One case's tables, not yet validated."""
    tables = {name: [dict(row) for row in rows] for name, rows in base()["tables"].items()}
    info: Row = dict(base()["site"])
    opening: Row = {}
    confirmed: dict[str, None] = {}
    for layer in _layers(case):
        for key, value in layer.items():
            if key == "opening":
                opening |= value
            elif key == "site":
                info |= value
            elif key in _SINGLE:
                tables[_SINGLE[key]][0] |= value
            elif key == "confirm":
                confirmed |= dict.fromkeys(value)
            elif key == "unconfirm":
                confirmed = {name: None for name in confirmed if name not in value}
            elif key == "remove":
                tables |= {name: [] for name in value}
            elif isinstance(value, list) and key != "layers":
                tables.setdefault(key, []).extend(_started(key, row) for row in value)
    given = [{"opening": opening["mark"], "condition": name, **_CONFIRMED} for name in confirmed]
    tables["confirmations"] = [*given, *tables.get("confirmations", [])]
    tables["openings"] = [opening, *tables.get("openings", [])]
    return RawSite(
        RawRecord(_stated(info), Where("site", 1)),
        {
            name: [RawRecord(_stated(row), Where(name, k)) for k, row in enumerate(rows, start=2)]
            for name, rows in tables.items()
        },
    )


def _layers(case: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    names = [*case.get("layers", ()), case["door"]] if "door" in case else case.get("layers", ())
    for name in names:
        yield from _layers(base()["doors"][name])
    yield case


def _started(table: str, row: Row) -> Row:
    row = dict(row)
    like = row.pop("like", "")
    if not like:
        return row
    if table == "openings":
        started: Row = {}
        for layer in _layers({"door": like}):
            started |= layer.get("opening", {})
        return started | row
    return {**_SHIPPED[table][like], **row}


def _stated(row: Row) -> Row:
    return {name: value for name, value in row.items() if value != ""}
