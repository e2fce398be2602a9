"""The arrangements that ship with riserkit, in order of rank."""

from __future__ import annotations

from typing import Final

from riserkit.wiring.arrangement import Arrangement
from riserkit.wiring.arrangements.controller_contact import ControllerContact
from riserkit.wiring.arrangements.direct import Direct, DirectWithPeripherals
from riserkit.wiring.arrangements.dry_trigger import DryTrigger
from riserkit.wiring.arrangements.relay_by_voltage import RelayByVoltage
from riserkit.wiring.arrangements.relay_external import RelayExternalSupply
from riserkit.wiring.arrangements.relay_module import RelayModule
from riserkit.wiring.arrangements.splitter_magnet import SplitterMagnet

SHIPPED_ARRANGEMENTS: Final[tuple[Arrangement, ...]] = (
    Direct(),
    DirectWithPeripherals(),
    RelayModule(),
    RelayByVoltage(),
    DryTrigger(),
    SplitterMagnet(),
    ControllerContact(),
    RelayExternalSupply(),
)
