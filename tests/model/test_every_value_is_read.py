"""No value without a reader: each value of each kind of part, set to an absurd one, changes what is decided, drawn or said."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest

from riserkit.design import design
from riserkit.model.assemble import assemble_site
from riserkit.model.catalogue import PARTS
from riserkit.model.parts import Part
from riserkit.model.problems import InputError, Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site

BARE = {"level": "L1", "x_m": 1, "y_m": 2, "mark": "101", "controller": "controller-c4", "egress": "mechanical",
        "contact": "contact-reed", "rex": "rex-motion"}  # fmt: skip
STRIKE = {**BARE, "lock": "strike-12-secure"}
MAGNET = {**BARE, "lock": "magnet-24-600", "egress": "sensor-release", "fire_alarm_release": True, "release": "release-30",
          "fire_relay": "fire-relay", "supply": "S", "suppressor": "varistor-47"}  # fmt: skip
SPLIT = {**MAGNET, "lock": "magnet-12-600", "supply": "", "arrangement": "splitter-magnet"}
# What the values of a shipped part are tried on, beside the values that it leaves open.
TRIED: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
    ("strike-12-secure", STRIKE, {}),
    ("exit-device-motor", {**BARE, "lock": "exit-device-motor"}, {}),
    ("controller-c4", STRIKE, {}),
    ("controller-c4", SPLIT, {}),
    ("relay-auth", MAGNET, {"contact_ohm": 0.05, "v_drop_out_v": 1.2}),
    ("relay-volt", {**STRIKE, "relay": "relay-volt", "arrangement": "relay-by-voltage"}, {}),
    ("rex-motion", MAGNET, {"contact_ohm": 0.05, "v_drop_out_v": 2.4}),
    ("contact-reed", STRIKE, {}),
    ("release-30", MAGNET, {"contact_ohm": 0.05}),
    ("supply-24-4", MAGNET, {"source_ohm": 0.02}),
    ("supply-24-nb", MAGNET, {}),
    ("splitter-12", SPLIT, {}),
    ("varistor-47", MAGNET, {"energy_j": 1.0}),
    ("reader-out", {**STRIKE, "reader_out": "reader-out"}, {}),
    ("fire-relay", MAGNET, {"contact_ohm": 0.05}),
    ("controller-dry", {**MAGNET, "controller": "controller-dry"}, {"contact_ohm": 0.05}),
]
# Decided by no circuit and no choice: each of these has a rule or a note of its own, tested where that stands.
BY_A_RULE = {
    "free_egress": "free-egress-mechanical", "suppressor_fitted": "suppressor-rating", "has_reader": "entry-reader",
    "contact_a": "contact-rating", "contact_v": "contact-rating", "rated_a": "suppressor-rating",
    "energy_j": "suppressor-rating", "battery_ah": "whether it follows its battery", "factory_link": "the crew's note",
    "temperature_min_c": "part-temperature", "temperature_max_c": "part-temperature",
}  # fmt: skip
# Read where another value or another door asks for it: a controller fed from outside has no outputs of its own.
NOT_HERE = {
    (2, "feed_v"), (2, "module_link"), (2, "reader_bus"), (3, "reader_bus"), (3, "poe_class"), (3, "output_v"),
    (3, "output_limit_a"), (3, "output_tolerance"), (3, "auxiliary_v"), (3, "auxiliary_limit_a"), (10, "regulated"),
    (15, "feed_v"), (15, "module_link"), (15, "reader_bus"),
}  # fmt: skip


def _site(opening: dict[str, Any], parts: list[dict[str, Any]], supply: str) -> Site:
    tables: dict[str, list[dict[str, Any]]] = {
        "levels": [{"id": "L1", "elevation_m": 0}],
        "closets": [{"id": "C1", "level": "L1", "x_m": 0, "y_m": 0}],
        "switches": [{"id": "SW1", "closet": "C1", "ports": 8, "poe_budget_w": 120, "on_ups": True}],
        "openings": [{name: value for name, value in opening.items() if value != ""}],
        "supplies": [{"id": "S", "part": supply, "closet": "C1"}],
        "parts": parts,
    }
    raw = {name: [RawRecord(row, Where(name, k)) for k, row in enumerate(rows)] for name, rows in tables.items()}
    return assemble_site(RawSite(None, raw))


def stages(opening: dict[str, Any], parts: list[dict[str, Any]], supply: str) -> Iterator[str]:
    """What is decided and drawn of one door; the refusal where a value is refused."""
    try:
        made = design(_site(opening, parts, supply))
    except InputError as error:
        yield str(error)
        return
    (door,) = made.doors
    yield repr((door.wiring.drawn, door.link))
    netlist = door.wiring.netlist
    yield repr(
        [(c.title, e.name, e.values, e.control) for c in netlist.components for e in c.elements] if netlist else []
    )


@cache
def _as_it_is(row: int) -> tuple[str, ...]:
    part_id, opening, more = TRIED[row]
    return tuple(stages(opening, [{**_values(part_id), **more}], _supply(part_id)))


def _values(part_id: str) -> dict[str, Any]:
    part: Part = next(p for p in PARTS if p.id == part_id)
    return part.model_dump(mode="json", exclude_none=True)


def _supply(part_id: str) -> str:
    return part_id if part_id.startswith("supply-") else "supply-24-4"


def _absurd(value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return 1 if value != 1 else 4
    if isinstance(value, float):
        return value / 90 if value else 0.9
    return "fail-safe" if value == "fail-secure" else "fail-secure" if value == "fail-safe" else "Absurd"


def _cases() -> Iterator[Any]:
    for row, (part_id, _, more) in enumerate(TRIED):
        for name, value in {**_values(part_id), **more}.items():
            if name in BY_A_RULE or name in ("id", "kind", "command") or (row, name) in NOT_HERE or value == "":
                continue
            yield pytest.param(row, name, id=f"{part_id}-{name}-{row}")


@pytest.mark.parametrize(("row", "name"), list(_cases()))
def test_an_absurd_value_changes_something(row: int, name: str) -> None:
    """Far smaller or far larger, the other way round, or another word: one of them is seen."""
    part_id, opening, more = TRIED[row]
    plain = {**_values(part_id), **more}
    tried = [_absurd(plain[name]), *([plain[name] * 9] if isinstance(plain[name], float) else [])]
    found = (tuple(stages(opening, [{**plain, name: value}], _supply(part_id))) for value in tried)
    assert any(changed != _as_it_is(row) for changed in found)


def test_a_coil_that_would_let_go_above_its_pull_in_is_refused() -> None:
    """It would have no resting state, and one such door would stop the whole site."""
    part = {**_values("strike-12-secure"), "v_pull_in_v": 1.0}
    assert "v_drop_out_v" in next(stages(STRIKE, [part], "supply-24-4"))
