"""Heights and reach that routes assume, in one place."""

from __future__ import annotations

from typing import Final

from riserkit.standards.cabling import PERMANENT_LINK_M
from riserkit.standards.source import COMMON_PRACTICE, Limit

# Common practice, no source: a controller with its reader is at about hand height, a patch panel at about the
# middle of a rack that starts at the floor.
DEVICE_HEIGHT: Final = Limit(1.2, "m", COMMON_PRACTICE)
RACK_HEIGHT: Final = Limit(1.2, "m", COMMON_PRACTICE)

DEVICE_HEIGHT_M: Final = DEVICE_HEIGHT.value
RACK_HEIGHT_M: Final = RACK_HEIGHT.value

# A door is sent to a farther closet only within this reach; the nearest one is taken when none has a free port.
REACH_M: Final = PERMANENT_LINK_M
