"""What is where no part of the site can be: a decimal point that slipped, millimetres in a column of metres."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from riserkit.model.problems import Problem

if TYPE_CHECKING:
    from riserkit.model.raw import RawRecord

SITE_RADIUS_M: Final = 10_000.0
"""Nothing is farther from the middle of its site: airports and harbours are smaller (common practice, no source)."""
LEVELS_APART_M: Final = 1_500.0
"""The highest building is 828 m high; the rest is a campus on a slope (common practice, no source)."""

Rows = Mapping[str, Sequence[tuple[Any, "RawRecord"]]]
_Placed = tuple[tuple[float, float], str, "RawRecord"]


def far_off(good: Rows) -> Iterator[Problem]:
    """A problem for everything far from the middle of all, in plan and in height."""
    yield from _in_plan(good)
    yield from _in_height(good)


def _in_plan(good: Rows) -> Iterator[Problem]:
    placed = list(_placed(good))
    if not placed:
        return
    # The middle one of all: a few that stand far off do not move it, as they would an average.
    middle_m = tuple(statistics.median_low(at_m[axis] for at_m, _, _ in placed) for axis in (0, 1))
    for at_m, column, record in placed:
        off_m = [abs(a - m) for a, m in zip(at_m, middle_m, strict=True)]
        if max(off_m) <= SITE_RADIUS_M:
            continue
        axis = off_m.index(max(off_m))
        name = column or ("x_m", "y_m")[axis]
        yield record.problem(
            name, record.values.get(name, ""),
            f"expected a place within {SITE_RADIUS_M / 1000:g} km of the middle of the site, ({middle_m[0]:.0f}, "
            f"{middle_m[1]:.0f}) m; check the decimal point and the unit, and that everything is measured from one origin",
        )  # fmt: skip


def _placed(good: Rows) -> Iterator[_Placed]:
    for table in ("closets", "pathway_nodes", "openings"):
        for made, record in good[table]:
            yield (made.x_m, made.y_m), "", record
    for table in ("rooms", "walls"):
        if good[table]:
            yield from _outlines(good[table])


def _outlines(rows: Sequence[tuple[Any, RawRecord]]) -> Iterator[_Placed]:
    import shapely  # noqa: PLC0415  takes longer to load than most sites take to read

    bounds_m = shapely.bounds(shapely.from_wkt([made.outline_wkt for made, _ in rows]))
    for (_, record), (x0, y0, x1, y1) in zip(rows, bounds_m, strict=True):
        yield (float(x0), float(y0)), "outline_wkt", record
        yield (float(x1), float(y1)), "outline_wkt", record


def _in_height(good: Rows) -> Iterator[Problem]:
    levels = good["levels"]
    if not levels:
        return
    middle_m = statistics.median_low(level.elevation_m for level, _ in levels)
    for level, record in levels:
        if abs(level.elevation_m - middle_m) > LEVELS_APART_M:
            yield record.problem(
                "elevation_m", level.elevation_m,
                f"expected an elevation within {LEVELS_APART_M:g} m of the other levels', about {middle_m:g} m; check the "
                "decimal point and the unit",
            )  # fmt: skip
