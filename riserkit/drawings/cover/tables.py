"""Tables of the cover: facts of the site, key data, findings open and accepted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final

from riserkit.design import Design
from riserkit.drawings.riser.content import elevation_text
from riserkit.drawings.riser.flags import read_flags
from riserkit.drawings.setting.frames import NOT_ISSUED, approver, issued_on, status_words
from riserkit.drawings.setting.table import Table, columns_of
from riserkit.findings import Finding, Severity, Verdict
from riserkit.holds import HOLD, Holds, heading_of
from riserkit.model.site import Site
from riserkit.quantities.natural_order import natural_order
from riserkit.quantities.printed import format_length, format_value

_TYPES: Final = {"single": "with one leaf", "double": "with two", "gate": "as gate"}


def facts(site: Site, *, held: bool = False) -> Table:
    """Who, where, when, and under which codes; a set with openings on HOLD names nobody who approved it."""
    info = site.info
    approved = HOLD if held else approver(site)
    rows = [
        ("Owner", info.owner),
        ("Address", info.address),
        ("Project number", info.project_number),
        ("Designer", info.designer),
        ("Drawn, checked, approved", ", ".join(filter(None, [info.drawn_by, info.checked_by, approved]))),
        ("Date and status", f"{NOT_ISSUED if site.changed_since else issued_on(info)}, {status_words(site)}"),
        ("Building code", info.building_code or "not named"),
        ("Electrical code", info.electrical_code or "not named"),
        ("Fire code", info.fire_code or "not named"),
        ("Temperatures", _temperatures(site)),
    ]
    return _pairs("Site", [row for row in rows if row[1]])


def _temperatures(site: Site) -> str:
    info = site.info
    named = (("doors", info.ambient_c), ("coldest", info.coldest_c), ("pathways", info.pathway_c))
    return ", ".join(f"{name} {format_value(value, '°C', info.unit_system)}" for name, value in named)


def levels(site: Site) -> Table:
    """What each level is called, by the letters that schedules have for it, the highest first."""
    system = site.info.unit_system
    rows = tuple(
        (level.id, level.name or level.id, elevation_text(level.elevation_m, system))
        for level in sorted(site.levels, key=lambda level: (-level.elevation_m, level.id))
    )
    return Table(
        "Levels", columns_of(("Level", "Name", "Floor"), (34, 100, 36)), rows, tuple(f"level:{row[0]}" for row in rows)
    )


def key_data(design: Design) -> Table:
    """How much there is of everything."""
    site = design.site
    types: Counter[str] = Counter(opening.type for opening in site.openings)
    kinds = ", ".join(f"{types[kind]} {words}" for kind, words in _TYPES.items() if types[kind])
    cables = [door.cable for door in design.doors if door.cable is not None]
    lengths = [cable.route.length_m for cable in cables if cable.route is not None]
    longest = f", the longest {format_length(max(lengths), site.info.unit_system)}" if lengths else ""
    total = f"{format_length(sum(lengths), site.info.unit_system)}{longest}"
    without = len(cables) - len(lengths)
    unplaced = sum(door.placement is None or not door.placement.switch for door in design.doors)
    rows = [
        ("Levels", str(len(site.levels))),
        ("Openings", f"{len(site.openings)}: {kinds}" if kinds else "none"),
        ("Closets", str(len(site.closets))),
        ("Switches", f"{len(site.switches)}, {sum(switch.door_ports for switch in site.switches)} ports for doors"),
        ("Supplies of the site", str(len(site.supplies))),
        ("Horizontal cables", f"{len(cables)}, {total}" + (f"; {without} without a route" if without else "")),
        ("Backbone cables", str(len(design.backbone))),
        ("Openings without a port", str(unplaced)),
    ]
    return _pairs("Key data", rows)


def findings_count(findings: Sequence[Finding]) -> Table | None:
    """How many findings are open by severity, how many accepted; None when nothing was checked."""
    if not findings:
        return None
    opened = Counter(f.severity for f in findings if f.is_open)
    unknown = Counter(f.severity for f in findings if f.is_open and f.verdict is Verdict.NOT_EVALUATED)
    rows = [
        (f"Open, {severity}", str(opened[severity]), str(unknown[severity]))
        for severity in (Severity.ERROR, Severity.WARNING, Severity.NOTE)
    ]
    accepted_count = sum(f.acceptance is not None and f.verdict is not Verdict.PASS for f in findings)
    passed = sum(f.verdict is Verdict.PASS for f in findings)
    rows.append(("Accepted", str(accepted_count), ""))
    if grave := sum(f.acceptance is not None and f.is_life_safety_error for f in findings):
        rows.append(("of which life-safety errors", str(grave), ""))
    rows.append(("Passed", str(passed), ""))
    subjects = tuple(f"findings:{row[0]}" for row in rows)
    headers = ("Findings of the design check", "Number", "of which not evaluated, data missing")
    return Table("Findings", columns_of(headers, (70, 30, 70)), tuple(rows), subjects)


def as_built_count(design: Design, findings: Sequence[Finding]) -> Table | None:
    """How much of a site has come back, and how it differs; None where it is drawn as designed."""
    built = design.site.as_built
    if built is None:
        return None
    done = sum(built.door[d.mark].done == "yes" for d in design.doors if d.mark in built.door)
    out = sum(f.rule == "reading-out-of-range" and f.verdict is Verdict.FAIL for f in findings)
    measured = sum(c.basis == "measured" for c in design.cables)
    rows = [
        ("Openings returned as done", f"{done} of {len(design.doors)}"),
        ("Differences from the design", str(len(built.differences))),
        ("of which conductors landed otherwise", str(sum(d.kind == "landing" for d in built.differences))),
        ("Readings out of range", str(out)),
        ("Cables with a measured length", f"{measured} of {len(design.cables)}"),
        ("Last return", built.last_date.isoformat() if built.last_date else "none"),
    ]
    return _pairs("As built", rows)


def left_out(findings: Iterable[Finding]) -> tuple[str, ...]:
    """A paragraph for everything of a plugin that this check did without."""
    return tuple(dict.fromkeys(f.message for f in findings if f.subject_kind == "plugin"))


def on_hold(design: Design, holds: Holds) -> Table | None:
    """Every opening on HOLD with what holds it and the sheet of its failure; None when there are none."""
    if not holds.held:
        return None
    marks = sorted(holds.held, key=natural_order)
    rows = tuple((mark, holds.held[mark].words) for mark in marks)
    subjects = tuple(f"hold:{mark}" for mark in marks)
    return Table(heading_of(design), columns_of(("Opening", "Why"), (52, 118)), rows, subjects)


def accepted(findings: Sequence[Finding]) -> Table | None:
    """Every accepted finding with reason, name and date; None when there are none."""
    return read_flags(findings).accepted


def _pairs(title: str, rows: Sequence[tuple[str, str]]) -> Table:
    subjects = tuple(f"{title.split(maxsplit=1)[0].lower()}:{row[0]}" for row in rows)
    return Table(title, columns_of(("Item", "Value"), (52, 118)), tuple(rows), subjects)
