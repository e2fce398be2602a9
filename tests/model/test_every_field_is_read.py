"""No field without a reader: each field of each table, stated otherwise, changes what people are told, or is refused.

Parts have a test of their own, `test_every_value_is_read`: what their values do shows in circuits.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest
from typing import Any

from riserkit.model.tables import RECORDS, fields_of
from tests.model.papers import raw, refused, told, with_value
from tests.sweep import swept

REFUSED = "refused"
"""In place of a value: a row's own key, which others name; a wrong one is refused."""
WALL = "POLYGON ((20 5, 40 5, 40 6, 20 6, 20 5))"
# By table and field: case, row of the table, and what is stated instead; None states nothing.
STATED: dict[str, dict[str, tuple[str, int, Any]]] = {
    "info": {
        **dict.fromkeys(
            ("name", "project_number", "address", "owner", "designer", "drawn_by", "checked_by", "approved_by",
             "building_code", "electrical_code", "fire_code"), ("strike", 0, "Absurd"),
        ),
        "issue_date": ("strike", 0, "2031-01-01"), "status": ("strike", 0, "as built"),
        "unit_system": ("strike", 0, "imperial"), "ambient_c": ("strike", 0, 70), "coldest_c": ("strike", 0, -40),
        "pathway_c": ("strike", 0, 70), "cords_total_m": ("strike", 0, 60), "cord_gauge": ("strike", 0, "28 AWG"),
        "cord_stranding": ("strike", 0, "solid"), "closet_slack_m": ("strike", 0, 60), "door_slack_m": ("strike", 0, 60),
        "service_loop_m": ("strike", 0, 60), "horizontal_cable": ("unstated", 0, "cat6-plenum"),
        "backbone_cable": ("two-levels", 0, "cat6"), "lock_cable": ("unstated", 0, "22-2"),
        "contact_cable": ("unstated", 0, "18-2"), "rex_cable": ("door", 0, "18-4"), "relay_cable": ("module", 0, "18-4"),
        "reader_cable": ("unstated", 0, "18-4"), "release_cable": ("delayed", 0, "22-4"),
        "fire_cable": ("sensor", 0, "22-2"), "relay": ("module", 0, "own"), "voltage_relay": ("voltage-relay", 0, "own"),
        "splitter": ("splitter", 0, "own"), "release": ("hand-free", 0, "own"), "diode": ("strike", 0, "own-diode"),
        "suppressor": ("splitter", 0, "own-varistor"), "door_supply_12": ("added-12", 0, "own"),
        "door_supply_24": ("added-24", 0, "own"), "sheet_series": ("strike", 0, "ANSI"), "riser_sheet": ("strike", 0, "A0"),
        "sheet_size": ("strike", 0, "A1"),
        "detail_sheet": ("strike", 0, "A1"), "standby_hours": ("strike", 0, 900),
        "openings_per_hour": ("own-supply", 0, 3000), "opening_s": ("own-supply", 0, 100), "plan_scale": ("strike", 0, 500),
        "true_north_deg": ("strike", 0, 33),
    },
    "buildings": {"id": ("strike", 0, REFUSED), "name": ("strike", 0, "Absurd"), "code": ("strike", 0, "X")},
    "levels": {
        "id": ("strike", 0, REFUSED), "building": ("strike", 0, "B2"), "name": ("strike", 0, "Absurd"),
        "elevation_m": ("strike", 0, 60), "floor": ("strike", 0, 60), "ceiling_m": ("strike", 0, 19),
        "ceiling_space": ("strike", 0, "plenum"), "background": ("behind", 0, "other.dxf"), "background_scale": ("behind", 0, 0.01),
        "background_x_m": ("behind", 0, 7), "background_y_m": ("behind", 0, 7), "background_deg": ("behind", 0, 45),
        "background_points": ("matched", 0, "0 0 1 1; 1000 0 1 2"), "background_as": ("behind", 0, "reference"),
    },
    "closets": {
        "id": ("strike", 1, "Absurd"), "level": ("strike", 1, "L1"), "name": ("strike", 1, "Absurd"),
        "x_m": ("strike", 1, 60), "y_m": ("strike", 1, 60), "letter": ("strike", 1, "X"), "fed_from": ("strike", 1, None),
        "backbone_cable": ("strike", 1, "cat6"), "formerly": ("strike", 1, "C9"),
    },
    "switches": {
        "id": ("unstated", 0, "Absurd"), "closet": ("closets", 0, "C2"), "name": ("unstated", 0, "Absurd"),
        "ports": ("unstated", 0, 1), "uplink_ports": ("unstated", 0, 5), "poe_class": ("unstated", 0, 1),
        "port_classes": ("unstated", 0, "1-2:1"), "poe_budget_w": ("unstated", 0, 1), "on_ups": ("no-ups", 0, "no"),
        "ups": ("closets", 0, "U2"), "own_w": ("unstated", 0, 5000), "other_w": ("unstated", 0, 5000), "panel": ("unstated", 0, "X"),
        "formerly": ("unstated", 0, "S9"),
    },
    "supplies": {
        "id": ("closets", 0, "Absurd"), "part": ("closets", 0, "supply-24-4"), "closet": ("closets", 0, "C2"),
        "opening": ("sensor", 0, REFUSED), "name": ("closets", 0, "Absurd"), "on_battery": ("closets", 0, "no"),
        "minus_joined": ("closets", 0, "none"),
        "standby_hours": ("own-supply", 1, 900), "battery_c": ("own-supply", 1, -40),
    },
    "upses": {
        "id": ("unstated", 0, REFUSED), "closet": ("closets", 0, "C2"), "name": ("unstated", 0, "Absurd"),
        "battery_ah": ("unstated", 0, 0.1), "battery_wh": ("watt-hours", 0, 1), "end_v": ("unstated", 0, 1),
        "efficiency": ("unstated", 0, 0.02), "output_w": ("unstated", 0, 1), "other_w": ("unstated", 0, 5000),
        "standby_hours": ("unstated", 0, 900), "battery_c": ("unstated", 0, -40),
    },
    "pathway_nodes": {
        "id": ("strike", 2, REFUSED), "level": ("strike", 2, "L1"), "x_m": ("strike", 2, 60), "y_m": ("strike", 2, 60),
        "height_m": ("strike", 2, 19),
    },
    "pathway_segments": {
        "id": ("strike", 0, "Absurd"), "from_node": ("routed", 0, "N3"), "to_node": ("routed", 0, "N3"),
        "kind": ("strike", 0, "tray"), "space": ("strike", 0, "outdoor"), "length_m": ("routed", 0, 500),
        "trade_size": ("strike", 0, "1/2"), "temperature_c": ("strike", 0, 60), "bundle_cables": ("unstated", 0, 1),
    },
    "cable_types": {
        "id": ("strike", 0, REFUSED), "title": ("strike", 0, "Absurd"), "kind": ("strike", 1, REFUSED),
        "category": ("strike", 1, "5e"), "conductors": ("strike", 0, REFUSED), "gauge": ("strike", 0, "24 AWG"),
        "stranding": ("strike", 0, "solid"), "screened": ("routed", 0, "yes"), "outside_diameter_m": ("routed", 0, "19 mm"),
        "rating_c": ("thin", 0, 90), "jacket": ("strike", 0, "Absurd"), "colours": ("strike", 0, "WH GY"),
    },
    "openings": {
        "mark": ("door", 0, "Absurd"), "level": ("strike", 0, "L2"), "x_m": ("door", 0, 60), "y_m": ("door", 0, 60),
        "name": ("door", 0, "Absurd"), "remarks": ("door", 0, "Absurd"), "crew": ("door", 0, "Absurd"),
        "work_date": ("door", 0, "2031-01-01"), "formerly": ("gone", 0, "109"), "type": ("door", 0, "double"), "width_m": ("door", 0, 0.1),
        "leaf_width_m": ("door", 0, 0.1), "height_m": ("door", 0, 0.9), "angle_deg": ("door", 0, 45),
        "hinges": ("door", 0, "right"), "secured_side_deg": ("swung", 0, 270), "swings_to": ("swung", 0, "unsecured"),
        "clear_width_m": ("door", 0, 0.5), "coldest_c": ("door", 0, -40), "hottest_c": ("door", 0, 70),
        "interlocked_with": ("unstated", 0, "102"), "outdoor": ("door", 0, "yes"), "ceiling_space": ("door", 0, "plenum"),
        "secured_side": ("door", 0, "Absurd"), "unsecured_side": ("door", 0, "Absurd"), "fail_mode": ("door", 0, "fail-safe"),
        "egress": ("door", 0, "controlled"), "delay_s": ("delayed", 0, 29), "fire_rating_min": ("door", 0, 90),
        "latching_hardware": ("rated", 0, "no"), "entry": ("door", 0, "key"), "inactive_leaf": ("pair", 0, "exit-device"),
        "mullion": ("pair", 0, "no"),
        "lock": ("door", 0, "strike-24-secure"), "lock_count": ("door", 0, 2), "controller": ("door", 0, "controller-c3"),
        "lock_accessible": ("gate", 0, "yes"), "rex_accessible": ("gate", 0, "yes"),
        "lock_wiring_secured": ("bare", 0, "yes"),
        "controller_at": ("door", 0, "unsecured"), "back_box": ("door", 0, "no"), "contact": ("door", 0, None),
        "rex": ("door", 0, None), "rex_aux_input": ("door", 0, "auxiliary"), "release": ("sensor", 0, None),
        "relay": ("voltage-relay", 0, "own"), "splitter": ("splitter", 0, "own"), "suppressor": ("sensor", 0, "own-varistor"),
        "reader_in": ("door", 0, None), "reader_out": ("door", 0, "reader-out"), "fire_relay": ("sensor", 0, "own-fire"),
        "fire_alarm_release": ("sensor", 0, "no"), "supply": ("own-supply", 0, None),
        "arrangement": ("door", 0, "relay-by-voltage"), "closet": ("closets", 0, "C2"), "switch": ("switches", 0, "SW2"),
        "port": ("strike", 0, 9), "horizontal_cable": ("door", 0, "cat6-plenum"), "lock_cable": ("strike", 0, "22-2"),
        "contact_cable": ("strike", 0, "18-2"), "rex_cable": ("door", 0, "18-4"),
        "free_egress_hardware": ("door", 0, "no"), "reader_height_m": ("door", 0, 2.5), "rex_height_m": ("door", 0, 0.3),
        "release_height_m": ("sensor", 0, 2.5), "release_distance_m": ("sensor", 0, 9), "release_sign": ("sensor", 0, "no"),
    },
    "runs": {
        "from_end": ("strike", 0, REFUSED), "to_end": ("strike", 0, REFUSED), "cable_type": ("strike", 0, "cat6-plenum"),
        "length_m": ("strike", 0, 300), "basis": ("strike", 0, "stated"), "label": ("strike", 0, "1A-X2"),
    },
    "reels": {"id": ("strike", 0, "Absurd"), "cable_type": ("strike", 0, "18-4"), "left_m": ("strike", 0, 3)},
    "rooms": {
        "id": ("strike", 0, "Absurd"), "level": ("strike", 0, "L2"), "name": ("strike", 0, "Absurd"),
        "outline_wkt": ("strike", 0, WALL),
    },
    "walls": {"level": ("strike", 0, "L2"), "outline_wkt": ("strike", 0, WALL)},
    "issued_labels": {
        "kind": ("strike", 0, "cable"), "subject": ("strike", 0, "Absurd"), "label": ("strike", 0, "2X"),
        "void": ("strike", 0, "yes"),
    },
    "acceptances": {
        **dict.fromkeys(("rule", "subject", "about", "reason", "name"), ("strike", 0, "Absurd")),
        "date": ("strike", 0, "2031-01-01"), "value": ("long", 0, "91 m"), "doors": ("alike", 0, "101"),
        "severity": ("long", 0, "warning"), "authority": ("caught", 0, None), "reference": ("caught", 0, None),
    },
    "confirmations": {
        "opening": ("module", 0, REFUSED), "condition": ("module", 0, "delay-sign"), "name": ("module", 0, "Absurd"),
        "date": ("module", 0, "2031-01-01"), "note": ("module", 0, "Absurd"),
    },
    "revisions": {
        "index": ("strike", 0, "X"), "date": ("strike", 0, "2031-01-01"), "description": ("strike", 0, "Absurd"),
        "name": ("strike", 0, "Absurd"), "sheets": ("strike", 0, "T-999"),
    },
}  # fmt: skip
FIELDS = [(table, field) for table, fields in STATED.items() for field in fields]
QUICK = FIELDS[::4]
"""Some of each table; all are tried with the slow tests."""
NOT_SHOWN = {("runs", "id"): "tells rows apart: messages about a row name it, and two alike are refused"}


