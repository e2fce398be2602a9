"""Strategies for sound sites, for round trips through every writer and reader."""

from __future__ import annotations

import datetime
import string

from hypothesis import strategies as st

from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.site import Site

IDS = st.text(string.ascii_letters + string.digits, min_size=1, max_size=6)
# Signs that turn writing, and the byte-order mark, are refused where a text is read.
TURNING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"
# Everything that a text may hold, with what tables make trouble of: quotes, delimiters, formulas, comments, guards.
TEXTS = st.one_of(
    st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"], exclude_characters=TURNING), max_size=20),
    st.text(st.sampled_from("'=+-@#,;\"ab1 "), max_size=8),
)
# Within the extent of one site; elevations within that of its buildings.
LENGTHS_M = st.floats(-4_999, 4_999)
ELEVATIONS_M = st.floats(-700, 700)
MAYBE = st.sampled_from([None, True, False])


def _records(fields: dict[str, st.SearchStrategy[object]]) -> st.SearchStrategy[list[dict[str, object]]]:
    return st.lists(st.fixed_dictionaries(fields), max_size=4)


@st.composite
def sites(draw: st.DrawFn) -> Site:
    """Sites with several kinds of records, ids unique, references sound."""
    levels = draw(st.lists(IDS, min_size=1, max_size=3, unique=True))
    marks = draw(st.lists(IDS, min_size=1, max_size=5, unique_by=str.casefold))
    on_level = st.sampled_from(levels)
    tables: dict[str, list[dict[str, object]]] = {
        "levels": [{"id": x, "name": draw(TEXTS), "elevation_m": draw(ELEVATIONS_M)} for x in levels],
        "openings": [
            {
                "mark": mark, "level": draw(on_level), "x_m": draw(LENGTHS_M), "y_m": draw(LENGTHS_M),
                "name": draw(TEXTS), "secured_side": draw(TEXTS), "outdoor": draw(st.booleans()),
                "back_box": draw(st.booleans()), "free_egress_hardware": draw(MAYBE), "release_sign": draw(MAYBE),
                "angle_deg": draw(st.floats(-360, 360)), "lock_count": draw(st.integers(1, 2)),
                "fail_mode": draw(st.sampled_from([None, "fail-safe", "fail-secure"])),
                "width_m": draw(st.floats(0.001, 20)),
            }
            for mark in marks
        ],
        "closets": [{"id": "C1", "level": levels[0], "x_m": 1.0, "y_m": 2.0}],
        "upses": [
            {"id": "UPS-1", "closet": "C1", "battery_ah": draw(st.floats(0.1, 1000)), "end_v": 42.0,
             "efficiency": draw(st.floats(0.1, 1)), "standby_hours": draw(st.floats(0.1, 100))}
        ][: draw(st.integers(0, 1))],
        "parts": [
            {"id": x, "kind": "strike", "title": draw(TEXTS), "rated_v": draw(st.floats(0.1, 1000))}
            for x in draw(st.lists(st.one_of(IDS, st.just("strike-12-safe")), max_size=2, unique=True))
        ],
        "walls": [{"level": draw(on_level), "outline_wkt": "POLYGON ((0 0, 5 0,\n 5 4, 0 0))"}] * draw(st.integers(0, 2)),
        "acceptances": [
            {"rule": "channel-length", "subject": marks[0], "reason": "x" + draw(TEXTS), "name": "R. Roe",
             "date": draw(st.dates(datetime.date(1990, 1, 1)))}
        ][: draw(st.integers(0, 1))],
    }  # fmt: skip
    info = {"name": draw(TEXTS), "cords_total_m": draw(st.floats(0, 10_000)), "plan_scale": draw(st.integers(1, 5000))}
    where = Where("drawn")
    raw = {table: [RawRecord(values, where) for values in rows] for table, rows in tables.items()}
    return assemble_site(RawSite(RawRecord(info, where), raw))
