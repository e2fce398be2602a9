"""What decides in a door's circuit and is on few data sheets: contacts, bonds, inputs, and when a coil lets go.

A part's own datum takes the place of each where its kind has one.
"""

from __future__ import annotations

from typing import Final

from riserkit.standards.source import COMMON_PRACTICE, Limit

# Clean small contacts, and a printed-circuit track between two returns of one controller.
CONTACT_OHM: Final = Limit(0.05, "ohm", COMMON_PRACTICE)
BOND_OHM: Final = Limit(0.01, "ohm", COMMON_PRACTICE)
SOURCE_OHM: Final = Limit(0.02, "ohm", COMMON_PRACTICE)
DIODE_ON_OHM: Final = Limit(0.05, "ohm", COMMON_PRACTICE)
DIODE_FORWARD_V: Final = Limit(0.7, "V", COMMON_PRACTICE)

# An input reads a contact through a pull-up from the logic's own supply.
INPUT_PULL_UP_OHM: Final = Limit(4700.0, "ohm", COMMON_PRACTICE)
INPUT_OPEN_V: Final = Limit(3.3, "V", COMMON_PRACTICE)

# Below this share of its rated voltage a coil surely lets go.
LOCK_DROP_OUT: Final = Limit(0.1, "of rated voltage", COMMON_PRACTICE)
RELAY_DROP_OUT: Final = Limit(0.1, "of rated voltage", COMMON_PRACTICE)
SENSOR_DROP_OUT: Final = Limit(0.2, "of rated voltage", COMMON_PRACTICE)

# How far below its stated highest a charger's float voltage may lie.
FLOAT_TOLERANCE: Final = Limit(0.02, "of float voltage", COMMON_PRACTICE)

# The relay of a dry lock output: its coil hangs on the controller's own rail. The controller's own watts include it, so that
# here it draws next to nothing.
OUTPUT_RELAY_OHM: Final = Limit(10_000.0, "ohm", COMMON_PRACTICE)
OUTPUT_RELAY_PULL_IN: Final = Limit(0.7, "of auxiliary voltage", COMMON_PRACTICE)

# Electronics that draw a constant current draw it down to about this.
ELECTRONICS_LEAST_V: Final = Limit(1.0, "V", COMMON_PRACTICE)

# The trigger input of an exit device's own supply: half the supply's voltage across it while a contact is closed.
TRIGGER_OHM: Final = Limit(2200.0, "ohm", COMMON_PRACTICE)
TRIGGER_PULL_IN: Final = Limit(0.7, "of the voltage with its terminals joined", COMMON_PRACTICE)
OWN_SUPPLY_TOLERANCE: Final = Limit(0.03, "of rated voltage", COMMON_PRACTICE)
