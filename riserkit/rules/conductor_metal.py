"""The rule `conductor-metal`."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm
from riserkit.quantities.counting import counting_order
from riserkit.rules._shared.base import stated
from riserkit.rules._shared.lookups import listed

_NOT_COPPER: Final = re.compile(
    r"\b(?:cc[as]|copper[- ]?clad(?: \w+)?|alumini?um|steel conductors?|verkupfert\w*|kupferkaschiert\w*)\b",
    re.IGNORECASE,
)
"""Foil and armour of aluminium or steel are no conductors."""
_SHIELD: Final = re.compile(
    r"\balumini?um[- ](?:\w+[- ])?(?:foil|tape|screen|shield|armou?r|braid|mylar|polyester)\w*", re.IGNORECASE
)


class ConductorMetal:
    """Conductors are of copper throughout.

    Why:
        Copper-clad aluminium is sold as category cable and looks like it. It drops half as much voltage again, gets hot under
        power, and breaks behind the terminal.
    Measures:
        Titles and ids of the cable types that the design pulls: words of copper-clad aluminium or steel, or of aluminium
        conductors.
    Limit:
        None has them: every voltage, watt and ampere here is worked out for copper.
    Remedy:
        The cable to pull instead.
    Source:
        ANSI/TIA-568.2-D, conductors of copper (from memory); that copper-clad aluminium has some 1.6 times copper's resistance is
        from memory.
    """

    name: ClassVar[str] = "conductor-metal"
    source: ClassVar[str] = "ANSI/TIA-568.2-D, conductors of copper (from memory)"
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each cable type that is pulled and is not of copper by its name; none where there is none."""
        pulled: dict[str, set[str]] = defaultdict(set)
        for cable in design.cables:
            pulled[cable.cable_type].add(cable.mark)
        subject = ("site", design.site.info.name)
        for name in sorted(pulled):
            kind = design.site.cable_type.get(name)
            said = _NOT_COPPER.search(_SHIELD.sub("", f"{kind.title} {kind.id}")) if kind is not None else None
            if said is None:
                continue
            marks = tuple(sorted(filter(None, pulled[name]), key=counting_order))
            where = f": {listed(marks)}" if marks else ""
            message = (
                f"Cable type {name} is not of copper by its name, {said[0]!r}; about 1.6 times copper's resistance, for which all here"
                f" is calculated{where}."
            )
            remedy = f"Pull a cable of the same gauge with conductors of copper in place of {name}; if it is of copper, correct its title."
            yield replace(stated(self, subject, False, message, remedy=remedy, about=name), concerns=marks)
