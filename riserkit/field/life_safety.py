"""What is tried by hand at an opening before it is used, by how people get out of it. The local code may ask for more."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from riserkit.model.opening import EgressRole, Opening
from riserkit.proofs.asked import fire_alarm_releases
from riserkit.standards.egress import (
    DELAY_FORCE_MAX_N,
    DOOR_HARDWARE_HEIGHT_MAX_M,
    DOOR_HARDWARE_HEIGHT_MIN_M,
    EFFORT_TIME_MAX_S,
    INCH_M,
    LBF_N,
    MANUAL_RELEASE_HOLD_MIN_S,
    MANUAL_RELEASE_SIGN,
    OPERABLE_FORCE_MAX_N,
    PANIC_UNLATCH_FORCE_MAX_N,
)
from riserkit.standards.source import Limit

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


_BY_HARDWARE: Final = frozenset({EgressRole.MECHANICAL, EgressRole.HARDWARE_RELEASE, EgressRole.DELAYED})


def life_safety_tests(opening: Opening, edition: str, *, on_wall: bool = True) -> Iterator[str]:
    """Each test in a sentence, in the order of work.

    Args:
        opening: as stated.
        edition: of the building code that the site names; some editions ask for the fire alarm where others do not.
        on_wall: its manual release, if it has one, is a button on the wall, and not a switch in the bar.
    """
    if opening.egress is None:
        yield "Egress is not stated for this opening: ask before the door is put in service."
    else:
        yield from _WAY_OUT.get(opening.egress, ())
    if opening.egress in _BY_HARDWARE:
        yield _hardware()
    if opening.egress is EgressRole.DELAYED:
        yield _delay(opening)
    if opening.release and not on_wall:
        yield "Bar or handle of each leaf, the controller locking: pushed, that leaf opens at once."
    elif opening.release:
        yield (
            f"Manual release: pressed once with {_force(OPERABLE_FORCE_MAX_N)} or less, the controller locking, the door opens at "
            f"once and stays free for {MANUAL_RELEASE_HOLD_MIN_S.value:g} s or more by the stopwatch; its sign reads "
            f'"{MANUAL_RELEASE_SIGN}".'
        )
    if fire_alarm_releases(opening, edition):
        yield "Fire alarm, set off by its licensed people: the door releases at once, and stays released until the alarm is reset."
    if opening.fire_rating_min:
        yield "Fire-rated: the door closes and latches by itself from any position; with power off too."
    for other in opening.interlocks:
        yield (
            f"Interlock: hold {other} open and repeat the tests above; each has the same result. Then, {other} still open, a valid"
            " credential does not open this door from the unsecured side."
        )
    yield "Door closed and locked again after every test; nobody gets in from the unsecured side without a credential."


def _delay(opening: Opening) -> str:
    delay = "the stated delay" if opening.delay_s is None else f"{opening.delay_s:g} s"
    return (
        f"Delayed egress: push the release hardware with {_force(DELAY_FORCE_MAX_N)} or less for {EFFORT_TIME_MAX_S.value:g} s and let "
        f"go. The signal sounds, and the door releases {delay} later by the stopwatch, whatever is done meanwhile. It is armed again "
        "only by hand, at the door."
    )


def _hardware() -> str:
    low, high = (limit.value for limit in (DOOR_HARDWARE_HEIGHT_MIN_M, DOOR_HARDWARE_HEIGHT_MAX_M))
    return (
        f"The lever, handle or bar is {low * 1000:.0f} to {high * 1000:.0f} mm ({low / INCH_M:.0f} to {high / INCH_M:.0f} in) above "
        f"the floor, and a panic bar unlatches with {_force(PANIC_UNLATCH_FORCE_MAX_N)} or less."
    )


def _force(limit: Limit) -> str:
    return f"{limit.value:.0f} N ({limit.value / LBF_N:.0f} lbf)"
