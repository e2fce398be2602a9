"""What the switch shows of a door's port, as lines of the door's test sheet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.wiring.data_power import PoweredLink
from riserkit.wiring.readings.expected import Reading

PORT_PAGE: Final = "port's page at the switch"


def power_over_data(link: PoweredLink | None, port: str) -> Iterator[Reading]:
    """What the switch shows of a port.

    Args:
        link: power over its cable; None where there is none.
        port: its label.
    """
    if link is None:
        return
    on = "door powered"
    if link.device_class is None:
        yield Reading("PoE class", PORT_PAGE, port, "", on, None, words="class of the powered device not known")
    else:
        granted = float(min(link.device_class, link.poe_class))
        yield Reading("PoE class", PORT_PAGE, port, "", on, granted, granted, granted, unit="class")
    if link.pse_w is None:
        yield Reading("PoE power", PORT_PAGE, port, "", "all loads on", None, words="not computed")
    else:
        yield Reading(
            "PoE power, maximum", PORT_PAGE, port, "", "all loads on", link.pse_w, None, link.pse_max_w, unit="W"
        )
