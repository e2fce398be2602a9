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
_EDITION: Final = re.compile(r"\bIBC\D{0,3}(\d{4})\b|\b(\d{4})\s+IBC\b")
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
    stair = role is EgressRole.STAIR and edition >= _STAIR_SINCE
    asked = {
        RELEASE_BY_HAND: role in BY_HAND or (bool(opening.release) and fail_safe),
        RELEASE_ON_SENSOR_LOSS: role is EgressRole.SENSOR_RELEASE,
        RELEASE_ON_POWER_LOSS: role in ON_POWER_LOSS or stair,
        RELEASE_ON_FIRE_ALARM: opening.fire_alarm_release or stair,
        FAIL_SECURE_ON_POWER_LOSS: not fail_safe,
        LOCK_FOLLOWS_CONTROLLER: True,
        TAMPER: True,
        REX_EXPOSED: True,
        FAULT_LEAVES_UNLOCKED: True,
        UNDETECTED_FAULT: True,
    }
    return tuple(name for name, wanted in asked.items() if wanted)
