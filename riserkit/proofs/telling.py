"""A proof told in words, for `explain` and for the door's sheet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.proofs.book import Unproven
from riserkit.proofs.values import HOLD_OPEN, NO_SILENT, REQUEST_IN_REACH, DoorProof, Outcome, Property

CAUTION: Final = (
    "This is a design check. It does not replace listing, inspection or the authority having jurisdiction; the local code and"
    " licensed practice govern."
)
_NOTED: Final = (REQUEST_IN_REACH, HOLD_OPEN, NO_SILENT)


def proof_line(proof: DoorProof | Unproven) -> str:
    """The one line for the door's sheet: the cases and that all pass, or the gravest that does not hold.

    What every door has some of, single faults that hold it open and a request input in reach, is told by `explain` and by
    its rules, and does not stand in this line.
    """
    if isinstance(proof, Unproven):
        return f"Not proven: {proof.why}."
    topology = proof.topology
    size = f"{topology.states} states x {topology.faults} faults"
    against = [p for p in proof.failed if p.name not in _NOTED]
    if against:
        return f"{size}; {against[0].name} FAILS: {_case(against[0])}"
    if proof.lacking:
        return f"{size}; {proof.lacking[0].name} FAILS: {proof.lacking[0].words}"
    if proof.open:
        return f"{size}; {proof.open[0].name} not evaluated: {proof.open[0].words}"
    return f"{size}, all pass"


def proof_words(proof: DoorProof | Unproven) -> tuple[str, ...]:
    """All of a proof in sentences: its size, each property asked of the door, the truth table, the caution."""
    return tuple(_words(proof))


def _words(proof: DoorProof | Unproven) -> Iterator[str]:
    if isinstance(proof, Unproven):
        yield f"Not proven: {proof.why}."
        return
    t = proof.topology
    yield (
        f"Proven over {t.states} states x {t.faults} single faults and the sound circuit, each at {t.corners} corners:"
        f" {t.cases} cases solved, and {t.tamper_cases} acts from the unsecured side."
    )
    for name in proof.asked:
        one = proof.about(name)
        if one.outcome is not Outcome.NOT_APPLICABLE or one in proof.lacking:
            yield f"{name}: {'fail' if one in proof.lacking else one.outcome}. {_told(one)}"
        if one.cure and one.outcome is Outcome.FAIL:
            yield f"A way out: {one.cure}"
    for row in t.table:
        yield f"{', '.join(row.state)}: {row.stands}."
    yield CAUTION


def _told(one: Property) -> str:
    example = one.counterexample
    if one.outcome is not Outcome.FAIL or example is None:
        return one.words
    way = f", over conductors {', '.join(example.path)}" if example.path else ""
    return f"{one.words} Case: {example.words}; {example.lock} has {abs(example.coil_v):.1f} V{way}."


def _case(one: Property) -> str:
    if one.name == "tamper" or one.counterexample is None:
        return one.words
    example = one.counterexample
    return f"{example.words}; {example.lock} has {abs(example.coil_v):.1f} V."
