"""The rule `supplies-joined`."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.power import Supply
from riserkit.rules._shared.base import not_evaluated, stated
from riserkit.standards.nec import cite_nec


class SuppliesJoined:
    """The minus terminals of two supplies are joined on purpose, or not at all.

    Why:
        With a common return a fault at one door drives current through another door's wires, a reading against the wrong minus
        looks right, and the limit of a Class 2 source no longer holds. Every circuit here is calculated with each supply by
        itself.
    Measures:
        For each two supplies in one closet, or at one opening: the minus_joined of both. Supplies that state each other joined
        wherever they stand.
    Limit:
        Both say that they are not joined.
    Remedy:
        What to state, part, or accept with the listing's reference.
    Source:
        NEC: outputs of Class 2 sources are not interconnected unless listed for it (from memory); the local electrical code
        governs.
    """

    name: ClassVar[str] = "supplies-joined"
    source: ClassVar[str] = cite_nec("class 2 sources joined", "NEC 2023")
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each two supplies that stand together or are joined."""
        source = cite_nec("class 2 sources joined", design.site.info.electrical_code)
        for one, other in combinations(design.site.supplies, 2):
            if one.is_joined_to(other):
                message = (
                    f"Its minus is joined to that of {other.id}; circuits are calculated with each supply by itself."
                )
                yield stated(
                    self, ("supply", one.id), False, message, severity=Severity.WARNING, source=source, about=other.id,
                    remedy="Part them; or, where both are listed for it, accept the finding with the listing as reference.",
                )  # fmt: skip
            elif _together(one, other):
                yield self._apart(one, other, source)

    def _apart(self, one: Supply, other: Supply, source: str) -> Finding:
        silent = [supply.id for supply in (one, other) if not supply.minus_joined]
        if silent:
            message = f"It stands beside {other.id}; whether their minus terminals are joined is not stated."
            return not_evaluated(
                self, ("supply", one.id), message, f"State minus_joined of {' and '.join(silent)}: the other's id, or none.",
                about=other.id,
            )  # fmt: skip
        message = f"Its minus and that of {other.id} are not joined."
        return stated(self, ("supply", one.id), True, message, severity=Severity.WARNING, source=source, about=other.id)


def _together(one: Supply, other: Supply) -> bool:
    return (one.closet, one.opening) == (other.closet, other.opening)
