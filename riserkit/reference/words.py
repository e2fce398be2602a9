"""What a reference sheet says besides wiring, landings and readings: when to use it, what it needs, what decides, what fails."""

from __future__ import annotations

import inspect
from collections.abc import Iterator, Sequence
from typing import Final

from riserkit.errors import RiserkitError
from riserkit.findings import Finding, Severity, Verdict
from riserkit.model.parts import Controller
from riserkit.quantities.printed import upper_first
from riserkit.reports.diagnosis import fault_words, outcomes
from riserkit.troubleshooting.diagnose import Diagnosis, diagnose
from riserkit.troubleshooting.sights import read_sight, sight_words
from riserkit.wiring.arrangement import Arrangement, DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.reason import Reason
from riserkit.wiring.values import Candidate

HEADING: Final = "REFERENCE - NOT FOR CONSTRUCTION AT A PARTICULAR DOOR"
CAUTION: Final = (
    "Generic parts, no site, approved by nobody. Check against the device's instructions, the local code, the authority "
    "having jurisdiction and licensed practice. Life-safety functions are verified on site before use."
)
COMPLAINTS: Final = ("card no effect", "REX no effect", "lock released in idle")
"""What a caller says most, as `riserkit diagnose --sees` has it."""
_MOST_NAMED: Final = 4
_MOST_NUMBERS: Final = 4
_ORDINALS: Final = ("first", "second", "third", "fourth")


def when_to_use(arrangement: Arrangement) -> str:
    """What it says of that itself, else what it says of itself at all."""
    said = getattr(arrangement, "when_to_use", "")
    if isinstance(said, str) and said.strip():
        return said.strip()
    about = inspect.getdoc(type(arrangement)) or ""
    return " ".join(about.partition("\n\n")[0].split()) or f"{arrangement.title}."


def needs(candidate: Candidate) -> Iterator[str]:
    """What had to be there, as the tests that it passed say; a capital and a full stop to each."""
    for text in dict.fromkeys(r.text for r in candidate.reasons if r.passed and not r.unit):
        yield sentence(text)


def deciding_numbers(candidate: Candidate) -> tuple[str, ...]:
    """The tests closest to their limits, the closest first."""
    measured = [(room, r) for r in candidate.reasons if (room := _room(r)) is not None]
    return tuple(sentence(r.text) for _, r in sorted(measured, key=lambda one: (one[0], one[1].name))[:_MOST_NUMBERS])


def part_limits(controller: Controller) -> Iterator[str]:
    """What a controller's outputs give, whatever it is fed with."""
    source = "whatever feeds the controller (common practice, no source)"
    if controller.output_limit_a is not None and not controller.is_dry:
        yield f"Lock output: at most {controller.output_limit_a:g} A at {controller.output_v:g} V, {source}."
    if controller.auxiliary_limit_a is not None and controller.auxiliary_v is not None:
        yield f"Auxiliary output: at most {controller.auxiliary_limit_a:g} A at {controller.auxiliary_v:g} V, {source}."


def to_confirm(mark: str, findings: Sequence[Finding]) -> Iterator[str]:
    """What stays open at every door wired so: confirmations and warnings; of those told of many doors, the remedy."""
    for finding in findings:
        if finding.verdict is Verdict.PASS or finding.severity is Severity.NOTE:
            continue
        if finding.subject_kind == "opening" and finding.subject == mark:
            yield f"{finding.message} ({finding.rule})"
        elif mark in finding.concerns:
            yield f"{finding.remedy} ({finding.rule})"


def faults_worth_knowing(circuit: DoorCircuit, at: Temperatures) -> Iterator[str]:
    """For each complaint the likeliest faults, and the reading that tells most of them apart."""
    for complaint in COMPLAINTS:
        try:
            seen = read_sight(circuit, complaint)
        except RiserkitError:
            continue  # this door has nothing of the kind
        found = diagnose(circuit, seen, at)
        if found.candidates:
            meant = sight_words(complaint)
            yield _complaint(upper_first(meant), found)


def _complaint(said: str, found: Diagnosis) -> str:
    first = found.candidates[:_MOST_NAMED]
    more = len(found.candidates) - len(first)
    rest = f"; or {more} less likely ones" if more else ""
    words = f"{said}: {'; '.join(map(fault_words, first))}{rest}."
    if found.next is None:
        return words
    shown = outcomes(found.next.ask.asked, zip(_ORDINALS, found.next.predicted, strict=False))
    told = "; ".join(f"{value} with the {' and '.join(which)}" for value, which in shown)
    return f"{words} First reading: {found.next.ask.words}. Of those named: {told}."


def _room(reason: Reason) -> float | None:
    """Distance from the limit as a share of it; None where the test has no numbers."""
    if not reason.passed or reason.value is None or not reason.limit:
        return None
    return abs(reason.limit - reason.value) / abs(reason.limit)


def sentence(text: str) -> str:
    """With a capital and a full stop."""
    return f"{upper_first(text)}{'' if text.endswith(('.', ')')) else '.'}"
