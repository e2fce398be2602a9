"""Switches, UPSes and supplies of closets as they came back: what stands there, and what was measured at them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from riserkit.design import Design
from riserkit.model.parts import DcSupply
from riserkit.model.power import Supply, Switch, Ups
from riserkit.model.returned import ReturnedEquipment
from riserkit.wiring.parts.supplies import dc_supply
from riserkit.wiring.readings.expected import Reading
from riserkit.wiring.roles import ElementRole

MAINS = "output, mains on"
BATTERY = "output, mains off, on battery"
ALONE = "battery, charger off"
CURRENT = "current, all locks powered"


@dataclass(frozen=True, slots=True)
class SupplyLine:
    """What is measured at a supply, the column that takes it, and the range that it has to be in."""

    column: str
    what: str
    unit: str
    low: float | None
    expected: float | None
    high: float | None

    @property
    def reading(self) -> Reading:
        """As a line of a test sheet."""
        return Reading(self.what, "", "", "", "", self.expected, self.low, self.high, unit=self.unit)

    def is_in(self, value: float) -> bool | None:
        """Whether a value is in range; None where there is none to hold it against."""
        if self.low is None and self.high is None:
            return None
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


def equipment_of(design: Design) -> Mapping[str, Switch | Ups | Supply]:
    """By id every switch, UPS and supply in a closet."""
    site = design.site
    standing: tuple[Switch | Ups | Supply, ...] = (
        *site.switches, *site.upses, *(s for s in site.supplies if s.closet),
    )  # fmt: skip
    return {one.id: one for one in standing}


def supply_lines(design: Design, supply: Supply) -> Iterator[SupplyLine]:
    """What is measured at a supply's terminals, by the values that every door of it is worked out with."""
    part = design.site.part.get(supply.part)
    if not isinstance(part, DcSupply):
        return
    values = next(e.values for e in dc_supply(part, supply.id).elements if e.role == ElementRole.SUPPLY_OUTPUT)
    band = (values["v_low_v"], values["v_nominal_v"], values["v_high_v"])
    if "float_nominal_v" in values:
        charged = (values["float_low_v"], values["float_nominal_v"], values["float_high_v"])
        yield SupplyLine("output_v", f"{MAINS}, battery charged", "V", *_known(charged))
        yield SupplyLine("on_battery_v", BATTERY, "V", *_known(band))
    else:
        yield SupplyLine("output_v", MAINS, "V", *_known(band))
        if part.battery_ah:
            yield SupplyLine("on_battery_v", BATTERY, "V", *_known(band))
    if part.output_a is not None:
        yield SupplyLine("output_a", CURRENT, "A", None, None, part.output_a)


def _known(band: tuple[float, float, float]) -> tuple[float | None, float | None, float | None]:
    return (None, None, None) if any(map(math.isnan, band)) else band


def _battery_line(design: Design, row: ReturnedEquipment) -> Iterator[SupplyLine]:
    """Of a battery by itself, its charger off: between spent and fully charged, as far as its data say."""
    supply = design.site.supply.get(row.equipment)
    part = design.site.part.get(supply.part) if supply is not None else None
    ups = next((one for one in design.site.upses if one.id == row.equipment), None)
    if isinstance(part, DcSupply):
        yield SupplyLine("battery_v", ALONE, "V", part.end_v, None, part.float_v)
    elif ups is not None:
        yield SupplyLine("battery_v", ALONE, "V", ups.end_v, None, None)


def measured_lines(design: Design, row: ReturnedEquipment) -> Iterator[tuple[SupplyLine, float]]:
    """What a row says was measured at a supply or a battery, with the line that it is held against."""
    supply = design.site.supply.get(row.equipment)
    lines = supply_lines(design, supply) if supply is not None else ()
    for line in (*lines, *_battery_line(design, row)):
        value = getattr(row, line.column)
        if value is not None:
            yield line, value
