"""A proof in sentences, for `explain` and for the door's sheet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.model.opening import EgressRole, Opening
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import (
    FAULT_LEAVES_UNLOCKED,
    RELEASE_BY_HAND,
    RELEASE_ON_FIRE_ALARM,
    RELEASE_ON_POWER_LOSS,
    RELEASES,
    REX_EXPOSED,
    TAMPER,
    UNDETECTED_FAULT,
    Counterexample,
    DoorProof,
    Outcome,
    Property,
    TruthRow,
)
from riserkit.wiring.roles import StateRole

CAUTION: Final = (
    "This is a design check. It does not replace listing, inspection or the authority having jurisdiction; the local code and"
    " licensed practice govern."
)
_VERDICTS: Final = {
    Outcome.PASS: "passes", Outcome.FAIL: "fails", Outcome.NOT_EVALUATED: "not evaluated", Outcome.NOT_APPLICABLE: "",
}  # fmt: skip
_SECURITY: Final = (TAMPER, REX_EXPOSED, FAULT_LEAVES_UNLOCKED, UNDETECTED_FAULT)


def proof_line(proof: DoorProof | Unproven) -> str:
    """The one line for the door's sheet: the cases and that release passes, or the gravest property that does not hold.

    What lets people out and whether the lock obeys come first. How many single faults leave the door unlocked or leave it so
    unseen, and the acts from outside that ask for its release or open it, come last: they are no failing of egress.

    Examples:
        `16 states x 46 faults, release passes in all; 5 faults leave it unlocked; tamper: connect K1.L+ (BK of W4) to K1.A+ (BK of W3)`
    """
    if isinstance(proof, Unproven):
        return f"Not checked: {proof.why}."
    size = f"{proof.topology.states} states x {proof.topology.faults} faults"
    for one in proof.lacking:
        return f"{size}; {one.name} fails: {one.words}"
    for one in proof.failed:
        if one.name not in _SECURITY:
            return f"{size}; {one.name} fails: {_case(one)}"
    for one in proof.open:
        return f"{size}; {one.name} not evaluated: {one.words}"
    # `all pass` beside faults that leave the door unlocked would contradict them: it is release that passes in all.
    released = any(name in RELEASES and proof.about(name).outcome is Outcome.PASS for name in proof.asked)
    checked = f"{size}, release passes in all" if released else f"{size} checked"
    return "; ".join((checked, *_left_out(proof), *_security_words(proof)))


def _left_out(proof: DoorProof) -> Iterator[str]:
    """What the properties that pass do not speak of."""
    passed = {name for name in proof.asked if proof.about(name).outcome is Outcome.PASS}
    devices = {RELEASE_BY_HAND: "manual release", RELEASE_ON_FIRE_ALARM: "fire alarm relay"}
    out = []
    if names := [name for name in devices if name in passed]:
        out.append(f"{' or '.join(devices[n] for n in names)} welded or shorted across")
    if RELEASE_ON_POWER_LOSS in passed:
        out.append("contacts stuck while lock power is lost")
    if out:
        yield f"not judged: {', '.join(out)}"


def _security_words(proof: DoorProof) -> Iterator[str]:
    held, unseen, moved = proof.about(FAULT_LEAVES_UNLOCKED), proof.about(UNDETECTED_FAULT), proof.about(TAMPER)
    if held.faults:
        one = len(held.faults) == 1
        yield f"{len(held.faults)} fault{'' if one else 's'} leave{'s' if one else ''} it unlocked"
    if unseen.faults:
        one = len(unseen.faults) == 1
        yield f"{len(unseen.faults)} fault{'' if one else 's'} leave{'s' if one else ''} it unlocked undetected by the inputs"
    asking = proof.about(REX_EXPOSED)
    if asking.outcome is Outcome.FAIL and asking.counterexample is not None:
        yield f"REX input accessible: {asking.counterexample.plain}"
    if moved.outcome is Outcome.FAIL and moved.counterexample is not None:
        yield f"tamper: {moved.attack}"


def proof_words(proof: DoorProof | Unproven, opening: Opening) -> tuple[str, ...]:
    """All of a proof in sentences: its size, each property asked of the door, the truth table, the caution."""
    return tuple(_words(proof, opening))


def _words(proof: DoorProof | Unproven, opening: Opening) -> Iterator[str]:
    if isinstance(proof, Unproven):
        yield f"Not checked: {proof.why}."
        return
    t = proof.topology
    yield (
        f"Checked over {t.states} states x {t.faults} single faults and the healthy circuit, each at {t.worst_cases} worst cases:"
        f" {t.cases} cases checked, and {t.tamper_cases} tampering cases."
    )
    for name in proof.asked:
        one = proof.about(name)
        lacking = one in proof.lacking
        if one.outcome is not Outcome.NOT_APPLICABLE or lacking:
            yield f"{name}: {'fails' if lacking else _VERDICTS[one.outcome]}. {_property_words(one, lacking)}"
        if one.cure and one.outcome is Outcome.FAIL:
            yield f"Remedy: {one.cure}"
    if t.table:
        yield "Lock state without faults; the first matching line applies:"
    for row in t.table:
        yield f"{', '.join(row.state)}: {lock_state_words(row, opening)}."
    yield CAUTION


def _property_words(one: Property, lacking: bool = False) -> str:
    example = one.counterexample
    if example is None or not (lacking or one.outcome is Outcome.FAIL):
        return one.words
    if one.fault_phrases:
        return f"{one.words} Faults: {'; '.join(one.fault_phrases)}."
    if one.name == REX_EXPOSED:
        return one.words
    case = "" if one.name == TAMPER else f" Fault case: {example.words}."
    way = f" Current path: {example.current}." if example.path else ""
    return f"{one.words}{case} {lock_words(example)}{way}"


def lock_state_words(row: TruthRow, opening: Opening) -> str:
    """The lock in a state at an opening: what a request to exit releases at a delayed one, it releases after the delay."""
    asks = any(said.startswith(str(StateRole.MOTION)) for said in row.state)
    if opening.egress is not EgressRole.DELAYED or row.lock_state != "released" or not asks:
        return row.lock_state
    return "released after the delay" + ("" if opening.delay_s is None else f" of {opening.delay_s:g} s")


def lock_words(example: Counterexample) -> str:
    """The lock of a case: its volts, and its state.

    Examples:
        `The coil of M1 then has 11.8 V; it is locked.`
    """
    lock_state = {"undecided": "between its drop-out and its pull-in voltage"}.get(
        example.lock_state, example.lock_state
    )
    return f"The coil of {example.lock} then has {abs(example.coil_v):.1f} V; it is {lock_state}."


def _case(one: Property) -> str:
    example = one.counterexample
    if example is None:
        return one.words
    return f"{example.words}; {example.lock} has {abs(example.coil_v):.1f} V."
