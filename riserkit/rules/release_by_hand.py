"""The rule `release-by-hand`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.opening import EgressRole
from riserkit.model.parts import ReleaseButton
from riserkit.proofs.asked import BREAKS_POWER
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import RELEASE_BY_HAND, Outcome
from riserkit.quantities.printed import format_pair, format_value
from riserkit.rules._shared.base import Measure, measured, not_evaluated, stated
from riserkit.rules._shared.proving import asked, clause, judged, unproven
from riserkit.standards.egress import MANUAL_RELEASE_HOLD_MIN_S, section_source

_IN_SERIES: Final = "Land the release's own opening contact (11-12) in series with lock power; one conductor of the feed goes through it."
_HARDWARE: Final = (
    "State a release for the switch in the bar or handle, a part of kind release-button with in_leaf yes, such as release-bar: its"
    " contact 11-12 breaks lock power, a second pole 23-24 tells the controller."
)
_ON_LEAF: Final = "State a release whose switch is in the bar or handle (in_leaf yes), such as release-bar."
_STATE_LEAF: Final = "State in_leaf of this part, yes or no."
_STAFF_SWITCH: Final = (
    "State a release: a switch at the fire command centre or nurse station with its opening contact (11-12) in series"
    " with lock power."
)


class ReleaseByHand:
    """The manual release, or the hardware on the door, takes the lock's power away by itself.

    Why:
        When controller, relay and sensor have all failed, the button is what is left. It helps only if its own
        contact is in the lock's feed; wired to an input it asks the very electronics that have failed.
    Measures:
        The lock's voltage with the release pressed, in every state and under every single fault of controller,
        relay, sensor and wiring; only a welded contact of the release itself and a short across it are left
        out. For a sensor-released door also how long the release stays out; where the hardware on the door releases it,
        whether the switch is in that hardware.
    Limit:
        Every lock is below its drop-out voltage in every case; 30 s at least.
    Remedy:
        Where the contact has to stand, or the seconds that are missing.
    Source:
        IBC 2021 1010.2.12 item 4, 1010.2.11 and, for the staff's switch of controlled egress, 1010.2.14 (verified);
        the section of the edition that the site names is cited.
    """

    name: ClassVar[str] = "release-by-hand"
    source: ClassVar[str] = section_source("sensor release", "2021").cite()
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """One or two findings for each door that is to be released by hand."""
        for door in design.doors:
            wanted = door.opening.egress in BREAKS_POWER
            proof = asked(door, RELEASE_BY_HAND)
            if isinstance(proof, Unproven):
                if wanted:
                    yield unproven(self, door, proof)
            elif proof is not None:
                one = proof.about(RELEASE_BY_HAND)
                source = clause(design, door.opening.egress)
                if one.outcome is Outcome.NOT_APPLICABLE:
                    yield self._no_release(door, source)
                else:
                    yield judged(self, door, one, _IN_SERIES, source=source)
            if door.opening.egress is EgressRole.SENSOR_RELEASE:
                yield self._hold(design, door)
            if door.opening.egress is EgressRole.HARDWARE_RELEASE:
                yield from self._on_leaf(design, door)

    def _no_release(self, door: DoorDesign, source: str) -> Finding:
        subject, role = door.subject, door.opening.egress
        if role is EgressRole.CONTROLLED:
            message = "No switch in the lock's feed breaks lock power; staff can only signal the controller."
            return stated(self, subject, False, message, remedy=_STAFF_SWITCH, source=source)
        hardware = role is EgressRole.HARDWARE_RELEASE
        what = "the door's release hardware" if hardware else "a manual release"
        message = f"No contact of {what} is in the lock's feed; it only signals the controller."
        return stated(self, subject, False, message, remedy=_HARDWARE if hardware else _IN_SERIES, source=source)

    def _on_leaf(self, design: Design, door: DoorDesign) -> Iterator[Finding]:
        """The code asks for hardware on the door: a button on the wall is another kind of release."""
        part = design.site.part.get(door.opening.release)
        if not isinstance(part, ReleaseButton):
            return
        subject, about = door.subject, "place of the release"
        if part.in_leaf is None:
            message = f"Whether {part.id} is in the bar or handle on the door is not stated."
            yield not_evaluated(self, subject, message, _STATE_LEAF, about=about)
            return
        message = f"{part.id} is {'in the bar or handle' if part.in_leaf else 'a button on the wall, not in the hardware'} on the door."
        source = clause(design, door.opening.egress)
        yield stated(self, subject, part.in_leaf, message, remedy=_ON_LEAF, source=source, about=about)

    def _hold(self, design: Design, door: DoorDesign) -> Finding:
        part = design.site.part.get(door.opening.release or design.site.info.release)
        subject, least_s = door.subject, MANUAL_RELEASE_HOLD_MIN_S.value
        if not isinstance(part, ReleaseButton) or part.hold_s is None:
            return not_evaluated(
                self, subject, "How long the manual release holds is not stated.",
                f"State hold_s of the release part; at least {least_s:g} s.", about="release time",
            )  # fmt: skip
        held, least = format_pair(part.hold_s, least_s, "s")
        message = f"The manual release holds for {held}, at least {least}."
        missing = format_value(least_s - part.hold_s, "s")
        return measured(
            self, subject, Measure(part.hold_s, least_s, "s", at_most=False), message,
            remedy=f"Use a release that holds for {least_s:g} s, {missing} longer.",
            source=clause(design, door.opening.egress), about="release time",
        )  # fmt: skip
