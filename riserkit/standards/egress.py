"""Electrically locked doors in the means of egress: published numbers, sections by edition, standing cautions."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from riserkit.standards.source import Confidence, Limit, NotTabulatedError, Source

INCH_M: Final = 0.0254
LBF_N: Final = 4.4482216152605

_SENSOR: Final = Source("IBC", "2021", "1010.2.12", "verified")
_DELAYED: Final = Source("IBC", "2021", "1010.2.13", "verified")
_PANIC: Final = Source("IBC", "2021", "1010.2.9.3", "verified")
_OLD_DELAYED: Final = Source("NFPA 101", clause="5-2.1.6, an older edition", confidence="verified")
_REACH: Final = Source("ADA", "2010", "308.2.1", "verified")
_HARDWARE: Final = Source("ADA", "2010", "404.2.7", "verified")
_CLEAR: Final = Source("IBC", "2021", "1010.1.1, and ADA 2010 404.2.3", "from memory")
_OPERABLE: Final = Source("ADA", "2010", "309.4", "from memory")

# Sensor release: the manual device beside the door.
MANUAL_RELEASE_HEIGHT_MIN_M: Final = Limit(40 * INCH_M, "m", _SENSOR)
MANUAL_RELEASE_HEIGHT_MAX_M: Final = Limit(48 * INCH_M, "m", _SENSOR)
MANUAL_RELEASE_DISTANCE_MAX_M: Final = Limit(60 * INCH_M, "m", _SENSOR)
MANUAL_RELEASE_HOLD_MIN_S: Final = Limit(30.0, "s", _SENSOR)
MANUAL_RELEASE_SIGN: Final = "PUSH TO EXIT"
# The same heights for a switch that lets people out of any other locked door; its clause could not be seen.
_EXIT_SWITCH: Final = Source("IBC", "2021", "1010.2, switches that unlock a door in the means of egress", "from memory")
EXIT_SWITCH_HEIGHT_MIN_M: Final = Limit(40 * INCH_M, "m", _EXIT_SWITCH)
EXIT_SWITCH_HEIGHT_MAX_M: Final = Limit(48 * INCH_M, "m", _EXIT_SWITCH)

# Delayed egress.
DELAY_MAX_S: Final = Limit(15.0, "s", _DELAYED)
DELAY_APPROVED_MAX_S: Final = Limit(30.0, "s", _DELAYED)
EFFORT_TIME_MAX_S: Final = Limit(3.0, "s", _DELAYED)
DELAY_SIGN_DISTANCE_MAX_M: Final = Limit(12 * INCH_M, "m", _DELAYED)
DELAY_FORCE_MAX_N: Final = Limit(15 * LBF_N, "N", _OLD_DELAYED)

# Panic hardware and reach.
PANIC_UNLATCH_FORCE_MAX_N: Final = Limit(15 * LBF_N, "N", _PANIC)
REACH_MIN_M: Final = Limit(15 * INCH_M, "m", _REACH)
REACH_MAX_M: Final = Limit(48 * INCH_M, "m", _REACH)
DOOR_HARDWARE_HEIGHT_MIN_M: Final = Limit(34 * INCH_M, "m", _HARDWARE)
DOOR_HARDWARE_HEIGHT_MAX_M: Final = Limit(48 * INCH_M, "m", _HARDWARE)
CLEAR_WIDTH_MIN_M: Final = Limit(32 * INCH_M, "m", _CLEAR)
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
