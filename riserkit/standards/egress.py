"""Electrically locked doors in the means of egress: published numbers, sections by edition, standing cautions."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import Confidence, Limit, NotTabulatedError, Source

_INCH_M: Final = 0.0254
LBF_N: Final = 4.4482216152605

_SENSOR: Final = Source("IBC", "2021", "1010.2.12", "verified")
_DELAYED: Final = Source("IBC", "2021", "1010.2.13", "verified")
_PANIC: Final = Source("IBC", "2021", "1010.2.9.3", "verified")
_OLD_DELAYED: Final = Source("NFPA 101", clause="5-2.1.6, an older edition", confidence="verified")
_REACH: Final = Source("ADA", "2010", "308.2.1", "verified")
_HARDWARE: Final = Source("ADA", "2010", "404.2.7", "verified")
_OPERABLE: Final = Source("ADA", "2010", "309.4", "from memory")

# Sensor release: the manual device beside the door.
MANUAL_RELEASE_HEIGHT_MIN_M: Final = Limit(40 * _INCH_M, "m", _SENSOR)
MANUAL_RELEASE_HEIGHT_MAX_M: Final = Limit(48 * _INCH_M, "m", _SENSOR)
MANUAL_RELEASE_DISTANCE_MAX_M: Final = Limit(60 * _INCH_M, "m", _SENSOR)
MANUAL_RELEASE_HOLD_MIN_S: Final = Limit(30.0, "s", _SENSOR)
MANUAL_RELEASE_SIGN: Final = "PUSH TO EXIT"

# Delayed egress.
DELAY_MAX_S: Final = Limit(15.0, "s", _DELAYED)
DELAY_APPROVED_MAX_S: Final = Limit(30.0, "s", _DELAYED)
EFFORT_TIME_MAX_S: Final = Limit(3.0, "s", _DELAYED)
DELAY_SIGN_DISTANCE_MAX_M: Final = Limit(12 * _INCH_M, "m", _DELAYED)
DELAY_FORCE_MAX_N: Final = Limit(15 * LBF_N, "N", _OLD_DELAYED)

# Panic hardware and reach.
PANIC_UNLATCH_FORCE_MAX_N: Final = Limit(15 * LBF_N, "N", _PANIC)
REACH_MIN_M: Final = Limit(15 * _INCH_M, "m", _REACH)
REACH_MAX_M: Final = Limit(48 * _INCH_M, "m", _REACH)
DOOR_HARDWARE_HEIGHT_MIN_M: Final = Limit(34 * _INCH_M, "m", _HARDWARE)
DOOR_HARDWARE_HEIGHT_MAX_M: Final = Limit(48 * _INCH_M, "m", _HARDWARE)
OPERABLE_FORCE_MAX_N: Final = Limit(5 * LBF_N, "N", _OPERABLE)

EDITIONS: Final = ("2018", "2021", "2024")

# Subject: IBC section by edition; an edition without the section is left out.
SECTIONS: Final[Mapping[str, Mapping[str, str]]] = MappingProxyType(
    {
        "door-hardware release": {"2018": "1010.1.9.10", "2021": "1010.2.11", "2024": "1010.2.10"},
        "sensor release": {"2018": "1010.1.9.9", "2021": "1010.2.12", "2024": "1010.2.11"},
        "delayed egress": {"2018": "1010.1.9.8", "2021": "1010.2.13", "2024": "1010.2.12"},
        "controlled egress": {"2018": "1010.1.9.7", "2021": "1010.2.14", "2024": "1010.2.13"},
        "stairway doors": {"2018": "1010.1.9.12", "2021": "1010.2.7", "2024": "1010.2.6"},
        "panic hardware": {"2018": "1010.1.10", "2021": "1010.2.9", "2024": "1010.2.8"},
        "monitored egress": {"2021": "1010.2.10", "2024": "1010.2.9"},
        "elevator lobby": {"2024": "1010.2.14"},
    }
)
_VERIFIED_2018: Final = frozenset({"door-hardware release", "delayed egress", "panic hardware"})

# What each section asks, in our own words; the drawing prints them as conditions to be confirmed on site.
SENSOR_RELEASE_CONDITIONS: Final = (
    "A sensor on the egress side unlocks the door as someone approaches.",
    "The door unlocks when the sensor loses power or its signal is lost.",
    "The door unlocks when the lock loses power.",
    "A manual device 40 to 48 in (1016 to 1219 mm) above the floor and within 5 ft (1524 mm) of the door breaks lock"
    " power directly, independent of other electronics, and keeps the door unlocked for at least 30 s.",
    'The manual device is marked "PUSH TO EXIT".',
    "Fire alarm, where there is one, unlocks the door until it is reset.",
    "Sprinkler or fire detection, where there is one, unlocks the door until the fire alarm is reset.",
    "The egress side has emergency lighting, and the locking system is listed.",
)
HARDWARE_RELEASE_CONDITIONS: Final = (
    "The release on the door leaf works in an obvious way, in any light, with one hand.",
    "Working it breaks lock power directly and unlocks the door at once.",
    "The door unlocks when the lock loses power.",
    "Where panic hardware is required, working it releases the lock too, and the locking system is listed.",
)
DELAYED_EGRESS_CONDITIONS: Final = (
    "The occupancy is one that the code names, and the building is sprinklered or fully smoke or heat detected.",
    "The delay ends within 15 s, or 30 s where approved, after at most 3 s of effort, and cannot be called back.",
    "Sprinkler or fire detection, and loss of power to the lock, end the delay at once.",
    "The delay can be ended from a fire command centre or another approved place, and is set again only by hand.",
    "An audible signal sounds at the door, and a sign stands above and within 12 in (305 mm) of the release hardware.",
    "No other delayed door follows on the same way out, except where the code allows two.",
    "The egress side has emergency lighting, and the locking system is listed.",
)
CONTROLLED_EGRESS_CONDITIONS: Final = (
    "Only for occupancies I-1 and I-2 whose clinical needs ask for it.",
    "Sprinkler or smoke detection, and loss of power, unlock the door.",
    "A switch at the command centre or nurse station breaks lock power directly.",
    "Staff carry what unlocks the door, and the emergency plan says how.",
)
STAIRWAY_CONDITIONS: Final = (
    "The door opens from the egress side at all times.",
    "Locked stair-side doors unlock together, without unlatching, from one approved place.",
    "From the 2024 edition on they also unlock on fire alarm and on loss of power.",
)

STANDING_CAUTIONS: Final[tuple[str, ...]] = (
    "Design check only. It does not replace product listing, inspection, or acceptance by the authority having"
    " jurisdiction (AHJ).",
    "The locally adopted code, the AHJ and licensed practice govern wherever they differ from this sheet.",
    "Life-safety functions - free egress, manual release, release on loss of power, release on fire alarm - are"
    " tested on site before the door is put into use, and after every change.",
    "Mains connections and work on fire alarm circuits are done by licensed persons, with power off.",
    "Voltages and lengths are computed from the data given. Measure at the door before connecting a lock.",
)


def section_source(subject: str, edition: str) -> Source:
    """The section that rules a subject in one edition of the International Building Code.

    Args:
        subject: a key of `SECTIONS`.
        edition: `2018`, `2021` or `2024`.

    Raises:
        NotTabulatedError: an edition or subject that the map does not hold.

    Examples:
        >>> section_source("sensor release", "2024").cite()
        'IBC 2024 1010.2.11 (verified)'
    """
    section = SECTIONS.get(subject, {}).get(edition)
    if section is None:
        known = ", ".join(f"{name} ({', '.join(rows)})" for name, rows in SECTIONS.items())
        raise NotTabulatedError(f"no section for {subject!r} in IBC {edition}; known are {known}")
    sure: Confidence = "from memory" if edition == "2018" and subject not in _VERIFIED_2018 else "verified"
    return Source("IBC", edition, section, sure)
