"""The rule `label-without-opening`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.records import IssuedLabel
from riserkit.network.labels.ledger import is_assignment
from riserkit.quantities.counting import counting_order
from riserkit.rules._shared.base import stated
from riserkit.standards import labels as grammar

_GONE: Final = (
    "Restore the opening; state formerly of the opening that it is now; or remove cable and patch cord and set void yes on its"
    " lines in issued_labels."
)


class LabelWithoutOpening:
    """Every label that was issued for an opening still has its opening, or is void.

    Why:
        A door struck from the list leaves its cable in the wall and its patch cord in the switch. Without a word about
        it the next crew finds a live cable that no drawing shows, and gives its port to another door.
    Measures:
        The record of issued labels of openings, of their cables and of their ports, against the openings of the site; what an
        opening states as formerly, against both.
    Limit:
        The opening is in the list, or the label is marked void; not both.
    Remedy:
        Restore the opening, state formerly where it has another number now, or void its labels once cable and patch cord are
        out.
    Source:
        TIA-606-D: records follow what is installed (from memory).
    """

    name: ClassVar[str] = "label-without-opening"
    source: ClassVar[str] = grammar.GRAMMAR.cite()
    harm: ClassVar[Harm] = Harm.DRAFTING

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening that is gone or back again; one pass for the site when there is none."""
        site = design.site
        gone: dict[str, list[IssuedLabel]] = {}
        back: dict[str, list[IssuedLabel]] = {}
        earlier = set(site.earlier_mark.values())
        for issued in site.issued_labels:
            if not _of_opening(issued) or (issued.subject in earlier and issued.subject not in site.opening):
                continue
            if issued.subject in site.opening and issued.void:
                back.setdefault(issued.subject, []).append(issued)
            elif issued.subject not in site.opening and not issued.void:
                gone.setdefault(issued.subject, []).append(issued)
        for mark in sorted(gone, key=counting_order):
            message = f"No longer in the door list; issued: {_words(gone[mark])}. Its cable may still be in the wall."
            remedy = _GONE
            yield stated(self, ("label", mark), False, message, severity=Severity.WARNING, remedy=remedy)
        for mark in sorted(back, key=counting_order):
            message = f"Back in the door list, but void: {_words(back[mark])}."
            remedy = "Clear void on its lines in issued_labels once the labels are back on site."
            yield stated(self, ("label", mark), False, message, severity=Severity.WARNING, remedy=remedy)
        wrong = list(_formerly(design))
        for mark, message in wrong:
            remedy = "State formerly of the opening that was issued under that mark, or remove it."
            yield stated(
                self, ("opening", mark), False, message, severity=Severity.WARNING, remedy=remedy, about="formerly"
            )
        if not gone and not back and not wrong:
            message = "Every label issued for an opening has its opening, or is void."
            yield stated(self, ("site", site.info.name), True, message, severity=Severity.WARNING)


# Why a former mark does nothing.
_BORNE = "which is an opening of the site"
_TAKEN = "but its own mark was another opening's then; labels of both are on site"


def _formerly(design: Design) -> Iterator[tuple[str, str]]:
    """Openings whose former mark does nothing, and why."""
    site = design.site
    labelled = {issued.subject for issued in site.issued_labels if _of_opening(issued)}
    claimed = Counter(opening.formerly for opening in site.openings if opening.formerly)
    for opening in site.openings:
        was = opening.formerly
        if was and claimed[was] > 1:
            yield opening.mark, f"It states formerly {was}, as another opening does."
        elif was and site.earlier_mark.get(opening.mark) != was:
            yield opening.mark, f"It states formerly {was}, {_BORNE if was in site.opening else _TAKEN}."
        elif was and not labelled & {was, opening.mark}:
            yield opening.mark, f"It states formerly {was}; no label was ever issued for {was}."


def _of_opening(issued: IssuedLabel) -> bool:
    # A backbone cable's subject names two closets, which no mark can.
    if issued.kind == "cable":
        return "/" not in issued.subject and ">" not in issued.subject
    return issued.kind == "opening" or is_assignment(issued.kind, issued.subject)


def _words(labels: Sequence[IssuedLabel]) -> str:
    return ", ".join(f"{issued.kind} {issued.label}" for issued in labels)
