"""Reference doors as a site: one closet, a short run to each, and everything stated that a rule asks for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Final

from riserkit.model.assemble import assemble_site
from riserkit.model.catalogue import PARTS
from riserkit.model.parts import Controller
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site
from riserkit.reference.variants import DoorVariant

NAME: Final = "Reference set"
DATA_RUN_M: Final = 30.0
"""From the closet to each door; common practice keeps most runs well below 90 m, no source."""
_CENTRE_M: Final = 50.0
_DOORS_OF_A_SWITCH: Final = 8
_MOST_PARTS_V: Final = 18.0
_INFO: Final = {
    "name": NAME, "building_code": "IBC 2021, as adopted locally", "ambient_c": "20", "coldest_c": "10", "pathway_c": "40",
    "cords_total_m": "10", "cord_gauge": "24 AWG", "cord_stranding": "stranded", "closet_slack_m": "3", "door_slack_m": "1",
    "standby_hours": "2", "openings_per_hour": "30", "opening_s": "5",
}  # fmt: skip
_DOOR: Final = {
    "level": "L1", "angle_deg": "0", "secured_side_deg": "90", "hinges": "left", "swings_to": "unsecured", "width_m": "0.915",
    "secured_side": "secured side", "unsecured_side": "unsecured side", "fire_rating_min": "0",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ReferenceDoor:
    """A variant tried with one arrangement and one of the shipped controllers.

    Args:
        mark: of its opening.
        arrangement: its name.
        variant: what is asked of the door.
        controller: id of the part.
    """

    mark: str
    arrangement: str
    variant: DoorVariant
    controller: str

    @property
    def fields(self) -> Mapping[str, str]:
        """Of its opening. A controller without a reader stands on the secured side, with a reader of its own kind outside."""
        part = _CONTROLLERS[self.controller]
        fields = {**_DOOR, "mark": self.mark, "arrangement": self.arrangement, "controller": self.controller}
        fields |= {"name": self.variant.name, **self.variant.fields}
        if not part.has_reader:
            fields |= {"reader_in": "reader-out", "controller_at": "secured"}
        if fields.get("rex") == "rex-motion" and (part.auxiliary_v or 0.0) > _MOST_PARTS_V:
            fields["rex"] = "rex-motion-24"
        return fields


_CONTROLLERS: Final[Mapping[str, Controller]] = {part.id: part for part in PARTS if isinstance(part, Controller)}
CONTROLLERS: Final = tuple(_CONTROLLERS)
"""Ids of the shipped controllers, in the order in which they are tried."""


def site_of(doors: Sequence[ReferenceDoor]) -> Site:
    """A site of these doors."""
    switches = range(1, (len(doors) - 1) // _DOORS_OF_A_SWITCH + 2)
    tables: dict[str, Iterable[Mapping[str, str]]] = {
        "levels": [{"id": "L1", "elevation_m": "0", "ceiling_m": "3", "ceiling_space": "general"}],
        "closets": [{"id": "C1", "level": "L1", "x_m": f"{_CENTRE_M}", "y_m": f"{_CENTRE_M}"}],
        "switches": [
            {"id": f"S{n}", "closet": "C1", "ports": str(_DOORS_OF_A_SWITCH + 2), "uplink_ports": "1", "poe_class": "8",
             "poe_budget_w": "720", "on_ups": "yes", "ups": f"U{n}", "own_w": "20"}
            for n in switches
        ],
        "upses": [
            {"id": f"U{n}", "closet": "C1", "battery_ah": "100", "end_v": "42", "efficiency": "0.88"} for n in switches
        ],
        "openings": list(_openings(doors)),
        "pathway_nodes": [
            {"id": "N", "level": "L1", "x_m": f"{_CENTRE_M}", "y_m": f"{_CENTRE_M}"},
            *({"id": f"N-{o['mark']}", "level": "L1", "x_m": o["x_m"], "y_m": o["y_m"]} for o in _openings(doors)),
        ],
        "pathway_segments": [
            {"id": f"P-{d.mark}", "from_node": "N", "to_node": f"N-{d.mark}", "kind": "tray", "space": "general"}
            for d in doors
        ],
    }  # fmt: skip
    records = {name: [RawRecord(row, Where(name, n)) for n, row in enumerate(rows, 2)] for name, rows in tables.items()}
    return assemble_site(RawSite(RawRecord(_INFO, Where("site", 1)), records))


def _openings(doors: Sequence[ReferenceDoor]) -> Iterator[Mapping[str, str]]:
    """On a circle round the closet, so that all runs are alike."""
    for n, door in enumerate(doors):
        at = radians(360.0 * n / len(doors))
        x_m, y_m = _CENTRE_M + DATA_RUN_M * cos(at), _CENTRE_M + DATA_RUN_M * sin(at)
        yield {**door.fields, "x_m": f"{x_m:.3f}", "y_m": f"{y_m:.3f}"}
