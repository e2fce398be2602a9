"""Which properties are asked of an opening by its role in egress and by its lock."""

from __future__ import annotations

import re
from typing import Final

from riserkit.model.opening import EgressRole, Opening
from riserkit.proofs.values import (
    FAIL_SECURE_ON_POWER_LOSS,
    FAULT_LEAVES_UNLOCKED,
    LOCK_FOLLOWS_CONTROLLER,
    RELEASE_BY_HAND,
    RELEASE_ON_FIRE_ALARM,
    RELEASE_ON_POWER_LOSS,
    RELEASE_ON_SENSOR_LOSS,
    REX_EXPOSED,
    TAMPER,
    UNDETECTED_FAULT,
)
from riserkit.standards.egress import EDITIONS

BY_HAND: Final = frozenset({EgressRole.SENSOR_RELEASE, EgressRole.HARDWARE_RELEASE})
ON_POWER_LOSS: Final = BY_HAND | {EgressRole.DELAYED, EgressRole.CONTROLLED}
# IBC 2021 1010.2.13 and 1010.2.14, 2024 1010.2.12 and 1010.2.13 (verified): sprinklers or fire detection unlock, always.
ON_FIRE_ALARM: Final = frozenset({EgressRole.DELAYED, EgressRole.CONTROLLED})
# Of controlled egress the switch at the command centre or nurse station breaks the lock's power directly (verified).
BREAKS_POWER: Final = BY_HAND | {EgressRole.CONTROLLED}
_NAME: Final = r"(?:IBC|International Building Code)"
_EDITION: Final = re.compile(rf"\b{_NAME}\D{{0,3}}(\d{{4}})\b|\b(\d{{4}})\s+{_NAME}\b", re.IGNORECASE)
_STAIR_SINCE: Final = "2024"


def ibc_edition(building_code: str) -> str:
    """The edition of the International Building Code that a site names; empty when it names none that is tabulated.

    Examples:
        >>> ibc_edition("IBC 2021, as adopted locally")
        '2021'
        >>> ibc_edition("local code")
        ''
    """
    match = _EDITION.search(building_code)
    edition = (match[1] or match[2]) if match else ""
    return edition if edition in EDITIONS else ""


def asked_of(opening: Opening, fail_safe: bool, edition: str) -> tuple[str, ...]:
    """Names of the properties asked of an opening, life safety first.

    Args:
        opening: with its role in egress.
        fail_safe: its lock is released without power.
        edition: of the building code; from 2024 on stair doors unlock on fire alarm and on loss of power (IBC 2024
            1010.2.6, verified).
    """
    role = opening.egress
    stair = _stair(opening, edition)
    asked = {
        RELEASE_BY_HAND: role in BREAKS_POWER or (bool(opening.release) and fail_safe),
        RELEASE_ON_SENSOR_LOSS: role is EgressRole.SENSOR_RELEASE,
        RELEASE_ON_POWER_LOSS: role in ON_POWER_LOSS or stair,
        RELEASE_ON_FIRE_ALARM: fire_alarm_releases(opening, edition),
        FAIL_SECURE_ON_POWER_LOSS: not fail_safe,
        LOCK_FOLLOWS_CONTROLLER: True,
        TAMPER: True,
        REX_EXPOSED: True,
        FAULT_LEAVES_UNLOCKED: True,
        UNDETECTED_FAULT: True,
    }
    return tuple(name for name, wanted in asked.items() if wanted)


def fire_alarm_releases(opening: Opening, edition: str) -> bool:
    """Whether the fire alarm has to release an opening: by its role, or since the site asks for it or names a relay."""
    wanted = opening.fire_alarm_release or bool(opening.fire_relay)
    return wanted or opening.egress in ON_FIRE_ALARM or _stair(opening, edition)


def _stair(opening: Opening, edition: str) -> bool:
    return opening.egress is EgressRole.STAIR and edition >= _STAIR_SINCE
