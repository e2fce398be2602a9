"""What a design says, as plain facts: each a text under a kind, a subject and a field.

Facts are compared and kept, never computed with. Lengths stand in metres to a tenth, whatever the site prints, so that a site
that changes its unit system has not changed its cables.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Verdict, status
from riserkit.model.base import Record
from riserkit.model.site import Site
from riserkit.quantities.counting import counting_order
from riserkit.wiring.cables import DesignCable

Row = Mapping[str, str]
"""What is said of one subject: text by field, empty texts left out."""
Facts = Mapping[str, Mapping[str, Row]]
"""By kind and subject what is said of it, kinds and subjects in the order in which people count."""

NO_ROWS: Final[Mapping[str, Row]] = {}
# The key of each stated table that is compared row by row. Issued labels, acceptances and revisions are themselves records.
_STATED: Final = {
    "buildings": ("id",), "levels": ("id",), "closets": ("id",), "switches": ("id",), "supplies": ("id",), "upses": ("id",),
    "pathway_nodes": ("id",), "pathway_segments": ("id",), "openings": ("mark",), "runs": ("id",), "rooms": ("id",),
    "confirmations": ("opening", "condition"),
}  # fmt: skip
_OF_THE_WORK: Final = frozenset({"crew", "work_date"})
"""Facts of an opening that say who builds it and when, not what is built."""
_OF_THE_ISSUE: Final = frozenset({"issue_date", "status", "drawn_by", "checked_by", "approved_by"})
"""Facts of the site that change with every issue and are no change of the design."""


def facts_of(design: Design, findings: Iterable[Finding] = (), materials: Mapping[str, Row] = NO_ROWS) -> Facts:
    """Everything that a design says which somebody could be told has changed.

    Args:
        design: the design.
        findings: of its rules; those that pass are left out.
        materials: what its list of materials counts.
    """
    found: dict[str, dict[str, Row]] = {"site": {"site": _row(design.site.info, _OF_THE_ISSUE)}}
    for table in _STATED:
        found[table] = dict(stated_rows(design.site, table))
    built = design.site.as_built
    for kept in built.kept if built is not None else ():
        moved = any(one.opening == kept.opening and one.kind == "port" for one in built.differences) if built else False
        row = found["openings"].get(kept.opening, {})
        found["openings"][kept.opening] = {n: text for n, text in row.items() if moved or n not in kept.chosen}
    found["walls"] = _walls(design)
    found["parts"] = _catalogue(design.site.parts, _used_parts(design))
    found["cable_types"] = _catalogue(design.site.cable_types, {cable.cable_type for cable in design.cables})
    found["wiring"] = {door.mark: _plain(_wiring(design, door)) for door in design.doors}
    found["cables"] = {cable.subject: _plain(_cable(cable)) for cable in design.cables}
    found["conductors"] = dict(_conductors(design))
    found["ports"] = {
        f"{door.placement.switch}:{door.placement.port}": {"opening": door.mark}
        for door in design.doors
        if door.placement is not None and door.placement.switch
    }
    found["materials_list"] = dict(materials)
    found["findings"] = _findings(findings)
    return {kind: dict(sorted(rows.items(), key=lambda item: counting_order(item[0]))) for kind, rows in found.items()}


def as_recorded(was: Facts, now: Facts) -> Facts:
    """Facts of a record, to be compared with those of today.

    A kind that the record lacks was not told by the riserkit that wrote it, and nothing is known to have changed of it; of
    one that is told no more nothing can be.
    """
    return {kind: was.get(kind, rows) for kind, rows in now.items()}


def stated_rows(site: Site, table: str) -> Mapping[str, Row]:
    """What a table of the site states, by the key of each row."""
    return {_key(record, _STATED[table]): _row(record, _OF_THE_WORK) for record in getattr(site, table)}


def _key(record: Record, columns: tuple[str, ...]) -> str:
    return " ".join(str(getattr(record, column)) for column in columns)


def _row(record: Record, without: frozenset[str] = frozenset()) -> Row:
    stated = record.model_dump(exclude=set(without))
    return _plain(stated)


def _plain(values: Mapping[str, object]) -> Row:
    return {name: text for name, value in values.items() if (text := _text(value))}


def _text(value: object) -> str:
    text = ""
    if isinstance(value, bool):
        text = "yes" if value else "no"
    elif isinstance(value, float):
        text = f"{value:.6g}"
    elif isinstance(value, date):
        text = value.isoformat()
    elif isinstance(value, Mapping):
        text = " ".join(f"{name}={_text(inner)}" for name, inner in sorted(value.items()))
    elif isinstance(value, tuple | list | set | frozenset):
        text = " ".join(_text(inner) for inner in value)
    elif value is not None:
        text = str(value)
    return text


def _walls(design: Design) -> dict[str, Row]:
    """Walls have no names: each is what it is, and how often."""
    counted = Counter(_text(wall.model_dump()) for wall in design.site.walls)
    return {text: {"walls": str(number)} for text, number in counted.items()}


def _catalogue(records: Iterable[Record], used: set[str]) -> dict[str, Row]:
    """What is stated of the parts that the design uses; one that nothing uses changes nothing."""
    return {name: _row(record) for record in records if (name := _key(record, ("id",))) in used}


def _used_parts(design: Design) -> set[str]:
    return {c.part for netlist in _netlists(design) for c in netlist.components} | {
        s.part for s in design.site.supplies
    }


def _netlists(design: Design) -> Iterator[Netlist]:
    return (door.wiring.netlist for door in design.doors if door.wiring.netlist is not None)


def _wiring(design: Design, door: DoorDesign) -> Mapping[str, object]:
    chosen = door.wiring.chosen
    return {
        "arrangement": chosen.arrangement if chosen else "none suitable",
        "label": design.labels.opening.get(door.mark, ""),
        "port": design.labels.port_of(door.placement),
    }


def _cable(cable: DesignCable) -> Mapping[str, object]:
    names = ("label", "cable_type", "serves", "from_id", "to_id", "basis")
    return {
        **{name: getattr(cable, name) for name in names},
        "length_m": None if cable.length_m is None else f"{cable.length_m:.1f}",
        "pathways": cable.segments,
    }


def _conductors(design: Design) -> Iterator[tuple[str, Row]]:
    """Each conductor by opening, cable and colour, as a crew has it in hand; a lead by where it lands."""
    for door in design.doors:
        netlist = door.wiring.netlist
        seen: Counter[str] = Counter()
        for c in netlist.conductors if netlist is not None else ():
            name = f"{door.mark} {c.cable} {c.colour}" if c.cable else f"{door.mark} lead {c.a} {c.b}"
            seen[name] += 1
            subject = f"{name} {seen[name]}" if seen[name] > 1 else name
            yield subject, _plain({"from": str(c.a), "to": str(c.b), "gauge": c.gauge, "note": c.note})


def _findings(findings: Iterable[Finding]) -> dict[str, Row]:
    rows: dict[str, Row] = {}
    for f in findings:
        if f.verdict is not Verdict.PASS:
            subject = " ".join(filter(None, (f.subject_kind, f.subject, f.rule, f.about)))
            rows[subject] = _plain({"status": status(f), "value": f.value, "limit": f.limit, "message": f.message})
    return rows
