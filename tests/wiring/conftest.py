"""Doors to wire: one opening each, of the shipped parts unless a test says otherwise, with a PoE cable of 60 m."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import pytest

from riserkit.circuits.netlist import Netlist
from riserkit.model.assemble import assemble_site
from riserkit.model.cabling import LengthBasis
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site
from riserkit.network.values import CableRun, Route
from riserkit.wiring.arrangement import Arrangement, Choice, DoorCircuit
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from riserkit.wiring.choose.choose import choose
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.needs import NeedReader
from riserkit.wiring.values import DoorWiring

AT = Temperatures(10.0, 40.0)
DATA_M = 60.0
BARE = {"level": "L1", "x_m": 1.0, "y_m": 2.0, "controller": "controller-c4", "egress": "mechanical"}
USUAL = {**BARE, "contact": "contact-reed", "rex": "rex-motion"}
STRIKE = {**USUAL, "lock": "strike-12-secure"}
MAGNET = {**USUAL, "lock": "magnet-12-600", "egress": "sensor-release"}

# arrangement -> an opening that it can serve, with everything that may stand in it
SERVED: Mapping[str, Mapping[str, Any]] = {
    "direct": {**BARE, "lock": "strike-12-secure", "controller": "controller-c3"},
    "direct-with-peripherals": STRIKE,
    "relay-module": STRIKE,
    "relay-by-voltage": {**STRIKE, "relay": "relay-volt"},
    "relay-external-supply": {**MAGNET, "lock": "magnet-24-600", "fire_alarm_release": True},
    "controller-contact": {
        **MAGNET,
        "lock": "magnet-24-600",
        "fire_alarm_release": True,
        "controller": "controller-dry",
    },
    "dry-trigger": {**USUAL, "lock": "exit-device-motor"},
    "splitter-magnet": {**MAGNET, "fire_alarm_release": True},
}


def _records(table: str, rows: Sequence[Mapping[str, Any]]) -> list[RawRecord]:
    return [RawRecord(dict(row), Where(table, place)) for place, row in enumerate(rows, start=2)]


@dataclass(frozen=True)
class Doors:
    """What tests make doors with."""

    at = AT
    bare, usual, strike, magnet, served = BARE, USUAL, STRIKE, MAGNET, SERVED

    @staticmethod
    def site(*openings: Mapping[str, Any], **tables: Sequence[Mapping[str, Any]]) -> Site:
        """A site of these openings on one level, with one closet; marks 101, 102 ... where none is given."""
        rows = [{"mark": str(101 + place), **opening} for place, opening in enumerate(openings)]
        closets = [{"id": "C1", "level": "L1", "x_m": 0, "y_m": 0}, {"id": "C2", "level": "L1", "x_m": 50, "y_m": 0}]
        stated = {"levels": [{"id": "L1", "elevation_m": 0}], "closets": closets, "openings": rows, **tables}
        info = stated.pop("info", None)
        return assemble_site(
            RawSite(
                RawRecord(info, Where("site", 1)) if info else None,
                {name: _records(name, rows) for name, rows in stated.items()},
            )
        )

    @staticmethod
    def needs(site: Site, data_m: float = DATA_M) -> tuple[DoorNeed, ...]:
        """The needs of all openings of a site, each with a PoE cable of this length."""
        reader = NeedReader(site)

        def need(mark: str) -> DoorNeed:
            route = Route("C1", mark, data_m, LengthBasis.STATED)
            cable = CableRun(mark, "horizontal", "C1", mark, "cat6", f"1A-{mark}", route)
            return reader.need(site.opening[mark], None, cable, "1A.R1-A:01")

        return tuple(need(opening.mark) for opening in site.openings)

    def need(self, opening: Mapping[str, Any], on_ups: bool | None = True, **tables: Any) -> DoorNeed:
        """The need of one opening."""
        return replace(self.needs(self.site(opening, **tables))[0], on_ups=on_ups)

    @staticmethod
    def arrangement(name: str) -> Arrangement:
        return next(a for a in SHIPPED_ARRANGEMENTS if a.name == name)

    def circuit(self, name: str, opening: Mapping[str, Any] | None = None, **tables: Any) -> DoorCircuit:
        """An arrangement's circuit for an opening, with the lock cable asked for and the first supply."""
        need = self.need(opening or SERVED[name], **tables)
        arrangement = self.arrangement(name)
        return arrangement.build(need, Choice(need.lock_cables[0], arrangement.supplies(need)[0]))

    def choose(self, opening: Mapping[str, Any], *, everything: bool = False, **tables: Any) -> DoorWiring:
        """What is chosen for one opening."""
        return choose([self.need(opening, **tables)], SHIPPED_ARRANGEMENTS, AT, everything=everything)[0]

    @staticmethod
    def joins(netlist: Netlist) -> set[str]:
        """What conductors join, as `K1.L+ M1.+`, ends in the order landed; the horizontal PoE cable left out."""
        return {f"{c.a} {c.b}" for c in netlist.conductors if c.a.component != "N1"}


@pytest.fixture(scope="session")
def doors() -> Doors:
    return Doors()
