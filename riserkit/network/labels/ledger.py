"""The book of labels while they are being given out: what is issued, what is taken, what was given twice."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from riserkit.model.site import Site

Kind = Literal["closet", "switch", "port", "cable", "opening"]


class Ledger:
    """Labels given out so far.

    A label on record never changes. One that the user gives is kept unless another is on record. New ones
    take the first free of the places that they are offered. Labels that differ only in letter case count as one.
    """

    def __init__(self, site: Site) -> None:
        """Open the book with the site's record; labels of its runs are kept free for their cables."""
        self._labels: dict[tuple[Kind, str], str] = {}
        self._owners: dict[str, list[tuple[Kind, str]]] = {}
        self._texts: dict[str, str] = {}
        self._overruled: list[tuple[Kind, str, str]] = []
        self._reserved = {run.label.casefold() for run in site.runs if run.label}
        for issued in sorted(site.issued_labels, key=lambda x: (x.kind, x.subject, x.label)):
            # the number of a sheet is on paper alone: no thing on the site is taken for it
            if issued.kind != "sheet" and not is_assignment(issued.kind, issued.subject):
                self._enter(issued.kind, issued.subject, issued.label)

    def issued(self, kind: Kind, subject: str) -> str | None:
        """The label that a subject has."""
        return self._labels.get((kind, subject))

    def give(self, kind: Kind, subject: str, label: str) -> None:
        """Enter a label that the user gives; one on record stays."""
        known = self._labels.get((kind, subject))
        if known is None:
            self._enter(kind, subject, label)
        elif known != label:
            self._overruled.append((kind, subject, label))

    def take(self, kind: Kind, subject: str, places: Iterable[str]) -> str:
        """The subject's label: the one it has, or the first free of `places`, which must not run out."""
        known = self._labels.get((kind, subject))
        if known is not None:
            return known
        label = next(place for place in places if self._is_free(place.casefold()))
        self._enter(kind, subject, label)
        return label

    def clashes(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Labels given to more than one subject, with the subjects, sorted."""
        double = {key: owners for key, owners in self._owners.items() if len(owners) > 1}
        return tuple(sorted((self._texts[key], tuple(s for _, s in owners)) for key, owners in double.items()))

    def overruled(self) -> tuple[tuple[str, str, str], ...]:
        """Labels that the user gives but that an issued one overrules: kind, subject, label given; sorted."""
        return tuple(sorted(self._overruled))

    def _is_free(self, key: str) -> bool:
        return key not in self._owners and key not in self._reserved

    def _enter(self, kind: Kind, subject: str, label: str) -> None:
        self._texts.setdefault(label.casefold(), label)
        owners = self._owners.setdefault(label.casefold(), [])
        if (kind, subject) not in owners:
            owners.append((kind, subject))
        self._labels.setdefault((kind, subject), label)


def is_assignment(kind: str, subject: str) -> bool:
    """Whether a record of kind `port` says which port an opening is on, rather than what a port is called.

    The subject of the first is the opening's mark, that of the second `SWITCH:PORT`; a mark has no colon.
    """
    return kind == "port" and ":" not in subject
