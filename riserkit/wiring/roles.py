"""What the devices, elements and outside states of a door's circuit are there for.

Whoever asks something of a netlist asks for these roles, never for a designation: `K1` is what a sheet calls the
controller, and another sheet may call it otherwise.
"""

from __future__ import annotations

from enum import StrEnum


class DeviceRole(StrEnum):
    """Kinds of devices, in the words that a sheet has for them."""

    NETWORK_PORT = "switch port"
    CONTROLLER = "controller"
    LOCK = "lock"
    SUPPRESSOR = "suppressor"
    DOOR_CONTACT = "door position switch"
    REX_SENSOR = "REX sensor"
    AUXILIARY_CONTACT = "auxiliary contact"
    READER = "reader"
    MANUAL_RELEASE = "manual release"
    FIRE_RELAY = "fire alarm relay"
    RELAY_MODULE = "relay module"
    SUPPLY = "lock supply"
    OWN_SUPPLY = "lock's own supply"
    SPLITTER = "splitter"
    JUNCTION_BOX = "junction box"
    SPLICE = "splice"
    POWER_TRANSFER = "hinge power transfer"


class ElementRole(StrEnum):
    """What an electrical element of a device does there."""

    LOCK_COIL = "lock coil"
    SUPPRESSION = "suppression"
    LOCK_OUTPUT = "lock output"
    LOCK_OUTPUT_FEED = "lock output feed"
    LOCK_OUTPUT_SUPPLY = "lock output supply"
    LOCK_OUTPUT_RETURN = "lock output return"
    OUTPUT_COMMAND = "lock output command"
    OUTPUT_COIL = "lock output coil"
    OUTPUT_NO = "lock output contact, normally open"
    OUTPUT_NC = "lock output contact, normally closed"
    AUXILIARY_FEED = "auxiliary output feed"
    AUXILIARY_SUPPLY = "auxiliary output supply"
    CONTROLLER_LOAD = "controller load"
    INPUT_RETURN = "input return"
    DOOR_INPUT = "door input"
    REQUEST_INPUT = "request input"
    DOOR_CONTACT = "door contact"
    LATCH_CONTACT = "latch contact"
    BOND_CONTACT = "bond contact"
    SENSOR_LOAD = "sensor load"
    SENSOR_RELAY = "sensor relay"
    SENSOR_DETECTOR = "sensor detector"
    SENSOR_CONTACT = "sensor input contact"
    SENSOR_POLE = "sensor power pole"
    AUXILIARY_CONTACT = "auxiliary contact"
    READER_LOAD = "reader load"
    RELEASE_POLE = "release power pole"
    RELEASE_SIGNAL = "release input pole"
    FIRE_CONTACT = "fire alarm contact"
    MODULE_COIL = "module coil"
    MODULE_MESSAGE = "module message"
    MODULE_TRIGGER = "module trigger"
    MODULE_GATE = "module gate"
    MODULE_NO = "module contact, normally open"
    MODULE_NC = "module contact, normally closed"
    SUPPLY_OUTPUT = "supply output"
    SPLITTER_OUTPUT = "splitter output"
    SPLITTER_FEED = "splitter feed"
    MAINS_FEED = "mains feed"
    BATTERY_FEED = "battery feed"
    TRIGGER_PULL_UP = "trigger pull-up"
    TRIGGER_INPUT = "trigger input"
    TRIGGERED_OUTPUT = "triggered output"


class StateRole(StrEnum):
    """What is done to a door's circuit from outside; in the order in which states are listed and printed."""

    DOOR_OPEN = "door open"
    AUXILIARY_ACTIVE = "auxiliary contact active"
    MOTION = "REX active"
    BATTERY_LOST = "battery lost"
    MAINS_LOST = "mains lost"
    COMMAND = "controller output on"
    FIRE_ALARM = "fire alarm"
    NETWORK_POWER_LOST = "no power on the PoE cable"
    RELEASE_PRESSED = "manual release pressed"


LOSSES = (StateRole.NETWORK_POWER_LOST, StateRole.MAINS_LOST, StateRole.BATTERY_LOST)
"""Losses of power."""

FEEDS = (
    ElementRole.LOCK_OUTPUT_FEED,
    ElementRole.AUXILIARY_FEED,
    ElementRole.SPLITTER_FEED,
    ElementRole.MAINS_FEED,
    ElementRole.BATTERY_FEED,
)
"""Contacts that stand for power being there: no device has them."""
