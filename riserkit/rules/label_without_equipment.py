"""The rule `label-without-equipment`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.model.former import former_names
from riserkit.model.records import IssuedLabel
from riserkit.rules._shared.base import stated
from riserkit.standards import labels as grammar

_TABLE: Final = {"closet": "closets", "switch": "switches"}


class LabelWithoutEquipment:
    """Every label that was issued for a closet, a switch or a backbone cable still has it, or is void.

    Why:
        A closet that is renamed in the list is the same room, with the same labels on its panels and cables. Taken for a new
        one, all of them would change on paper, and nobody would find a cable by its label again.
    Measures:
        The record of issued labels of closets, switches and backbone cables, against the site. One that went while one came
        at the same place is the same under another name.
    Limit:
        The thing is on the site, or the label is marked void.
    Remedy:
        State the former name, or void the label once it is off.
    Source:
        TIA-606-D: identifiers are kept for the life of what they stand on (from memory).
    """

    name: ClassVar[str] = "label-without-equipment"
    source: ClassVar[str] = grammar.GRAMMAR.cite()
    harm: ClassVar[Harm] = Harm.DRAFTING

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each closet, switch and backbone cable that is gone; one pass for the site when there is none."""
        site = design.site
        known = {"closet": site.closet, "switch": site.switch, "cable": design.labels.cable}
        gone = [i for i in site.issued_labels if not i.void and _is_asked(i) and i.subject not in known[i.kind]]
        for issued in gone:
            if issued.kind == "cable":
                ends = " and ".join(issued.subject.split(">")[:2])
                message = f"Issued for a backbone cable between {ends} that the site no longer has."
                remedy = "Restore it, its run or fed_from; or remove the cable and set void yes on its line in issued_labels."
            else:
                thing = issued.kind
                message = f"Issued for {thing} {issued.subject}, which the site no longer has."
                remedy = (
                    f"If it was renamed, state formerly {issued.subject} in its row of {_TABLE[thing]}; if it was removed, set"
                    " void yes on its line in issued_labels."
                )
            yield stated(self, ("label", issued.label), False, message, severity=Severity.WARNING, remedy=remedy)
        former = list(self._former(design))
        yield from former
        if not gone and not any(found.verdict is Verdict.FAIL for found in former):
            message = "Every label issued for a closet, switch or backbone cable has it, or is void."
            yield stated(self, ("site", site.info.name), True, message, severity=Severity.WARNING)

    def _former(self, design: Design) -> Iterator[Finding]:
        """What stated former names did: the labels that stay, or why there are none."""
        site, labels = design.site, design.labels
        claimed = Counter((table, t.formerly) for table in _TABLE.values() for t in getattr(site, table) if t.formerly)
        issued = {(i.kind, i.subject) for i in site.issued_labels}
        for kind, table in _TABLE.items():
            label = labels.closet if kind == "closet" else labels.switch
            things = getattr(site, table)
            renamed = former_names({thing.id: thing.formerly for thing in things})
            for thing in (t for t in things if t.formerly):
                subject, said = (kind, thing.id), f"{thing.id}, formerly {thing.formerly}"
                if claimed[table, thing.formerly] > 1:
                    message = f"{said}: another {kind} states the same former name."
                    remedy = "State formerly of the one that has the labels on it."
                    yield stated(self, subject, False, message, severity=Severity.WARNING, remedy=remedy)
                elif thing.formerly not in renamed:
                    message = f"{said}: {thing.formerly} is a {kind} of the site."
                    remedy = "State formerly of what is renamed in each row where names were exchanged, or remove it."
                    yield stated(self, subject, False, message, severity=Severity.WARNING, remedy=remedy)
                elif (kind, thing.id) in issued:
                    yield stated(self, subject, True, f"{said}, keeps label {label[thing.id]}.", severity=Severity.NOTE)
                else:
                    message = f"{said}: no label was ever issued for {thing.formerly}."
                    remedy = "Check the former name against the last issue, or remove it."
                    yield stated(self, subject, False, message, severity=Severity.NOTE, remedy=remedy)


def _is_asked(issued: IssuedLabel) -> bool:
    return issued.kind in _TABLE or (issued.kind == "cable" and ">" in issued.subject)
