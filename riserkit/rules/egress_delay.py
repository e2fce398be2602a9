"""The rule `egress-delay`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.confirmations import Condition
from riserkit.model.opening import EgressRole
from riserkit.model.parts import RexSensor
from riserkit.quantities.printed import format_pair
from riserkit.rules._shared.base import Measure, measured, not_evaluated, stated
from riserkit.rules._shared.confirming import hardware_may_start, starts_at_sensor
from riserkit.rules._shared.proving import clause
from riserkit.rules._shared.said import DELAYED
from riserkit.standards.egress import DELAY_APPROVED_MAX_S, DELAY_MAX_S, section_source

_START: Final = (
    "State a rex that starts the delay on the REX/AUX input, or fit an exit device whose touch bar starts it and confirm"
    " delay-starts-at-hardware."
)

_BAR: Final = "State a rex that is in the bar or handle (in_leaf yes), such as rex-bar: pushing it starts the delay."
_STATE_LEAF: Final = "State in_leaf of this part, yes or no."
_STATE: Final = "State egress delayed and delay_s; or reword the remarks if the door has no delay."


class EgressDelay:
    """A delayed door has something that starts its delay, and the delay ends in time.

    Why:
        Delayed egress is a promise: push, and after 15 s the door opens, whatever happens. With nothing that starts
        the delay the door is a locked exit.
    Measures:
        For each opening of the role delayed: whether a REX device is on the REX/AUX input, or the lock is an exit
        device or latch whose own hardware starts the delay (that it does is confirmed, see egress-conditions); and
        the delay_s that is stated; whether the REX device is in the hardware on the door. Where only the remarks of an
        opening speak of delayed egress, that is asked.
    Limit:
        15 s; 30 s where the authority having jurisdiction has approved it and the site confirms
        longer-delay-approved.
    Remedy:
        What to fit, or the delay to set.
    Source:
        IBC 2021 1010.2.13, IBC 2024 1010.2.12 (verified; that an effort on the door's own hardware starts it is from
        memory); the section of the edition that the site names is cited.
    """

    name: ClassVar[str] = "egress-delay"
    source: ClassVar[str] = section_source("delayed egress", "2021").cite()
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Two findings for each delayed door."""
        for door in design.doors:
            if door.opening.egress is EgressRole.DELAYED:
                yield self._start(design, door)
                yield self._time(design, door)
            elif said := DELAYED.search(door.opening.remarks):
                role = f"is {door.opening.egress}" if door.opening.egress else "is not stated"
                message = f"Its remarks say {said[0].strip()!r}; its egress {role}."
                yield not_evaluated(self, door.subject, message, _STATE, about="remarks")

    def _start(self, design: Design, door: DoorDesign) -> Finding:
        subject, source = door.subject, clause(design, door.opening.egress)
        message = "Nothing starts the delay: no REX device on the REX/AUX input, no exit device on the door."
        passed = starts_at_sensor(door.opening) or hardware_may_start(design, door)
        if passed:
            rex = design.site.part.get(door.opening.rex) if starts_at_sensor(door.opening) else None
            if isinstance(rex, RexSensor) and not rex.in_leaf:
                if rex.in_leaf is None:
                    asked = (
                        f"Whether {rex.id}, which starts the delay, is in the bar or handle on the door is not stated."
                    )
                    return not_evaluated(self, subject, asked, _STATE_LEAF, about="start of the delay")
                message = (
                    f"{rex.id} starts the delay and is not in the hardware on the door: pushing the bar starts nothing."
                )
                return stated(self, subject, False, message, remedy=_BAR, source=source, about="start of the delay")
            what = "The bar or handle, by its REX switch," if rex is not None else "The door's own hardware"
            message = f"{what} starts the delay."
        return stated(self, subject, passed, message, remedy=_START, source=source, about="start of the delay")

    def _time(self, design: Design, door: DoorDesign) -> Finding:
        subject, delay_s = door.subject, door.opening.delay_s
        if delay_s is None:
            return not_evaluated(
                self, subject, "How long the delay lasts is not stated.",
                f"State delay_s of this opening; at most {DELAY_MAX_S.value:g} s.", about="delay",
            )  # fmt: skip
        if not delay_s:
            message = "The delay is 0 s: nothing is delayed."
            remedy = "State the delay that is set, or another role in egress."
            return stated(self, subject, False, message, severity=Severity.WARNING, remedy=remedy, about="delay")
        approved = (door.mark, Condition.LONGER_DELAY_APPROVED) in design.site.confirmed
        limit_s = DELAY_APPROVED_MAX_S.value if approved else DELAY_MAX_S.value
        value, limit = format_pair(delay_s, limit_s, "s")
        remedy = f"Set the delay to {limit} or less."
        if not approved and delay_s <= DELAY_APPROVED_MAX_S.value:
            remedy += " Where the authority having jurisdiction approves this delay, confirm longer-delay-approved."
        return measured(
            self, subject, Measure(delay_s, limit_s, "s"), f"The delay lasts {value}, at most {limit}.",
            remedy=remedy, source=clause(design, door.opening.egress), about="delay",
        )  # fmt: skip
