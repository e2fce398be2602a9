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
    """A label that the site states is the one that was issued.

    Why:
        A label once issued is on the cable for good; a new one typed into the list later would stand on the drawings
        alone, and the next crew looks for it in vain. So the issued label is drawn, and the other one is reported.
    Measures:
        Labels that the site gives for closets and cables, against its record of issued labels.
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
        """A note for each label that an issued one overrules; one pass for the site when there is none."""
        labels = design.labels
        for kind, subject, given in labels.overruled:
            stands = _of_kind(labels, kind).get(subject, "")
            remedy = f"Take {given} off the {kind}; or relabel it on site and correct its line in issued_labels."
            message = f"The site states {given} for the {kind}; {stands} was issued and is drawn."
            yield stated(self, (kind, subject), False, message, severity=Severity.NOTE, remedy=remedy)
        if not labels.overruled:
            message = "No stated label differs from an issued one."
            yield stated(self, ("site", design.site.info.name), True, message, severity=Severity.NOTE)


def _of_kind(labels: Labels, kind: str) -> Mapping[str, str]:
    by_kind = {
        "closet": labels.closet,
        "switch": labels.switch,
        "port": labels.port,
        "cable": labels.cable,
        "opening": labels.opening,
    }
    return by_kind[kind]
