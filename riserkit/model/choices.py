"""What a cell with a choice may hold: each word explained, and the other ways in which people write it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

# table.field -> word -> what it means
EXPLAINED: Final[Mapping[str, Mapping[str, str]]] = {
    "levels.background_as": {
        "copy": "its lines are taken over, grey and locked, and the sheet needs no other file",
        "reference": "it is only named, as an external reference, and shown where the file is at hand",
    },
    "openings.type": {
        "single": "one leaf",
        "double": "two leaves, a pair of doors",
        "gate": "a gate in a fence or a wall",
    },
    "openings.hinges": {"left": "seen from the unsecured side", "right": "seen from the unsecured side"},
    "openings.swings_to": {
        "secured": "the leaf opens into the secured side: seen from the unsecured side it is pushed",
        "unsecured": "the leaf opens into the unsecured side: seen from there it is pulled",
    },
    "openings.fail_mode": {
        "fail-safe": "unlocked without power",
        "fail-secure": "locked without power; free egress then needs hardware that opens mechanically",
    },
    "openings.egress": {
        "none": "not an egress door; another exit serves the space",
        "mechanical": "a handle or bar opens it from inside without power, whatever the lock does",
        "sensor-release": "a sensor on the inside unlocks it, with a push button that breaks lock power beside the door",
        "hardware-release": "a switch in the bar or handle on the door breaks lock power",
        "delayed": "the bar starts a delay of 15 s (30 s where approved) after which it unlocks; fire alarm unlocks at once",
        "controlled": "kept locked for patients' safety (groups I-1 and I-2); staff, fire alarm and loss of power unlock it",
        "stair": "into a stair: may be locked from the stair, unlocked from one place, and by the fire alarm where the code asks",
    },
    "openings.entry": {
        "reader": "a reader at the door",
        "remote": "a command from elsewhere, such as an intercom or a schedule",
        "key": "a key",
    },
    "openings.inactive_leaf": {
        "automatic-bolts": "flush bolts that engage when the other leaf closes",
        "manual-bolts": "flush bolts worked by hand",
        "exit-device": "an exit device of its own",
    },
    "openings.controller_at": {
        "unsecured": "on the outside, where its terminals can be touched with the cover off",
        "secured": "inside, or above the ceiling inside",
    },
    "openings.rex_aux_input": {
        "rex": "the REX/AUX input takes the request to exit",
        "auxiliary": "the REX/AUX input reads another contact; no input is left for a REX sensor",
    },
    "parts.kind": {
        "strike": "electric strike in the frame",
        "electromagnetic-lock": "magnet and armature",
        "electrified-exit-device": "exit device with electric latch retraction",
        "electrified-latch": "electrified lock or latch in the door",
        "controller": "door controller, fed over the PoE cable",
        "relay": "relay module",
        "rex-sensor": "request-to-exit sensor or switch",
        "door-contact": "door position switch",
        "release-button": "manual release that breaks lock power",
        "dc-supply": "DC supply for locks",
        "splitter": "PoE splitter",
        "diode": "flyback diode",
        "varistor": "varistor suppressor",
        "transient-suppressor": "transient suppressor",
        "reader": "card reader on the controller's bus",
        "fire-alarm-relay": "contact of the fire alarm system",
        "accessory": "box, transfer and the like, without electrical data",
    },
    "parts.command": {
        "authenticated": "energised only by a coded message on its link; voltage on the wires has no effect",
        "voltage": "energised by any voltage at its trigger",
    },
    "runs.basis": {
        "stated": "as stated by someone",
        "measured": "as pulled and measured",
    },
}

# other ways to write a word, folded as `folded` does; common practice, no source
_SYNONYMS: Final[Mapping[str, Mapping[str, str]]] = {
    "openings.type": {"pair": "double", "double-leaf": "double", "single-leaf": "single", "two-leaves": "double"},
    "openings.fail_mode": {"fs": "fail-safe", "fse": "fail-secure", "failsafe": "fail-safe", "failsecure": "fail-secure"},
    "openings.egress": {"sensor": "sensor-release", "hardware": "hardware-release", "free": "mechanical", "stairway": "stair"},
    "openings.hinges": {"lh": "left", "rh": "right", "l": "left", "r": "right"},
    "openings.controller_at": {"outside": "unsecured", "inside": "secured"},
    "parts.kind": {
        "electric-strike": "strike",
        "maglock": "electromagnetic-lock",
        "mag-lock": "electromagnetic-lock",
        "magnet": "electromagnetic-lock",
        "magnetic-lock": "electromagnetic-lock",
        "em-lock": "electromagnetic-lock",
        "exit-device": "electrified-exit-device",
        "rex": "rex-sensor",
        "motion-sensor": "rex-sensor",
        "door-position-switch": "door-contact",
        "dps": "door-contact",
        "power-supply": "dc-supply",
        "manual-release": "release-button",
        "relay-module": "relay",
        "poe-splitter": "splitter",
        "flyback-diode": "diode",
        "mov": "varistor",
    },
}  # fmt: skip


def folded(text: str) -> str:
    """Text without case, with one hyphen for whatever parts its words: `Fail Secure` is `fail-secure`."""
    return "-".join("".join(ch if ch.isalnum() else " " for ch in text.casefold()).split())


def spellings(place: str, words: tuple[str, ...]) -> Mapping[str, str]:
    """The word for each other way to write it.

    Args:
        place: `table.field`.
        words: what the field may hold.
    """
    own = {folded(word): word for word in words if word}
    other = {way: word for way, word in _SYNONYMS.get(place, {}).items() if word in words}
    return {**other, **own}
