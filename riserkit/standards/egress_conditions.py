"""What the building code asks of electrically locked doors that no circuit can show, in our own words, by name.

Each is confirmed on site by a named person. The sections are those of `riserkit.standards.egress.SECTIONS`; the lists
were taken from the published text of the 2021 and 2024 editions (verified) unless a line says otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from riserkit.standards.egress import DELAY_SIGN_DISTANCE_MAX_M, EFFORT_TIME_MAX_S
from riserkit.standards.source import Source

SOURCE: Final = Source("IBC", "2021", "1010.2.7 and 1010.2.11 to 1010.2.14", "verified")
CONDITIONS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "alarm-holds-until-reset": "The door stays unlocked until the fire alarm system is reset.",
        "audible-signal": "An audible signal at the door starts with the delay.",
        "building-protected": "The building has automatic sprinklers or the smoke or heat detection that the code asks"
        " for, and it is wired to release this door.",
        "clinical-need": "The occupancy is I-1 or I-2 and the people's clinical needs ask for controlled egress.",
        "delay-irreversible": f"At most {EFFORT_TIME_MAX_S.value:g} s of effort at the release hardware start the delay, and nothing"
        " stops it then.",
        "delay-sign": "A sign is on the door, above the release hardware and within 12 in"
        f" ({DELAY_SIGN_DISTANCE_MAX_M.value * 1000:.0f} mm) of it.",
        "delay-starts-at-hardware": "The door's own release hardware starts the delay.",
        "emergency-lighting": "The egress side of the door has emergency lighting.",
        "emergency-plan": "The emergency plan says how the door is unlocked, and it is approved.",
        # NFPA 80, preparation of fire doors on site (from memory).
        "fire-door-prepared": "Door, frame, lock and hardware are listed for this fire rating together; every hole, cut-out and"
        " raceway for them and their wires was made as that listing allows.",
        "hardware-obvious": "The release on the door works in an obvious way, in any light, with one hand.",
        "inactive-leaf-bolts": "The bolts of the inactive leaf are permitted at this pair of doors.",
        # As common practice has it, no source.
        "interlock-yields": "With the other door of the interlock open, people get out through this one just as with it"
        " closed, on loss of power and in a fire alarm too. This was tried.",
        "level-of-discharge": "The code lets this door stay locked from the stair, as a door at the level of discharge.",
        "listed-system": "The locking system is listed (IBC 2021: UL 294; IBC 2024: UL 294 or UL 1034).",
        "lobby-has-exit": "From the lift lobby at least one way to an exit needs no card, key or code.",
        "longer-delay-approved": "The authority having jurisdiction has approved a delay of up to 30 s.",
        "manual-rearm": "After a release the delay is armed again only by hand, at the door.",
        "no-fire-system": "The building has no fire alarm, sprinkler or detection system that would have to release it.",
        "occupancy-permitted": "The code permits this kind of electric lock in this occupancy and at this door"
        " (sensor and door-hardware release: not in Group H).",
        "one-delayed-door": "People pass only one delayed door on this egress path, or two where the code allows two.",
        # This one and the next two are common practice, no source.
        "one-motion": "One motion inside, without key or special knowledge, undoes every lock and bolt on the door.",
        "opens-without-swinging": "People get out there also without power, the way the code asks of such a leaf: it breaks out or"
        " opens by itself, or a door beside it serves.",
        "other-way-out": "From its unsecured side at least one way to an exit needs no card, key or code.",
        "panic-hardware-fitted": "Where the code asks for panic hardware here, the door has it, and it swings the way people leave.",
        "one-controlled-door": "People pass only one controlled door before they reach an exit.",
        "panic-hardware-releases": "Panic hardware, where the code asks for it here, releases the lock too.",
        "remote-deactivation": "The delay can be switched off from the fire command centre or another approved place.",
        "protectors-fitted": "A listed protector is fitted and earthed at both ends of the copper cable between the buildings.",
        # The next one and standing-request-reported are no code's: common practice, no source.
        "requests-stop-off-wall": "The controller is set to ignore its request input while it is off the wall, and this was"
        " tried.",
        "sensor-on-egress-side": "The sensor is on the egress side and sees everyone who approaches.",
        # The exception for stairway discharge doors (from memory).
        "stair-leads-out-elsewhere": "People who come down the stair leave it by another door, which opens from the stair without"
        " key, card or code.",
        "stair-unlocked-together": "Stair doors locked from the stair side unlock together, without unlatching, from"
        " one approved place.",
        "staff-can-unlock": "Staff carry the keys, codes or cards that unlock the door.",
        "standing-request-reported": "A request to exit that persists, or a door left unlocked, for more than 30 s is reported"
        " to somebody who sees to it.",
        "switch-at-staff-station": "The switch that breaks the lock's power is at the fire command centre, nurse"
        " station or other approved place.",
    }
)
"""What is to be confirmed, by name."""

CONDITIONS_OF: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "sensor release": ("occupancy-permitted", "sensor-on-egress-side", "emergency-lighting", "listed-system"),
        "door-hardware release": ("occupancy-permitted", "hardware-obvious", "panic-hardware-releases", "listed-system"),
        "delayed egress": (
            "occupancy-permitted", "building-protected", "alarm-holds-until-reset", "delay-irreversible",
            "remote-deactivation", "audible-signal", "manual-rearm", "delay-sign", "one-delayed-door",
            "emergency-lighting", "listed-system",
        ),
        "controlled egress": (
            "clinical-need", "building-protected", "alarm-holds-until-reset", "switch-at-staff-station",
            "one-controlled-door", "staff-can-unlock", "emergency-plan", "emergency-lighting", "listed-system",
        ),
        "stairway doors": ("stair-unlocked-together", "stair-leads-out-elsewhere"),
    }
)  # fmt: skip
"""The conditions of every door of a subject of `egress.SECTIONS`, in the order of the section."""
