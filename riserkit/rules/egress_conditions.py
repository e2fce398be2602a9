"""The rule `egress-conditions`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.model.opening import EgressRole
from riserkit.rules._shared.proving import SECTION_OF, clause
from riserkit.standards.egress import (
    CONTROLLED_EGRESS_CONDITIONS,
    DELAYED_EGRESS_CONDITIONS,
    HARDWARE_RELEASE_CONDITIONS,
    SENSOR_RELEASE_CONDITIONS,
    STAIRWAY_CONDITIONS,
    section_source,
)

# Of a sensor-released door items 2 to 5 are proven or measured by other rules, of hardware release items 2 and 3.
_CONDITIONS: Final = {
    EgressRole.SENSOR_RELEASE: (SENSOR_RELEASE_CONDITIONS[0], *SENSOR_RELEASE_CONDITIONS[5:]),
    EgressRole.HARDWARE_RELEASE: (HARDWARE_RELEASE_CONDITIONS[0], *HARDWARE_RELEASE_CONDITIONS[3:]),
    EgressRole.DELAYED: DELAYED_EGRESS_CONDITIONS,
    EgressRole.CONTROLLED: CONTROLLED_EGRESS_CONDITIONS,
    EgressRole.STAIR: STAIRWAY_CONDITIONS,
}


class EgressConditions:
    """What the code asks of this kind of door beyond what a circuit can show is confirmed on site.

    Why:
        A drawing cannot see a sprinkler, an occupancy or a nurse. Better that the conditions stand beside the
        door than that anybody guesses them.
    Measures:
        Nothing: it lists the conditions of the section that rules the opening's role in egress, those left out
        that other rules prove.
    Limit:
        Each is confirmed on site by whom the authority having jurisdiction accepts.
    Remedy:
        How many there are to confirm.
    Source:
        IBC, the section of the role in the edition that the site names.
    """

    name: ClassVar[str] = "egress-conditions"
    source: ClassVar[str] = section_source("sensor release", "2021").cite()
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A note for each opening whose role has conditions."""
        for door in design.doors:
            if door.opening.egress in _CONDITIONS:
                yield self._door(design, door, door.opening.egress)

    def _door(self, design: Design, door: DoorDesign, role: EgressRole) -> Finding:
        conditions = _CONDITIONS[role]
        listed = " ".join(f"({number}) {text}" for number, text in enumerate(conditions, start=1))
        return Finding(
            rule=self.name, verdict=Verdict.NOT_EVALUATED, severity=Severity.NOTE, subject=door.mark,
            subject_kind="opening", message=f"To be confirmed on site, {SECTION_OF[role]}: {listed}",
            source=clause(design, role),
            remedy=f"Confirm {len(conditions)} conditions with the authority having jurisdiction, and record who did.",
        )  # fmt: skip
