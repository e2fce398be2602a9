"""Which openings stand or fall with a switch, a supply, a UPS, a closet, or with the site's whole check."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property

from riserkit.design import Design
from riserkit.findings import Finding, Severity, Verdict
from riserkit.rules._shared.base import Subject
from riserkit.rules._shared.lookups import doors_by_switch

Marks = tuple[str, ...]


class Served:
    """Openings of a design by what serves them, in the design's order; worked out when first asked for."""

    def __init__(self, design: Design) -> None:
        self._design = design

    def named(self, finding: Finding) -> Finding:
        """What does not pass at a thing that serves openings, with their marks; as it is where it names its own.

        What is said of a cable that one opening alone has, as of lock power, is said of the opening. An error of the site
        that names no opening, as of a rule that broke off, may be one of each.
        """
        if finding.subject_kind == "cable" and finding.subject in self._of_cable:
            message = f"Cable {finding.subject}: {finding.message}"
            return replace(finding, subject=self._of_cable[finding.subject], subject_kind="opening", message=message)
        if finding.verdict is Verdict.PASS or finding.concerns or finding.serves:
            return finding
        if finding.subject_kind == "site":
            if finding.severity is not Severity.ERROR:
                return finding
            marks = tuple(door.mark for door in self._design.doors)
        else:
            marks = self._by_subject.get((finding.subject_kind, finding.subject), ())
        return replace(finding, serves=marks) if marks else finding

    @cached_property
    def _of_cable(self) -> Mapping[str, str]:
        """The opening's mark by the subject of a cable that bears a name of its own."""
        cables = (*self._design.pathway_cables, *self._design.door_cables)
        return {cable.subject: cable.mark for cable in cables if cable.mark and cable.subject != cable.mark}

    @cached_property
    def _by_subject(self) -> Mapping[Subject, Marks]:
        design, found = self._design, dict[Subject, Marks]()
        by_switch = {name: tuple(d.mark for d in doors) for name, doors in doors_by_switch(design).items()}
        for switch in design.site.switches:
            found["switch", switch.id] = by_switch[switch.id]
            if switch.ups:
                found["ups", switch.ups] = found.get(("ups", switch.ups), ()) + by_switch[switch.id]
        for closet, doors in design.doors_of_closet.items():
            without = tuple(d.mark for d in doors if d.placement is not None and not d.placement.switch)
            found["closet", closet] = without or tuple(d.mark for d in doors)
        for door in design.doors:
            drawn = door.wiring.drawn
            name = (drawn.supply_id if drawn is not None else "") or door.opening.supply
            if name:
                found["supply", name] = (*found.get(("supply", name), ()), door.mark)
        return found
