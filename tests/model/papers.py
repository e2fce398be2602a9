"""Sites in which every field has something to say, and all that people are told of a site, stage by stage."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from riserkit.checked import Checked
from riserkit.design import design
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.field.about import FieldWork
from riserkit.field.reels import reel_plan, reel_table
from riserkit.findings import Finding
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import InputError
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site
from riserkit.reports.explained import explain, explanation_json
from riserkit.reports.findings import finding_data
from riserkit.reports.schedules.site import all_schedules
from riserkit.reports.table import to_csv
from riserkit.results.site_tables import site_tables
from riserkit.rules._shared.evaluate import check
from tests.known_bad.designs import raw_site

Row = dict[str, Any]
ACCEPTED: Row = {"rule": "undetected-fault", "subject": "101", "reason": "Watched", "name": "A. Engineer",
                 "date": "2026-03-14"}  # fmt: skip
# A case in the words of `tests/known_bad`: a door of its base with what is changed.
CASES: Mapping[str, Row] = {
    "strike": {
        "door": "strike",
        "parts": [{"like": "diode-1a", "id": "own-diode", "title": "Own diode"}],
        "buildings": [{"id": "B1", "name": "North wing", "code": "N"}, {"id": "B2", "name": "South wing", "code": "S"}],
        "level": {"building": "B1", "name": "Ground", "floor": 1},
        "levels": [{"id": "L2", "building": "B2", "name": "Upper", "elevation_m": 4, "floor": 2}],
        "closets": [{"id": "C2", "level": "L2", "x_m": 1, "y_m": 1, "name": "Upper room", "letter": "B", "fed_from": "C1",
                     "backbone_cable": "om4-12"}],
        "pathway_nodes": [{"id": "N3", "level": "L2", "x_m": 0, "y_m": 0, "height_m": 2.5}],
        "segment": {"length_m": 30, "trade_size": "1", "kind": "conduit", "temperature_c": 35, "bundle_cables": 6},
        "pathway_segments": [{"id": "R1", "from_node": "N1", "to_node": "N3", "kind": "riser", "space": "riser"}],
        "rooms": [{"id": "R1", "level": "L1", "name": "Hall", "outline_wkt": "POLYGON ((20 0, 40 0, 40 9, 20 9, 20 0))"}],
        "walls": [{"level": "L1", "outline_wkt": "POLYGON ((20 0, 40 0, 40 1, 20 1, 20 0))"}],
        "cable_types": [{"like": "18-2", "id": "own", "title": "Own lock cable", "jacket": "CMP", "colours": "RD BK"},
                        {"like": "cat6", "id": "data"}],
        "opening": {"lock_cable": "own", "closet": "C1", "switch": "SW1", "port": 3, "horizontal_cable": "data"},
        "runs": [{"id": "H1", "from_end": "C1", "to_end": "101", "cable_type": "data", "length_m": 40, "basis": "measured",
                  "label": "1A-X1"}],
        "reels": [{"id": "R-7", "cable_type": "own", "left_m": 20}],
        "revisions": [{"index": "A", "date": "2026-03-01", "description": "First issue", "name": "A. Drafter"}],
        "issued_labels": [{"kind": "closet", "subject": "C2", "label": "2B"}],
        "acceptances": [ACCEPTED],
    },
    "behind": {"door": "strike", "level": {"background": "plan.dxf", "background_scale": 0.001, "background_x_m": 1,
                                           "background_y_m": 1, "background_deg": 0}},
    "matched": {"door": "strike", "level": {"background": "plan.dxf", "background_points": "0 0 1 1; 1000 0 2 1"}},
    "closets": {"door": "strike", "closets": [{"id": "C2", "level": "L1", "x_m": 25, "y_m": 0}],
                "upses": [{"id": "U2", "closet": "C1", "battery_ah": 0.1, "end_v": 42, "efficiency": 0.9}],
                "supplies": [{"id": "PS", "part": "supply-12-3", "closet": "C1"},
                             {"id": "PS-2", "part": "supply-12-3", "closet": "C1", "minus_joined": "none"}]},
    "routed": {"door": "strike", "cable_types": [{"like": "cat6", "id": "data"}], "opening": {"horizontal_cable": "data"},
               "pathway_nodes": [{"id": "N3", "level": "L1", "x_m": 15, "y_m": 20}],
               "segment": {"kind": "conduit", "trade_size": "1/2"}, "site": {"pathway_c": 58}},
    "two-levels": {"door": "strike", "levels": [{"id": "L2", "elevation_m": 4}],
                   "closets": [{"id": "C2", "level": "L2", "x_m": 0, "y_m": 0, "fed_from": "C1"}]},
    "no-ups": {"door": "bare", "switch": {"ups": "", "on_ups": ""},
               "opening": {"lock": "strike-12-safe", "fail_mode": "fail-safe"}},
    "watt-hours": {"door": "strike", "remove": ["upses"],
                   "upses": [{"id": "U1", "closet": "C1", "efficiency": 0.9, "battery_wh": 900, "output_w": 700}]},
    "unstated": {"door": "strike", "openings": [{"like": "strike", "mark": "102", "x_m": 28}]},
    "door": {"door": "strike", "opening": {"rex": "rex-motion", "reader_height_m": 1.1}},
    "swung": {"door": "strike", "opening": {"hinges": "left", "secured_side_deg": 90, "swings_to": "secured"}},
    "pair": {"door": "strike", "opening": {"type": "double", "leaf_width_m": 0.9, "inactive_leaf": "manual-bolts", "mullion": "yes"}},
    "gate": {"door": "strike", "opening": {"type": "gate", "outdoor": "yes", "lock_accessible": "no", "rex_accessible": "no"}},
    "own-supply": {"door": "strike-24-closet", "parts": [{"like": "supply-24-4", "id": "own", "battery_ah": 7.0}],
                   "opening": {"supply": "PS"}, "supplies": [{"id": "PS", "part": "own", "closet": "C1"}]},
    "module": {"door": "module", "parts": [{"like": "relay-auth", "id": "own", "coil_a": 0.09}]},
    "voltage-relay": {"door": "voltage-relay", "parts": [{"like": "relay-volt", "id": "own", "coil_a": 0.09}],
                      "opening": {"relay": ""}},
    "added-12": {"door": "module", "parts": [{"like": "supply-12-3", "id": "own", "output_a": 9.0}],
                 "opening": {"arrangement": "relay-external-supply"}},
    "added-24": {"door": "strike", "parts": [{"like": "supply-24-4", "id": "own", "output_a": 9.0}],
                 "opening": {"lock": "strike-24-secure"}},
    "hand-free": {"door": "sensor", "opening": {"release": ""},
                  "parts": [{"like": "release-30", "id": "own", "hold_s": 90.0}]},
    "sensor": {"door": "sensor-24", "opening": {"suppressor": "varistor-47"},
               "parts": [{"like": "fire-relay", "id": "own-fire", "contact_a": 0.01},
                         {"like": "varistor-47", "id": "own-varistor", "clamp_v": 90.0}]},
    "delayed": {"door": "delayed"},
    "splitter": {"door": "splitter", "parts": [{"like": "splitter-12", "id": "own", "own_w": 9.0},
                                               {"like": "varistor-47", "id": "own-varistor", "clamp_v": 90.0}]},
    "gone": {"door": "strike", "issued_labels": [{"kind": "opening", "subject": "109", "label": "109"}]},
    "thin": {"door": "strike", "cable_types": [{"like": "cat6", "id": "data", "gauge": "26 AWG"}],
             "opening": {"horizontal_cable": "data"}, "site": {"pathway_c": 58}},
    "switches": {"door": "strike", "opening": {"switch": "SW1"},
                 "switches": [{"id": "SW2", "closet": "C1", "ports": 8, "on_ups": "yes", "ups": "U1", "own_w": 20}]},
    "bare": {"door": "bare"},
    "rated": {"door": "sensor-24", "opening": {"fire_rating_min": 60, "latching_hardware": "yes"}},
    "long": {"door": "strike", "runs": [{"id": "H1", "from_end": "C1", "to_end": "101", "length_m": 96, "basis": "measured"}],
             "acceptances": [{**ACCEPTED, "rule": "channel-length", "value": "96 m", "severity": "error"}]},
    "caught": {"door": "sensor", "opening": {"release_sign": "no"}, "acceptances": [
        {**ACCEPTED, "rule": "manual-release-placing", "about": "sign", "severity": "error", "authority": "Building department",
         "reference": "26-118"}]},
    "alike": {"door": "bare", "openings": [{"like": "bare", "mark": "102", "x_m": 28}], "acceptances": [
        {**ACCEPTED, "rule": "tamper", "subject": "Known designs", "about": "lock wires", "doors": "101, 102"}]},
}  # fmt: skip


@cache
def raw(case: str) -> RawSite:
    """A case's tables as a reader would hand them over."""
    return raw_site(CASES[case])


