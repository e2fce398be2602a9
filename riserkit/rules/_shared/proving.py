"""What the rules that read a door's proof share: verdicts, clauses by edition of the code, and the case against it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Severity
from riserkit.model.opening import EgressRole
from riserkit.proofs.asked import ibc_edition
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import LOCK_FOLLOWS_CONTROLLER, REX_EXPOSED, TAMPER, DoorProof, Outcome, Property
from riserkit.quantities.printed import format_value
from riserkit.rules._shared.base import NO_CIRCUIT, Rule, not_evaluated, stated
from riserkit.standards.egress import SECTIONS, section_source

SECTION_OF: Final = {
    EgressRole.SENSOR_RELEASE: "sensor release",
    EgressRole.HARDWARE_RELEASE: "door-hardware release",
    EgressRole.DELAYED: "delayed egress",
    EgressRole.CONTROLLED: "controlled egress",
    EgressRole.STAIR: "stairway doors",
}
UNSTATED_EDITION: Final = "2021"


def clause(design: Design, role: EgressRole | None) -> str:
    """The section that rules a role in the edition that the site names, else in 2021, and says so.

    Examples:
        The site names `IBC 2024` and the door is a sensor-released one: `IBC 2024 1010.2.11 (verified)`.
    """
    subject = SECTION_OF.get(role) if role else None
    if subject is None:
        return ""
    edition = ibc_edition(design.site.info.building_code)
    if edition in SECTIONS[subject]:
        return section_source(subject, edition).cite()
    return f"{section_source(subject, UNSTATED_EDITION).cite()}; the site names no edition of the IBC"


def unproven(rule: Rule, door: DoorDesign, proof: Unproven) -> Finding:
    """Nothing is proven of the door; says why: an error where its circuit is there and cannot be worked out."""
    if proof.failed:
        found = not_evaluated(
            rule, door.subject, f"Not evaluated: {proof.why}.",
            "Check the values of the opening's parts and cables.",
        )  # fmt: skip
        return replace(found, severity=Severity.ERROR)
    found = not_evaluated(
        rule, door.subject, f"Not checked: {proof.why}.",
        "Fix no-suitable-wiring and missing-data first.",
    )  # fmt: skip
    return replace(found, causes=NO_CIRCUIT)


def judged(
    rule: Rule, door: DoorDesign, one: Property, remedy: str, *, severity: Severity = Severity.ERROR, source: str = ""
) -> Finding:
    """A finding from one property: its sentence, the simplest case against it, and the cases checked."""
    subject = door.subject
    if one.outcome is Outcome.NOT_EVALUATED:
        # What is asked of a locked door cannot be asked of one that does not lock.
        causes = () if one.name == LOCK_FOLLOWS_CONTROLLER else (LOCK_FOLLOWS_CONTROLLER,)
        return replace(not_evaluated(rule, subject, one.words, remedy), causes=causes)
    passed = one.outcome is Outcome.PASS
    message = f"{one.words} {one.cases} cases checked." if passed and one.cases else one.words
    if one.outcome is Outcome.FAIL:
        message = f"{one.words}{_against(one)}"
    return stated(rule, subject, passed, message, remedy=remedy, severity=severity, source=source)


def _against(one: Property) -> str:
    example = one.counterexample
    if example is None or one.name in {TAMPER, REX_EXPOSED}:
        return ""
    coil = f"{format_value(abs(example.coil_v), 'V')} at {example.lock}"
    first = "For example" if one.faults else f"{one.failing} of {one.cases} cases fail, for example"
    return f" {first} {example.words}: {coil}."


def through_input(door: DoorDesign) -> bool:
    """Whether the door can be opened from the unsecured side through its request input, whatever its lock wires stand."""
    proof = asked(door, REX_EXPOSED)
    return isinstance(proof, DoorProof) and proof.about(REX_EXPOSED).outcome is Outcome.FAIL


def through_input_off_wall(door: DoorDesign) -> bool:
    """Whether that takes the controller off the wall, so that it can be set to ignore it."""
    return through_input(door) and isinstance(door.proof, DoorProof) and not door.proof.about(REX_EXPOSED).cure


def asked(door: DoorDesign, name: str) -> DoorProof | Unproven | None:
    """The door's proof where this property is asked of it, why there is none, or None where it is not asked."""
    proof = door.proof
    if isinstance(proof, DoorProof) and name not in proof.asked:
        return None
    return proof
