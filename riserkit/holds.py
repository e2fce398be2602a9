"""Doors on HOLD: not designed, or not to be built as drawn, by which findings, and on which sheet the failure is drawn.

Every paper reads this: what one calls HOLD, all do.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final, NamedTuple

from riserkit.design import Design, DoorDesign
from riserkit.findings import AT_A_DOOR, Finding, Harm, Severity, Verdict, at_openings, by_harm
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import FAIL_SECURE_ON_POWER_LOSS, LOCK_FOLLOWS_CONTROLLER, RELEASES, TAMPER, Property
from riserkit.standards.sheets import failure_sheet_id

HOLD: Final = "HOLD"
DO_NOT_BUILD: Final = "HOLD - DO NOT BUILD"
NOT_IN_SERVICE: Final = "HOLD - NOT IN SERVICE"
"""On a set that shows what was built there is nothing left to build, and people walk through the door."""
DO_NOT_ORDER: Final = "Do not order until resolved"
HOLD_NOTE: Final = "For an opening on HOLD build, order and energise nothing until it is resolved."
HOLD_MEANS: Final = "Do not build: see the schedule of openings, and sheet T-502 and its mark where there is one"
HOLDING: Final = frozenset({None, Harm.LIFE_SAFETY, Harm.INTRUSION, Harm.DOES_NOT_WORK})
"""Harms whose errors put a door on HOLD; an error that states none may be any of them."""
RESOLVE_FIRST: Final = "Resolve before work"
"""Of a door that is not on HOLD, with an open error against the code: not to be built as drawn in that one thing."""
_GRAVEST: Final = (*RELEASES, LOCK_FOLLOWS_CONTROLLER, FAIL_SECURE_ON_POWER_LOSS)


class Banner(NamedTuple):
    """What must be seen first of a drawing that may not be built from: a heading, a sentence, and whether it is on HOLD."""

    heading: str
    words: str
    hold: bool = False


@dataclass(frozen=True, slots=True)
class Hold:
    """A door that may not be built as drawn.

    Args:
        mark: of the opening.
        findings: the open errors that hold it, the worst first; none where it only is not designed.
        sheet_id: of the sheet that shows how it fails; empty where none of the findings can be drawn.
        not_designed: why there is no wiring to build, such as `not designed (missing: lock)`; empty where there is one.
    """

    mark: str
    findings: tuple[Finding, ...]
    sheet_id: str = ""
    not_designed: str = ""

    @property
    def reasons(self) -> tuple[str, ...]:
        """That it is not designed, and the rules not kept, each once, the worst first."""
        undesigned = (self.not_designed,) if self.not_designed else ()
        return (*undesigned, *dict.fromkeys(finding.rule for finding in self.findings))

    @property
    def pointer(self) -> str:
        """Where to read on."""
        return f"see {self.sheet_id}" if self.sheet_id else "see findings"

    @property
    def words(self) -> str:
        """For a cell of a table, such as `HOLD: release-by-hand; see T-502-110`."""
        return f"{HOLD}: {', '.join(self.reasons)}; {self.pointer}"

    @property
    def banner(self) -> Banner:
        """For the head of its drawing: what holds it with the sheet of the failure, and the findings in full."""
        first, *others = self.reasons
        more = f" and {len(others)} more" if others else ""
        told = " ".join(dict.fromkeys(finding.message for finding in self.findings))
        return Banner(f"{DO_NOT_BUILD}: {first}{more}, {self.pointer}", told, hold=True)


@dataclass(frozen=True)
class Holds:
    """Doors on HOLD by mark, and the errors of the same harms that someone has accepted, by mark.

    Attributes:
        first: open errors against the code, such as a cable's jacket, of doors that are not on HOLD, by mark.
    """

    held: Mapping[str, Hold] = field(default_factory=lambda: MappingProxyType({}))
    accepted: Mapping[str, tuple[Finding, ...]] = field(default_factory=lambda: MappingProxyType({}))
    first: Mapping[str, tuple[Finding, ...]] = field(default_factory=lambda: MappingProxyType({}))

    def __contains__(self, mark: str) -> bool:
        return mark in self.held

    def words(self, mark: str) -> str:
        """For a cell of a table: why it is on HOLD, else what is to be resolved first and who accepted its errors."""
        if mark in self.held:
            return self.held[mark].words
        return "; ".join(filter(None, (self.first_words(mark), self.accepted_words(mark))))

    def first_words(self, mark: str) -> str:
        """What is to be resolved before work, such as `Resolve before work: jacket-fit`; empty where nothing is."""
        rules = dict.fromkeys(finding.rule for finding in self.first.get(mark, ()))
        return f"{RESOLVE_FIRST}: {', '.join(rules)}" if rules else ""

    def accepted_words(self, mark: str) -> str:
        """Who accepted its errors; empty where there are none, and where it is on HOLD."""
        told = (accepted_words(finding) for finding in self.accepted.get(mark, ()) if mark not in self.held)
        return "; ".join(dict.fromkeys(filter(None, told)))


NO_HOLDS: Final = Holds()


def heading_of(design: Design) -> str:
    """What stands over a door on HOLD, as designed or as built."""
    return DO_NOT_BUILD if design.site.as_built is None else NOT_IN_SERVICE


def accepted_words(finding: Finding) -> str:
    """Who accepted an error, and by which reference: `ACCEPTED BY R. Ashdown, ref. 26-114: release-by-hand`."""
    given = finding.acceptance
    if given is None:
        return ""
    reference = " ".join(filter(None, (given.authority, given.reference)))
    return f"ACCEPTED BY {given.name}{f', {reference}' if reference else ''}: {finding.rule}"


def read_holds(design: Design, findings: Iterable[Finding]) -> Holds:
    """All doors of a design that are on HOLD by these findings, in the order of the design.

    Args:
        design: the whole design.
        findings: of its rules, acceptances applied.
    """
    opened: dict[str, list[Finding]] = {}
    accepted: dict[str, list[Finding]] = {}
    first: dict[str, list[Finding]] = {}
    for finding in at_openings(findings):
        if _is_error(finding) and finding.subject_kind in AT_A_DOOR:
            if finding.harm in HOLDING:
                (opened if finding.is_open else accepted).setdefault(finding.subject, []).append(finding)
            elif finding.harm is Harm.CODE and finding.is_open:
                first.setdefault(finding.subject, []).append(finding)
    held = {
        door.mark: _hold(door, opened.get(door.mark, ()))
        for door in design.doors
        if door.mark in opened or not_designed(door)
    }
    return Holds(
        held,
        {mark: tuple(sorted(few, key=by_harm)) for mark, few in accepted.items()},
        {mark: tuple(sorted(few, key=by_harm)) for mark, few in first.items() if mark not in held},
    )


def hold_of(door: DoorDesign, findings: Iterable[Finding]) -> Hold | None:
    """Why one door is on HOLD; None when it is not.

    Args:
        door: the opening.
        findings: all, or those of this opening.
    """
    mine = [
        f
        for f in at_openings(findings)
        if f.subject == door.mark and f.subject_kind in AT_A_DOOR and is_holding(f) and f.is_open
    ]
    return _hold(door, mine) if mine or not_designed(door) else None


def not_designed(door: DoorDesign) -> str:
    """Why a door has no wiring that could be built, in a phrase; empty where one is drawn.

    What its rules make of it is a warning, for data may come; a crew has nothing to build by all the same.
    """
    wiring = door.wiring
    if wiring.missing:
        return f"not designed (missing: {', '.join(wiring.missing)})"
    return "" if wiring.build is not None and wiring.drawn is not None else "not designed (no wiring can be drawn)"


def is_holding(finding: Finding) -> bool:
    """An error, open or accepted, of a harm that a crew may not build in."""
    return _is_error(finding) and finding.harm in HOLDING


def _is_error(finding: Finding) -> bool:
    return finding.verdict is not Verdict.PASS and finding.severity is Severity.ERROR


def _hold(door: DoorDesign, findings: Sequence[Finding]) -> Hold:
    worst_first = tuple(sorted(findings, key=by_harm))
    failing = drawn_failing(door)
    shown = failing is not None and failing.name in {finding.rule for finding in worst_first}
    return Hold(door.mark, worst_first, failure_sheet_id(door.mark) if shown else "", not_designed(door))


def drawn_failing(door: DoorDesign) -> Property | None:
    """The gravest property asked of the door that fails and can be drawn: the way out first, what is lacking before it.

    Tamper counts only where the opening asks for its lock wiring to be secured.
    """
    proof = door.proof
    if isinstance(proof, Unproven):
        return None
    names = (*_GRAVEST, *((TAMPER,) if door.opening.lock_wiring_secured else ()))
    failed = {one.name: one for one in (*proof.lacking, *proof.failed) if one.counterexample is not None}
    return next((failed[name] for name in names if name in failed), None)
