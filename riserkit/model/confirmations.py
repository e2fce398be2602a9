"""What somebody has confirmed on site: conditions that no circuit can show."""

from __future__ import annotations

from enum import StrEnum

from riserkit.model.base import Mark, Record, Text
from riserkit.model.records import Date, Person


class Condition(StrEnum):
    """What can be confirmed of an opening; `riserkit.standards.egress_conditions` has each in words."""

    ALARM_HOLDS_UNTIL_RESET = "alarm-holds-until-reset"
    AUDIBLE_SIGNAL = "audible-signal"
    BUILDING_PROTECTED = "building-protected"
    CLINICAL_NEED = "clinical-need"
    DELAY_IRREVERSIBLE = "delay-irreversible"
    DELAY_SIGN = "delay-sign"
    DELAY_STARTS_AT_HARDWARE = "delay-starts-at-hardware"
    EMERGENCY_LIGHTING = "emergency-lighting"
    EMERGENCY_PLAN = "emergency-plan"
    FIRE_DOOR_PREPARED = "fire-door-prepared"
    HARDWARE_OBVIOUS = "hardware-obvious"
    INACTIVE_LEAF_BOLTS = "inactive-leaf-bolts"
    INTERLOCK_YIELDS = "interlock-yields"
    LEVEL_OF_DISCHARGE = "level-of-discharge"
    LISTED_SYSTEM = "listed-system"
    LOBBY_HAS_EXIT = "lobby-has-exit"
    LONGER_DELAY_APPROVED = "longer-delay-approved"
    MANUAL_REARM = "manual-rearm"
    NO_FIRE_SYSTEM = "no-fire-system"
    OCCUPANCY_PERMITTED = "occupancy-permitted"
    ONE_CONTROLLED_DOOR = "one-controlled-door"
    ONE_DELAYED_DOOR = "one-delayed-door"
    ONE_MOTION = "one-motion"
    OPENS_WITHOUT_SWINGING = "opens-without-swinging"
    OTHER_WAY_OUT = "other-way-out"
    PANIC_HARDWARE_FITTED = "panic-hardware-fitted"
    PANIC_HARDWARE_RELEASES = "panic-hardware-releases"
    PROTECTORS_FITTED = "protectors-fitted"
    REMOTE_DEACTIVATION = "remote-deactivation"
    REQUESTS_STOP_OFF_WALL = "requests-stop-off-wall"
    SENSOR_ON_EGRESS_SIDE = "sensor-on-egress-side"
    STAFF_CAN_UNLOCK = "staff-can-unlock"
    STAIR_LEADS_OUT_ELSEWHERE = "stair-leads-out-elsewhere"
    STAIR_UNLOCKED_TOGETHER = "stair-unlocked-together"
    STANDING_REQUEST_REPORTED = "standing-request-reported"
    SWITCH_AT_STAFF_STATION = "switch-at-staff-station"


class Confirmation(Record):
    """Somebody's word that a condition is met at one opening: which, who, and when.

    Args of note:
        opening: its mark.
        condition: what is confirmed; each egress role asks for its own, see the rule `egress-conditions`. What is set in a
            controller is confirmed here too, see `tamper` and `fault-leaves-unlocked`.
        name: who confirms it: the code official, the fire marshal, the licensed designer.
        date: when.
        note: the approval's reference, or where to find the record.
    """

    opening: Mark
    condition: Condition
    name: Person
    date: Date
    note: Text = ""
