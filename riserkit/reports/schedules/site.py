"""The schedules that a crew pulls, lands and labels by: openings, cables, conductors, ports, supplies, labels, acceptances.

Every row is read off the design; nothing is computed here but sums and units.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from riserkit.checked import Checked
from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.opening_words import hand_words, hardware_words, size_words
from riserkit.findings import ACCEPTED_LIFE_SAFETY, Finding, at_openings, status
from riserkit.holds import Holds
from riserkit.model.parts import Lock
from riserkit.network.values import CableRun
from riserkit.quantities.counting import counting_order
from riserkit.quantities.grouping import grouped
from riserkit.reports.lengths import length_cell, length_column
from riserkit.reports.schedules.equipment import supplies_table, switch_ports_table
from riserkit.reports.schedules.held import held_table
from riserkit.reports.schedules.wires import conductors_table, device_cables_table, spare_conductors_table
from riserkit.reports.table import Cell, ReportTable
from riserkit.wiring.cables import CableKind

# From the worst to the best, as one opening shows the worst of what is said of it.
_STANDINGS: Final = ("error", ACCEPTED_LIFE_SAFETY, "warning", "note", "accepted", "pass")
_OF_AN_OPENING: Final = frozenset({"opening", "cable"})


def all_schedules(checked: Checked) -> tuple[ReportTable, ...]:
    """Every schedule of a site."""
    design, found, holds = checked.design, checked.findings, checked.holds
    return (
        openings_table(design, found, holds),
        horizontal_cables_table(design, holds),
        backbone_cables_table(design),
        lock_power_cables_table(design, holds),
        device_cables_table(design, holds),
        conductors_table(design, holds),
        spare_conductors_table(design, holds),
        switch_ports_table(design, holds),
        supplies_table(design),
        issued_labels_table(design),
        acceptances_table(design, found),
        *work_tables(design, holds),
        *remarks_tables(design),
    )


def openings_table(design: Design, findings: Iterable[Finding], holds: Holds) -> ReportTable:
    """One row an opening: where its cable goes, how it is wired, its status."""
    system = design.site.info.unit_system
    columns = (
        "mark", "label", "name", "level", "size", "hand", "hardware", "closet", "port", "cable",
        length_column("length", system), "basis", "arrangement", "lock", "controller", "fail_mode", "egress", "status",
    )  # fmt: skip
    worst = standings(findings)
    rows = ((door.mark, _opening(design, door, worst.get(door.mark, ""))) for door in design.doors)
    return held_table("openings", columns, rows, holds)


def remarks_tables(design: Design) -> tuple[ReportTable, ...]:
    """One row a remark of an opening; no table where nobody remarks anything."""
    rows = tuple(
        (door.mark, text.strip()) for door in design.doors for text in door.opening.remarks.split(";") if text.strip()
    )
    return (ReportTable("remarks", ("mark", "remark"), rows),) if rows else ()


def work_tables(design: Design, holds: Holds) -> tuple[ReportTable, ...]:
    """One row an opening, by day and crew; no table where nobody states either."""
    rows = [
        (o.work_date.isoformat() if o.work_date else "", o.crew, o.mark, o.name)
        for o in design.site.openings
        if o.crew or o.work_date
    ]
    ordered = sorted(rows, key=lambda row: (row[0] or "~", row[1], counting_order(row[2])))
    columns = ("work_date", "crew", "mark", "name")
    return (held_table("work_plan", columns, ((row[2], row) for row in ordered), holds),) if rows else ()


def standings(findings: Iterable[Finding]) -> Mapping[str, str]:
    """By opening, the worst standing of what is said of it or of its cable; one that nothing is said of is absent."""
    found: dict[str, str] = {}
    for finding in at_openings(findings):
        if finding.subject_kind in _OF_AN_OPENING:
            now = status(finding)
            known = found.setdefault(finding.subject, now)
            found[finding.subject] = min(known, now, key=_STANDINGS.index)
    return found


def _opening(design: Design, door: DoorDesign, worst: str) -> tuple[Cell, ...]:
    opening, route = door.opening, door.cable.route if door.cable else None
    lock = design.site.part.get(opening.lock)
    action = lock.action if isinstance(lock, Lock) else ""
    chosen = door.wiring.chosen
    return (
        door.mark, design.labels.opening_of(door.mark), opening.name, opening.level,
        size_words(opening, design.site.info.unit_system), hand_words(opening), hardware_words(opening),
        design.labels.closet_of(door.placement.closet if door.placement else ""), design.labels.port_of(door.placement),
        door.cable.label if door.cable else "",
        length_cell(route.length_m if route else None, design.site.info.unit_system),
        str(route.basis) if route else "", chosen.arrangement if chosen else "none feasible", opening.lock,
        opening.controller, opening.fail_mode or action, str(opening.egress or ""), worst or "not checked",
    )  # fmt: skip


def schedule_words(design: Design) -> Mapping[str, Mapping[str, str]]:
    """What a schedule on paper says in place of ids: by column, words by id."""
    site = design.site
    titles = {part.id: part.title for part in site.part.values() if part.title}
    wirings = {
        tried.arrangement: tried.title
        for door in design.doors
        for tried in (door.wiring.chosen, door.wiring.nearest)
        if tried
    }
    levels = {level.id: level.name for level in site.levels if level.name}
    return {"arrangement": wirings, "lock": titles, "controller": titles, "level": levels}


def horizontal_cables_table(design: Design, holds: Holds) -> ReportTable:
    """One row a cable from a closet to an opening."""
    system = design.site.info.unit_system
    columns = (
        "cable", "from_closet", "port", "to_opening", "cable_type", length_column("length", system), "basis",
        length_column("of_which_slack", system), length_column("off_pathway", system), "pathways",
    )  # fmt: skip
    rows = (
        (door.mark, (door.cable.label, design.labels.closet_of(door.cable.from_id), design.labels.port_of(door.placement), door.mark,
                     *_run_cells(design, door.cable)))
        for door in design.doors
        if door.cable is not None
    )  # fmt: skip
    return held_table("horizontal_cables", columns, rows, holds)


def backbone_cables_table(design: Design) -> ReportTable:
    """One row a cable between closets."""
    system = design.site.info.unit_system
    columns = (
        "cable", "from_closet", "to_closet", "cable_type", length_column("length", system), "basis",
        length_column("of_which_slack", system), length_column("off_pathway", system), "pathways",
    )  # fmt: skip
    rows = tuple(
        (run.label, design.labels.closet_of(run.from_id), design.labels.closet_of(run.to_id), *_run_cells(design, run))
        for run in design.backbone
    )
    return ReportTable("backbone_cables", columns, rows)


def lock_power_cables_table(design: Design, holds: Holds) -> ReportTable:
    """One row a cable that brings lock power from a supply of the site to an opening elsewhere."""
    system, site = design.site.info.unit_system, design.site
    columns = (
        "cable", "from_supply", "supply_at", "to_opening", "cable_type", length_column("length", system), "basis",
        "pathways",
    )  # fmt: skip
    rows = []
    for cable in design.pathway_cables:
        if cable.kind is CableKind.LOCK_POWER:
            supply = site.supply[cable.from_id]
            at = f"opening {supply.opening}" if supply.opening else f"closet {design.labels.closet_of(supply.closet)}"
            rows.append(
                (cable.mark, (cable.label, supply.id, at, cable.mark, cable.cable_type,
                              length_cell(cable.length_m, system), cable.basis, " ".join(cable.segments)))
            )  # fmt: skip
    return held_table("lock_power_cables", columns, rows, holds)


def _run_cells(design: Design, run: CableRun) -> tuple[Cell, ...]:
    system, route = design.site.info.unit_system, run.route
    if route is None:
        return (run.cable_type, None, "no way found", None, None, "")
    slack = length_cell(route.slack_m, system)
    off = length_cell(route.off_pathway_m, system)
    return (
        run.cable_type, length_cell(route.length_m, system), str(route.basis), slack, off, " ".join(route.segments)
    )  # fmt: skip


def issued_labels_table(design: Design, sheets: Mapping[str, str] | None = None) -> ReportTable:
    """The record of issued labels, as the input table of the same name takes it back.

    Args:
        design: the whole design.
        sheets: identifications of sheets drawn now, by what they show; those drawn before stay on record.
    """
    rows = {
        (label.kind, label.subject): (label.kind, label.subject, label.label, "yes" if label.void else "no")
        for label in design.labels.issued
    }
    for subject, sheet_id in sorted((sheets or {}).items()):
        rows.setdefault(("sheet", subject), ("sheet", subject, sheet_id, "no"))
    return ReportTable("issued_labels", ("kind", "subject", "label", "void"), tuple(sorted(rows.values())))


def acceptances_table(design: Design, findings: Iterable[Finding]) -> ReportTable:
    """Every acceptance of the site, with what it accepts; one that matches no finding says so."""
    accepted = grouped((finding.key, finding.message) for finding in findings if finding.acceptance is not None)
    rows = tuple(
        (
            a.rule, a.subject, a.about, a.reason, a.name, a.date.isoformat(), a.value, a.doors, a.severity, a.authority,
            a.reference, " ".join(accepted.get(a.key, ())) or "matches no finding",
        )
        for a in design.site.acceptances
    )  # fmt: skip
    columns = (
        "rule", "subject", "about", "reason", "name", "date", "value", "doors", "severity", "authority", "reference",
        "finding",
    )  # fmt: skip
    return ReportTable("acceptances", columns, rows)
