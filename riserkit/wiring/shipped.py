"""The arrangements that ship with riserkit, in order of rank."""

from __future__ import annotations

from typing import Final

from riserkit.wiring.arrangement import Arrangement
from riserkit.wiring.direct import Direct, DirectWithPeripherals
from riserkit.wiring.dry_trigger import DryTrigger
from riserkit.wiring.relay_by_voltage import RelayByVoltage
from riserkit.wiring.relay_external import RelayExternalSupply
from riserkit.wiring.relay_module import RelayModule
from riserkit.wiring.splitter_magnet import SplitterMagnet

SHIPPED_ARRANGEMENTS: Final[tuple[Arrangement, ...]] = (
    Direct(),
    DirectWithPeripherals(),
    RelayModule(),
    RelayByVoltage(),
    DryTrigger(),
    SplitterMagnet(),
    RelayExternalSupply(),
)