_AS_STATED: dict[str, tuple[Iterator[str], list[str]]] = {}


def as_stated(case: str) -> Iterator[str]:
    """What is told of a case as it stands, worked out as far as it is asked for, and once."""
    rest, known = _AS_STATED.setdefault(case, (told(raw(case)), []))
    yield from known
    for stage in rest:
        known.append(stage)
        yield stage


def changes(case: str, table: str, row: int, field: str, value: Any) -> bool:
    """Stated so, people are told something else."""
    now = told(with_value(case, table, row, field, value))
    return any(new != old for new, old in zip_longest(now, as_stated(case)))


def test_every_field_of_every_table_is_tried():
    for table in RECORDS.keys() - {"parts"}:
        waived = {name for t, name in NOT_SHOWN if t == table}
        assert {*STATED[table], *waived} == set(fields_of(table)), table


@swept("asked", FIELDS, QUICK, slow=FIELDS, ids="-".join)
def test_a_field_stated_otherwise_is_seen(asked):
    table, field = asked
    case, row, value = STATED[table][field]
    if value is REFUSED:
        assert refused(with_value(case, table, row, field, 3 if field == "conductors" else "NOSUCH"))
        return
    assert not refused(with_value(case, table, row, field, value)), "an absurd value, but one that can be read"
    assert changes(case, table, row, field, value)


def test_a_run_of_another_name_is_the_same_and_two_alike_are_refused():
    assert not changes("strike", "runs", 0, "id", "H2")
    assert "expected a id of its own" in refused(with_value("strike", "runs", 0, "id", "H1", again=True))
