"""Labels of everything on the site, after the published TIA-606 scheme.

| what | label | example |
|---|---|---|
| closet | floor number, letter of the closet on that floor | `1A` |
| the same on a site of several buildings | building's code first | `B1-1A` |
| switch | closet, rack, letter of its panel in the closet | `1A.R1-A` |
| port | switch, number in two digits or more | `1A.R1-A:01` |
| horizontal cable | closet, letter of the panel, number of the port | `1A-A01` |
| the same without a port, or when that label is taken | closet, next free from `Z01`, then `Y01` ... | `1A-Z01` |
| backbone cable | the two closets, number of the cable between them | `1A/2A-1` |
| opening | its mark | `101A` |
| the same when the mark is another thing's label | floor (with the building's code) first | `1-101A` |

Closet, port, horizontal and backbone forms are the published grammar, from memory (`riserkit.standards.labels`). Our own:
the series from `Z01`, openings, floors below ground (`riserkit.network.labels.floors`), and one panel per switch, its rack `R1`
until the letters run out.

A label once issued never changes and, when its subject is gone, is never issued again. Labels on record come first, then
those that the user gives (`Closet.letter`, `Switch.panel`, `Run.label`), then new ones in the order of the input.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import chain, count
from string import ascii_uppercase
from types import MappingProxyType

import networkx as nx

from riserkit.model.records import IssuedLabel
from riserkit.model.site import Site
from riserkit.network.labels.equipment import EquipmentLabels, formal, label_equipment, port_subject
from riserkit.network.labels.floors import building_codes, floor_numbers
from riserkit.network.labels.ledger import Ledger, is_assignment
from riserkit.network.spots import building_of
from riserkit.network.topology import ThingKey, cables_of, link
from riserkit.network.values import CableRun, Labels
from riserkit.standards.labels import format_backbone, format_horizontal_link

_LAST_NUMBER = 999


def issue_labels(site: Site, graph: nx.Graph[ThingKey]) -> Labels:
    """Label everything in a site's topology.

    Args:
        site: the site with its record of issued labels.
        graph: its `topology`, with cables not yet labelled.

    Raises:
        LabelError: more closets on a floor, or floors in a building, than the grammar can name.
    """
    ledger = Ledger(site)
    equipment = label_equipment(site, ledger)
    ports = _ports_used(graph)
    _enter_given(site, graph, ledger)
    backbone = {
        cable.subject: ledger.take("cable", cable.subject, _backbone_places(equipment, cable))
        for cable in cables_of(graph, "backbone")
    }
    horizontal, openings = _doors(site, graph, ledger, equipment)
    cables = backbone | horizontal
    return Labels(
        closet=equipment.closet,
        switch=equipment.switch,
        port=equipment.port,
        cable=MappingProxyType(cables),
        opening=MappingProxyType(openings),
        issued=_record(site, equipment, ports, cables, openings),
        clashes=ledger.clashes(),
        overruled=ledger.overruled(),
    )


def _ports_used(graph: nx.Graph[ThingKey]) -> dict[str, tuple[str, int]]:
    """Switch and port by mark."""
    found: dict[str, tuple[str, int]] = {}
    for kind, name in graph.nodes:
        for neighbour, edge in graph.adj["opening", name].items() if kind == "opening" else ():
            if link(edge).port and neighbour[0] == "switch":
                found[name] = (neighbour[1], link(edge).port)
    return found


def _enter_given(site: Site, graph: nx.Graph[ThingKey], ledger: Ledger) -> None:
    given = {run.id: run.label for run in site.runs if run.label}
    for cable in (*cables_of(graph, "backbone"), *cables_of(graph, "horizontal")):
        if cable.run_id in given:
            ledger.give("cable", cable.subject, given[cable.run_id])


def _doors(
    site: Site, graph: nx.Graph[ThingKey], ledger: Ledger, equipment: EquipmentLabels
) -> tuple[dict[str, str], dict[str, str]]:
    """Labels of horizontal cables and of openings, by mark.

    Each opening with its cable in turn, not all of one kind first: so a mark that looks like a cable's label meets only
    what is before it, and a door added at the end changes nothing.
    """
    floors, codes, ports = floor_numbers(site), building_codes(site), _ports_used(graph)
    spare = {closet.id: _spare(equipment.closet[closet.id]) for closet in site.closets}
    by_mark = {cable.to_id: cable for cable in cables_of(graph, "horizontal")}
    cables: dict[str, str] = {}
    openings: dict[str, str] = {}
    for opening in site.openings:
        code, floor = codes[building_of(site, opening.level)], floors[opening.level]
        longer = f"{code}-{floor}-{opening.mark}" if code else f"{floor}-{opening.mark}"
        openings[opening.mark] = ledger.take("opening", opening.mark, _opening_places(opening.mark, longer))
        cable = by_mark.get(opening.mark)
        if cable is not None:
            own = _own_places(equipment, cable, ports)
            # One series a closet, shared by all its cables: what it has yielded is taken, so none need try it again.
            cables[cable.subject] = ledger.take("cable", cable.subject, chain(own, spare[cable.from_id]))
    return cables, openings


def _opening_places(mark: str, longer: str) -> Iterator[str]:
    yield mark
    yield longer
    for number in count(2):
        yield f"{longer}.{number}"


def _backbone_places(equipment: EquipmentLabels, cable: CableRun) -> Iterator[str]:
    a, b = sorted((equipment.closet[cable.from_id], equipment.closet[cable.to_id]))
    return (_backbone(a, b, number) for number in count(1))


def _backbone(a: str, b: str, number: int) -> str:
    return formal(lambda: format_backbone(a, b, number), f"{a}/{b}-{number}")


def _own_places(equipment: EquipmentLabels, cable: CableRun, ports: Mapping[str, tuple[str, int]]) -> Iterator[str]:
    """The label that the port gives, if there is a port on a panel with a letter."""
    switch, port = ports.get(cable.to_id, ("", 0))
    panel = equipment.switch[switch].rpartition("-")[2] if switch else ""
    if len(panel) == 1 and panel in ascii_uppercase:
        yield _link(equipment.closet[cable.from_id], panel, port)


def _spare(space: str) -> Iterator[str]:
    """`1A-Z01` to `1A-Z999`, then `1A-Y01` and so on; past the last letter numbers go on without end."""
    for letter in reversed(ascii_uppercase):
        for number in range(1, _LAST_NUMBER + 1):
            yield _link(space, letter, number)
    for number in count(_LAST_NUMBER + 1):
        yield f"{space}-Z{number}"


def _link(space: str, panel: str, number: int) -> str:
    return formal(lambda: format_horizontal_link(space, panel, number), f"{space}-{panel}{number:02d}")


def _record(
    site: Site,
    equipment: EquipmentLabels,
    ports: Mapping[str, tuple[str, int]],
    cables: Mapping[str, str],
    openings: Mapping[str, str],
) -> tuple[IssuedLabel, ...]:
    """All that is on record, and all that is new; ports as far as they are in use."""
    used = {mark: port_subject(*port) for mark, port in ports.items()}
    moved = {("port", mark) for mark in used} | {("port", mark) for mark in cables if mark not in used}
    rows: set[tuple[str, str, str]] = {
        (i.kind, i.subject, i.label)
        for i in site.issued_labels
        if not (is_assignment(i.kind, i.subject) and (i.kind, i.subject) in moved)
    }
    tables: Mapping[str, Mapping[str, str]] = {
        "closet": equipment.closet,
        "switch": equipment.switch,
        "cable": cables,
        "opening": openings,
    }
    rows |= {(kind, subject, label) for kind, table in tables.items() for subject, label in table.items()}
    rows |= {("port", subject, equipment.port[subject]) for subject in used.values()}
    rows |= {("port", mark, equipment.port[subject]) for mark, subject in used.items()}
    void = {(i.kind, i.subject, i.label) for i in site.issued_labels if i.void}
    return tuple(
        IssuedLabel.model_validate({"kind": k, "subject": s, "label": text, "void": (k, s, text) in void})
        for k, s, text in sorted(rows)
    )
