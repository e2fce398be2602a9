"""The rule `label-unique`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.network.values import Labels
from riserkit.quantities.counting import counted
from riserkit.quantities.grouping import grouped
from riserkit.rules._shared.base import stated
from riserkit.rules._shared.lookups import listed
from riserkit.standards import labels as grammar

_PREFIX: Final = {"a closet": "TR", "a supply": "PS"}


class LabelUnique:
    """No two things of one kind carry the same label, and no closet or supply has the name of an opening.

    Why:
        Two cables with one label are found out by unplugging the wrong one. Labels are on the cable for twenty years,
        the drawing is not beside it. Where a closet has an opening's name, a run or a returned length could be meant for
        either, and is refused; it is renamed before labels of it hang on site.
    Measures:
        All labels of closets, switches, ports, cables and openings, as given, issued before or new; names of closets,
        supplies and openings.
    Limit:
        Each label is on one thing of its kind, each name on a closet or supply or an opening.
    Remedy:
        Which of them has to give up its label; it then takes the next free place. Another name for the closet or supply.
    Source:
        TIA-606-D: identifiers are unique (from memory).
    """

    name: ClassVar[str] = "label-unique"
    source: ClassVar[str] = grammar.GRAMMAR.cite()
    harm: ClassVar[Harm] = Harm.DRAFTING

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each label given twice; a single one for the site when there is none."""
        shared = _shared(design.labels)
        for label, subjects in sorted(shared.items()):
            things = f"{counted(len(subjects), 'thing')}: {listed(subjects)}"
            remedy = (
                f"Take the label off {len(subjects) - 1} of them, for example {subjects[-1]}, to get the next free one."
            )
            yield stated(self, ("label", label), False, f"{label} is on {things}.", remedy=remedy)
        namesakes = list(_namesakes(design))
        for kind, name in namesakes:
            message = (
                f"{name} is {kind} and an opening; a run or a returned length of {name} could be meant for either."
            )
            remedy = f"Rename the {kind.split()[-1]} before the set is issued, for example {_PREFIX[kind]}-{name}."
            yield stated(self, (kind.split()[-1], name), False, message, remedy=remedy, severity=Severity.WARNING)
        if not shared and not namesakes:
            count = sum(len(kind) for kind in _kinds(design.labels))
            yield stated(self, ("site", design.site.info.name), True, f"{counted(count, 'label')}, each on one thing.")


def _namesakes(design: Design) -> Iterator[tuple[str, str]]:
    """What has the name of an opening: its kind in words, and the name."""
    marks = {opening.mark for opening in design.site.openings}
    yield from (("a closet", closet.id) for closet in design.site.closets if closet.id in marks)
    yield from (("a supply", supply.id) for supply in design.site.supplies if supply.id in marks)


def _kinds(labels: Labels) -> tuple[Mapping[str, str], ...]:
    return labels.closet, labels.switch, labels.port, labels.cable, labels.opening


def _shared(labels: Labels) -> dict[str, tuple[str, ...]]:
    shared = {label: set(subjects) for label, subjects in labels.clashes}
    for kind in _kinds(labels):
        if len(set(kind.values())) == len(kind):
            continue
        by_label = grouped((label, subject) for subject, label in kind.items())
        for label, subjects in by_label.items():
            if len(subjects) > 1:
                shared.setdefault(label, set()).update(subjects)
    return {label: tuple(sorted(subjects)) for label, subjects in shared.items()}
