"""What is tried by hand at an opening before it is used, by how people get out of it. The local code may ask for more."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from riserkit.model.opening import EgressRole, Opening
from riserkit.proofs.asked import fire_alarm_releases
from riserkit.standards.egress import EFFORT_TIME_MAX_S, MANUAL_RELEASE_HOLD_MIN_S, MANUAL_RELEASE_SIGN

_WITHOUT_POWER: Final = "With the PoE cable unplugged, and any outside supply and its battery off,"
_WAY_OUT: Final[Mapping[EgressRole, tuple[str, ...]]] = MappingProxyType(
    {
        EgressRole.MECHANICAL: (
            "The lever, knob or bar inside opens the door in one motion, without key, card or code: with power on, and with "
            "the PoE cable unplugged.",
        ),
        EgressRole.SENSOR_RELEASE: (
            "Walk up to the door from inside: the sensor releases it, without key, card or code, before a hand is on it.",
            "With the power of the sensor off, the door is free.",
            f"{_WITHOUT_POWER} the door is free.",
        ),
        EgressRole.HARDWARE_RELEASE: (
            "The bar or handle inside releases the door in one motion, without key, card or code.",
            f"{_WITHOUT_POWER} the door is free.",
        ),
        EgressRole.DELAYED: (f"{_WITHOUT_POWER} the door opens at once, without delay.",),
        EgressRole.CONTROLLED: (
            "The switch at the staff station releases the door at once.",
            "Staff open the door with what they carry.",
            f"{_WITHOUT_POWER} the door is free.",
        ),
        EgressRole.STAIR: (
            "From the stair: the switch at the approved place unlocks the door, together with the other stair doors, and it "
            "stays latched.",
            "From the floor: people get into the stair without key, card or code, with power on and with the PoE cable unplugged.",
        ),
    }
)


def life_safety_tests(opening: Opening, edition: str) -> Iterator[str]:
    """Each test in a sentence, in the order of work.

    Args:
        opening: as stated.
        edition: of the building code that the site names; some editions ask for the fire alarm where others do not.
    """
    if opening.egress is None:
        yield "Egress is not stated for this opening: ask before the door is put in service."
    else:
        yield from _WAY_OUT.get(opening.egress, ())
    if opening.egress is EgressRole.DELAYED:
        yield _delay(opening)
    if opening.release:
        yield (
            "Manual release: pressed once, with the controller locking, the door opens at once and stays free for "
            f'{MANUAL_RELEASE_HOLD_MIN_S.value:g} s or more by the stopwatch; its sign reads "{MANUAL_RELEASE_SIGN}".'
        )
    if fire_alarm_releases(opening, edition):
        yield "Fire alarm, set off by its licensed people: the door releases at once, and stays released until the alarm is reset."
    if opening.fire_rating_min:
        yield "Fire-rated: the door closes and latches by itself from any position; with power off too."
    yield "Door closed and locked again after every test; nobody gets in from the unsecured side without a credential."


def _delay(opening: Opening) -> str:
    delay = "the stated delay" if opening.delay_s is None else f"{opening.delay_s:g} s"
    return (
        f"Delayed egress: push the release hardware for {EFFORT_TIME_MAX_S.value:g} s and let go. The signal sounds, and the door "
        f"releases {delay} later by the stopwatch, whatever is done meanwhile. It is armed again only by hand, at the door."
    )
