"""The rule `label-overruled`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.network.values import Labels
from riserkit.rules._shared.base import stated
from riserkit.standards import labels as grammar


class LabelOverruled:
    """A label that the site states is the one that was issued, and a cable is not named after a closet that it left.

    Why:
        A label once issued is on the cable for good; a new one typed into the list later would stand on the drawings
        alone, and the next crew looks for it in vain. So the issued label is drawn, and the other one is reported. An opening
        that is fed from another closet now has another cable: under its old label the crew looks for it in the old closet.
    Measures:
        Labels that the site gives for closets and cables, against its record of issued labels. The closet in the label of
        an opening's PoE cable, against the closet that it comes from.
    Limit:
        Both are the same, or only one of them is stated.
    Remedy:
        Give up the new label; or label the thing anew on site and correct its line in issued_labels.
    Source:
        TIA-606-D: identifiers are kept for the life of what they stand on (from memory).
    """

    name: ClassVar[str] = "label-overruled"
    source: ClassVar[str] = grammar.GRAMMAR.cite()
    harm: ClassVar[Harm] = Harm.DRAFTING

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A note for each label that an issued one overrules, a warning for each of another closet; else one pass."""
        labels = design.labels
        left = list(_left_closets(design))
        for mark, message, remedy in left:
            yield stated(
                self, ("opening", mark), False, message, severity=Severity.WARNING, remedy=remedy, about="closet"
            )
        for kind, subject, given in labels.overruled:
            stands = _of_kind(labels, kind).get(subject, "")
            remedy = f"Take {given} off the {kind}; or relabel it on site and correct its line in issued_labels."
            message = f"The site states {given} for the {kind}; {stands} was issued and is drawn."
            yield stated(self, (kind, subject), False, message, severity=Severity.NOTE, remedy=remedy)
        if not labels.overruled and not left:
            message = "No stated label differs from an issued one."
            yield stated(self, ("site", design.site.info.name), True, message, severity=Severity.NOTE)


def _left_closets(design: Design) -> Iterator[tuple[str, str, str]]:
    """Openings whose PoE cable is named after another closet than it comes from, what is told of each, and its remedy."""
    labels, closets = design.labels, frozenset(design.labels.closet.values())
    for door in design.doors:
        placement, cable = door.placement, labels.cable.get(door.mark, "")
        here = labels.closet.get(placement.closet, "") if placement is not None else ""
        space = _space(cable)
        if not here or space == here or space not in closets:
            continue
        port = labels.port_of(placement)
        yield (
            door.mark,
            f"Its cable was issued as {cable}, after closet {space}, and comes from closet {here} now"
            f"{f', port {port}' if port else ''}.",
            f"If another cable is pulled, state its label in issued_labels (cable, {door.mark})"
            f"{f', such as {_after(port)}' if port else ''}, and remove the old one.",
        )


def _space(cable: str) -> str:
    """The closet that a cable is named after, as `1A-A01` is after `1A`; empty where its label names none."""
    try:
        return str(grammar.parse_horizontal_link(cable).space)
    except ValueError:
        return ""


def _after(port: str) -> str:
    """The label that a port gives its cable; the port's own where it is not of the grammar."""
    try:
        found = grammar.parse_port(port)
    except ValueError:
        return port
    return grammar.format_horizontal_link(str(found.space), found.panel, found.port)


def _of_kind(labels: Labels, kind: str) -> Mapping[str, str]:
    by_kind = {
        "closet": labels.closet,
        "switch": labels.switch,
        "port": labels.port,
        "cable": labels.cable,
        "opening": labels.opening,
    }
    return by_kind[kind]
