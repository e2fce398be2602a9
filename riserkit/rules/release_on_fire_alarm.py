"""The rule `release-on-fire-alarm`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar, Final

from riserkit.as_built.differences import landed_name, was_and_is
from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.opening import EgressRole
from riserkit.model.parts import FireRelay
from riserkit.proofs.asked import fire_alarm_releases, ibc_edition
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import RELEASE_ON_FIRE_ALARM, Outcome, Property
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import fail_safe_lock
from riserkit.rules._shared.proving import asked, clause, judged, unproven
from riserkit.rules._shared.said import FIRE_ALARM
from riserkit.standards.egress import section_source
from riserkit.wiring.as_built import landed_rows

_IN_FEED: Final = (
    "State fire_alarm_release and land the alarm relay's C and NC in series with lock plus, before it branches: one conductor"
    " of the feed goes through it."
)
_LOCK: Final = "Use {lock}, with the alarm relay in its feed."
_STATE: Final = "State fire_alarm_release yes, with the relay as fire_relay; or reword the remarks if the alarm is not to release it."
_WHICH: Final = (
    "Where the alarm is to release the door, state fire_alarm_release yes and use {lock}; where it is to make a fire door latch that"
    " is held unlocked, remove fire_relay, draw that contact on a sheet of its own and test it; else remove fire_relay."
)
_CONTACT: Final = "fire_relay"
_REMARKS: Final = "remarks"
_BY_HAND: Final = frozenset({EgressRole.MECHANICAL, EgressRole.NONE})
_NAMED: Final = frozenset({EgressRole.SENSOR_RELEASE, EgressRole.STAIR, EgressRole.DELAYED, EgressRole.CONTROLLED})


class ReleaseOnFireAlarm:
    """Where the fire alarm must release a door, its own contact takes the lock's power away.

    Why:
        A message from the alarm panel to the controller is one more thing that can fail. The alarm relay in the
        lock's feed releases whatever the controller does.
    Measures:
        At every door of delayed or controlled egress, at stair doors from IBC 2024 on, and wherever
        fire_alarm_release or a fire_relay is stated: the lock's voltage in alarm, in every state and under every
        single fault but a welded alarm contact or a short across it. That the contact opens in alarm is the part's data. What
        a fire_relay is for at a fail-secure lock that opens by hand is asked.
    Limit:
        Every lock is below its drop-out voltage in every case.
    Remedy:
        Where the contact has to stand; as built, the conductors to land as drawn.
    Source:
        IBC 2021 1010.2.12 item 5, 1010.2.13 and 1010.2.14, in IBC 2024 1010.2.11 to 1010.2.13; for stair doors IBC
        2024 1010.2.6 (verified); where only the site asks for it, common practice, no source.
    """

    name: ClassVar[str] = "release-on-fire-alarm"
    source: ClassVar[str] = section_source("sensor release", "2021").cite()
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each door that the fire alarm is to release."""
        edition = ibc_edition(design.site.info.building_code)
        for door in design.doors:
            proof = asked(door, RELEASE_ON_FIRE_ALARM)
            if isinstance(proof, Unproven):
                if fire_alarm_releases(door.opening, edition):
                    yield unproven(self, door, proof)
            elif proof is not None:
                yield self._door(design, door, proof.about(RELEASE_ON_FIRE_ALARM))
            if not fire_alarm_releases(door.opening, edition) and (said := FIRE_ALARM.search(door.opening.remarks)):
                message = f"Its remarks say {said[0].strip()!r}; that the fire alarm releases the door is not stated."
                yield not_evaluated(self, door.subject, message, _STATE, about=_REMARKS)

    def _door(self, design: Design, door: DoorDesign, one: Property) -> Finding:
        source = clause(design, door.opening.egress) if door.opening.egress in _NAMED else COMMON_PRACTICE
        relay = design.site.part.get(door.opening.fire_relay)
        if isinstance(relay, FireRelay) and relay.in_alarm != "opens" and one.outcome is not Outcome.NOT_APPLICABLE:
            return replace(self._sense(door, relay), source=source)
        if one.outcome is not Outcome.NOT_APPLICABLE:
            return judged(self, door, one, _in_feed(door), source=source)
        proof = door.proof
        secure = not isinstance(proof, Unproven) and not proof.topology.fail_safe
        if secure and not door.opening.fire_alarm_release and door.opening.egress in _BY_HAND:
            message = (
                f"fire_relay {door.opening.fire_relay} is stated, fire_alarm_release is not: the lock is fail-secure, and its wiring"
                " lands no alarm contact."
            )
            remedy = _WHICH.format(lock=fail_safe_lock(door.opening))
            return not_evaluated(self, ("opening", door.mark), message, remedy, about=_CONTACT)
        message = "No fire alarm relay is in the lock's feed; in alarm nothing releases the door directly."
        if secure:
            message = "The lock is fail-secure: an alarm relay that breaks its power leaves it locked."
        remedy = _LOCK.format(lock=fail_safe_lock(door.opening)) if secure else _IN_FEED
        return stated(self, door.subject, False, message, remedy=remedy, source=source)

    def _sense(self, door: DoorDesign, relay: FireRelay) -> Finding:
        subject = door.subject
        if relay.in_alarm is None:
            message = f"Whether the contact of {relay.id} opens or closes in alarm is not stated; only one that opens releases the lock."
            return not_evaluated(self, subject, message, f"State in_alarm of {relay.id}, opens or closes.")
        message = f"The contact of {relay.id} closes in alarm: in the lock's feed it locks the door in alarm and leaves it unlocked else."
        remedy = "Use the alarm relay's contact that opens in alarm: state it as a part with in_alarm opens, and as fire_relay here."
        return stated(self, subject, False, message, remedy=remedy)


def _in_feed(door: DoorDesign) -> str:
    """What puts a relay that is in the circuit into the lock's feed: before anything is stated anew, the wires as drawn."""
    landed = landed_rows(door.wiring)
    if not landed:
        return _IN_FEED
    listed = "; ".join(f"{landed_name(one)}: {was_and_is(one)[0]}" for one in landed)
    return f"Land as drawn what wrong-landing lists: {listed}; test the door again and return landing and readings."