def with_value(case: str, table: str, row: int, field: str, value: Any, *, again: bool = False) -> RawSite:
    """A case with one field of one row stated otherwise; None takes it away. `again`: beside the row as it was."""
    given = raw(case)
    old = given.info if table == "info" else given.tables[table][row]
    assert old is not None
    values = {name: v for name, v in old.values.items() if name != field}
    new = RawRecord(values if value is None else {**values, field: value}, old.where)
    if table == "info":
        return replace(given, info=new)
    rows = [*given.tables[table]]
    rows[row : row + (not again)] = [new]
    return replace(given, tables={**given.tables, table: rows})


def read(given: RawSite) -> Site:
    """The site.

    Raises:
        InputError: it is refused.
    """
    return assemble_site(given)


def findings(given: RawSite) -> tuple[Finding, ...]:
    """What the rules say of it.

    Raises:
        InputError: it is refused.
    """
    return check(design(read(given)))


def told(given: RawSite) -> Iterator[str]:
    """What people are told of a site: schedules, findings, then tables and explanations, the reel plan, then each sheet.

    Schedules first, as they are where nothing is found: most of what is stated shows in them, and no circuit is proven for it.
    """
    site = read(given)
    made = design(site)
    yield "\n".join(map(to_csv, all_schedules(Checked(made))))
    found = check(made)
    yield repr([finding_data(f) for f in found])
    tables = site_tables(Checked(made, found))
    yield "\n".join(map(to_csv, tables))
    yield "\n".join(explanation_json(explain(site, door.mark)) for door in made.doors)
    work = FieldWork(made, found, {})
    yield to_csv(reel_table(work, reel_plan(work)))
    for job in plan_set(Checked(made, found), SetOptions(details="each", workers=1)):
        yield f"{job.sheet_id} {job.title} {_drawn(job.draw())}"


def _drawn(canvas: Canvas) -> str:
    """Everything on a sheet as fingerprints and words; what it says only to programs is left out."""
    return repr([(d.space, d.kind, d.fingerprint, d.content) for d in canvas.take_stock().drawn])


def refused(given: RawSite) -> str:
    """Why it is refused on reading; empty when it is not."""
    try:
        read(given)
    except InputError as error:
        return str(error)
    return ""
