"""Parts as components: their terminals as they are labelled on the sheet, and their electrical model.

Designations follow IEC 81346-2: B sensor, G source, K processing and relays, M actuator, R diode and suppressor, S manual
switch, T converter, X terminal. Contacts of buttons are numbered after EN 50005: 11-12 opens, 23-24 closes.
Every device, element and outside state carries its role (`wiring/roles.py`); nothing downstream reads a designation.
"""

from riserkit.wiring.parts.contacts import auxiliary_contact, door_contact, fire_relay, release_button
from riserkit.wiring.parts.controllers import controller
from riserkit.wiring.parts.locks import OwnContact, lock
from riserkit.wiring.parts.network_ports import network_port
from riserkit.wiring.parts.power_transfers import power_transfer
from riserkit.wiring.parts.readers import reader
from riserkit.wiring.parts.relays import exit_device_supply, own_supply_title, relay_module
from riserkit.wiring.parts.rex_sensors import rex_sensor
from riserkit.wiring.parts.supplies import dc_supply, splitter
from riserkit.wiring.parts.suppressors import suppressor

__all__ = [
    "OwnContact",
    "auxiliary_contact",
    "controller",
    "dc_supply",
    "door_contact",
    "exit_device_supply",
    "fire_relay",
    "lock",
    "network_port",
    "own_supply_title",
    "power_transfer",
    "reader",
    "relay_module",
    "release_button",
    "rex_sensor",
    "splitter",
    "suppressor",
]
