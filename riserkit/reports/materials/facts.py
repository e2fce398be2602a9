"""What the list of materials counts, as facts that are kept with an issue and compared."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Final

from riserkit.design import Design
from riserkit.findings import Finding
from riserkit.record.facts import Facts, Row, facts_of
from riserkit.reports.materials.site import site_materials
from riserkit.reports.materials.values import METRES

_COUNTED: Final = ("part", "cable", "box", "connector")
"""Kinds that are ordered for a change; consumables and labels go along with them, and pathways are compared by themselves."""


def design_facts(design: Design, findings: Iterable[Finding] = ()) -> Facts:
    """Everything that a design says, its materials counted as their list counts them: a supply of several doors once.

    Args:
        design: the design.
        findings: of its rules; those that pass are left out.
    """
    return facts_of(design, findings, _materials(design))


def _materials(design: Design) -> Mapping[str, Row]:
    counted: defaultdict[tuple[str, str], float] = defaultdict(float)
    for line, quantity in site_materials(design).items():
        if line.kind in _COUNTED:
            counted[line.item or line.description, line.unit] += quantity
    return {
        name: {"length_m": f"{quantity:.1f}"} if unit == METRES else {"pieces": f"{quantity:.0f}"}
        for (name, unit), quantity in counted.items()
    }
