"""The rule `supply-class-2`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.parts import DcSupply
from riserkit.quantities.printed import format_pair
from riserkit.rules._shared.base import Measure, Subject, measured, not_evaluated
from riserkit.rules._shared.feeds import Feeds
from riserkit.standards.class2 import TABLE_11B_MEMORY, class2_limit
from riserkit.standards.nec import cite_nec
from riserkit.standards.source import Confidence, NotTabulatedError


class SupplyClass2:
    """A supply of the site is rated within Class 2, as low-voltage wiring methods take for granted.

    Why:
        Lock cable in a plenum or on a hanger is allowed because its source cannot start a fire. A supply beyond Class
        2 needs wiring methods of power circuits for every cable on it, unless its outputs are limited one by one.
    Measures:
        The rated current of each supply of the site, at its highest voltage, float voltage included. The message names
        the doors that it feeds: their lock cables are what the wiring method is about.
    Limit:
        The greatest marked current of a Class 2 source: 5.0 A up to 20 V, 100 VA from there to 60 V. A note, since
        the listing mark on the supply decides.
    Remedy:
        The current that each output may be limited to.
    Source:
        NEC chapter 9 table 11(B) (verified in part in the 2023 edition); cited by the site's edition. The local electrical code governs.
    """

    name: ClassVar[str] = "supply-class-2"
    source: ClassVar[str] = cite_nec("class 2", "NEC 2023")
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each supply of the site."""
        feeds = Feeds(design)
        for supply in design.site.supplies:
            doors = feeds.doors_on(supply.id)
            found = self._supply(("supply", supply.id), design.site.part.get(supply.part), supply.part, doors)
            sure: Confidence = "from memory" if TABLE_11B_MEMORY.cite() == found.source else "verified"
            yield replace(found, source=cite_nec("class 2", design.site.info.electrical_code, sure))

    def _supply(self, subject: Subject, part: object, part_id: str, doors: Sequence[str]) -> Finding:
        if not isinstance(part, DcSupply) or part.output_v is None or part.output_a is None:
            return not_evaluated(
                self, subject, f"Voltage or rated current of {part_id} is not stated.",
                f"State output_v and output_a of {part_id}.",
            )  # fmt: skip
        highest_v = part.most_v
        if highest_v is None:
            names = ", ".join(part.lacks())
            return not_evaluated(self, subject, f"{part_id} does not state {names}.", f"State {names} of {part_id}.")
        try:
            limit = class2_limit(highest_v)
        except NotTabulatedError as error:
            return not_evaluated(self, subject, f"{error}.", "Have the wiring method decided by the local code.")
        shown, most = format_pair(part.output_a, limit.nameplate_a, "A")
        return measured(
            self, subject, Measure(part.output_a, limit.nameplate_a, "A"), severity=Severity.NOTE,
            source=limit.source.cite(),
            message=f"{part_id} is rated {shown}; a Class 2 source of {highest_v:.1f} V is marked {most} at most.{_fed(doors)}",
            remedy=f"Use outputs limited to {most} each, or use the local code's wiring methods beyond Class 2.",
        )  # fmt: skip


def _fed(doors: Sequence[str]) -> str:
    return f" It feeds {', '.join(doors)}." if doors else " It feeds no door."
