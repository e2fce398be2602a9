"""Findings that would say the same of many doors: one finding of the site with the doors it is about."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Severity
from riserkit.proofs.values import DoorProof, Outcome, Property
from riserkit.quantities.counting import counted, counting_order
from riserkit.quantities.grouping import grouped
from riserkit.rules._shared.base import Measure, Rule, measured
from riserkit.rules._shared.proving import asked, judged

Said = Callable[[Property], str]
FEW: Final = 2
"""From how many doors on one finding is made for all of them."""


@dataclass(frozen=True, slots=True)
class Shared:
    """What a rule says of many doors at once.

    Args:
        name: of the property.
        words: the sentence for all of them, made from their properties, without its full stop.
        case: what decides at one of them; doors with the same case are listed after it.
        remedy: what to do; doors with the same share a finding.
        alone: severity at doors that ask for their lock wiring to be secured, which have findings of their own; None where
            they share the others' finding.
        many: severity at the others.
        about: which of the rule's conditions it is, where the rule has several.
    """

    name: str
    words: Callable[[Sequence[Property]], str]
    case: Said
    remedy: Said
    alone: Severity | None
    many: Severity
    about: str = ""


def grouped_findings(
    rule: Rule,
    design: Design,
    shared: Shared,
    *,
    leave_out: Callable[[DoorDesign], bool] = lambda _: False,
    with_others: Callable[[DoorDesign], bool] = lambda _: False,
) -> Iterator[Finding]:
    """Passes and doors apart one by one; all others in one finding for each remedy.

    A door is apart that asks for its lock wiring to be secured, or that has an acceptance of its own; what an engineer
    has accepted at one door must not vanish among others. Of doors to `leave_out` the rule speaks by itself; those
    `with_others` share the others' finding though their wiring is to be secured.
    """
    accepted = {a.subject for a in design.site.acceptances if (a.rule, a.about) == (rule.name, shared.about)}
    alike: dict[str, list[tuple[DoorDesign, Property]]] = {}
    for door, one in _proven(design, shared.name):
        if leave_out(door):
            continue
        secured = shared.alone is not None and bool(door.opening.lock_wiring_secured) and not with_others(door)
        if one.outcome is Outcome.FAIL and not secured and door.mark not in accepted:
            alike.setdefault(shared.remedy(one), []).append((door, one))
        else:
            yield _single(rule, door, one, shared, secured)
    for _, doors in sorted(alike.items()):
        if len(doors) < FEW:
            yield from (_single(rule, door, one, shared, False) for door, one in doors)
        else:
            yield _many(rule, design, doors, shared)


def _proven(design: Design, name: str) -> Iterator[tuple[DoorDesign, Property]]:
    for door in design.doors:
        proof = asked(door, name)
        if isinstance(proof, DoorProof) and proof.about(name).outcome is not Outcome.NOT_APPLICABLE:
            yield door, proof.about(name)


def _single(rule: Rule, door: DoorDesign, one: Property, shared: Shared, secured: bool) -> Finding:
    severity = shared.alone if secured and shared.alone is not None else shared.many
    return replace(judged(rule, door, one, shared.remedy(one), severity=severity), about=shared.about)


def _many(rule: Rule, design: Design, doors: Sequence[tuple[DoorDesign, Property]], shared: Shared) -> Finding:
    distinct: Mapping[int, Property] = {id(one): one for _, one in doors}
    cases = grouped(
        (shared.case(one), door.mark) for door, one in sorted(doors, key=lambda pair: counting_order(pair[0].mark))
    )
    told = "; ".join(f"{case} (at {', '.join(marks)})" for case, marks in sorted(cases.items(), key=_most_first))
    size = f"{counted(len(doors), 'door')}, {counted(len(distinct), 'circuit')}"
    found = measured(
        rule, ("site", design.site.info.name), Measure(len(doors), 0, "doors"),
        f"{size}: {shared.words(tuple(distinct.values()))}. Shortest: {told}.",
        severity=shared.many, remedy=shared.remedy(doors[0][1]),
    )  # fmt: skip
    return replace(
        found, about=shared.about, concerns=tuple(sorted((door.mark for door, _ in doors), key=counting_order))
    )


def _most_first(case: tuple[str, list[str]]) -> tuple[int, object]:
    return -len(case[1]), counting_order(case[1][0])


def deciding(one: Property) -> str:
    """The simplest case against a property, without colours and cables, so that doors wired alike say the same."""
    return one.counterexample.plain if one.counterexample is not None else one.words


def span(properties: Sequence[Property]) -> str:
    """How many faults break a property, over several circuits: `5 of 46`, `3 to 9 of 35 to 101`."""
    few, total = [len(one.faults) for one in properties], [one.cases for one in properties]
    return f"{_range(few)} of {_range(total)}"


def _range(numbers: Sequence[int]) -> str:
    low, high = min(numbers), max(numbers)
    return str(low) if low == high else f"{low} to {high}"
