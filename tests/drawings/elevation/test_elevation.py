"""An elevation must be to scale, with every device named and nothing written over anything."""

from __future__ import annotations

from itertools import combinations, product

import pytest
from shapely import LineString, Point, box

from riserkit.drawings.door.devices import opening_shape
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.elevation.draw import elevation_of
from riserkit.drawings.elevation.mask import masked
from riserkit.drawings.elevation.values import Elevation, ElevationDevice, OpeningShape
from riserkit.drawings.setting.scale import IMPERIAL_SCALES, METRIC_SCALES, DrawingScale, length_text
from riserkit.model.opening import Opening
from riserkit.model.place import Level
from riserkit.model.site import Site
from riserkit.quantities.printed import UnitSystem

SINGLE = OpeningShape("single", 0.915, 2.134, "left", 2.9)
SHAPES = (
    SINGLE,
    OpeningShape("single", 0.75, 2.0, "right", 6.5),
    OpeningShape("double", 1.83, 2.134, "left", 3.0),
    OpeningShape("gate", 3.0, 1.8, "right", None),
)


def devices(shape: OpeningShape) -> tuple[ElevationDevice, ...]:
    """As many devices as a crowded door has."""
    edge, out, head = shape.wall_x_m, shape.outward, shape.height_m
    latch = shape.latch_x_m
    found = [
        ElevationDevice("K1", "Controller", "elev_controller", edge + out * 0.28, 1.067, False, 1.067, "typical", True, out),
        ElevationDevice("S1", "Release", "elev_release", edge + out * 0.6, 1.1, True, 1.1, "stated", True, out),
        ElevationDevice("B3", "Reader", "elev_reader", edge + out * 0.75, 1.067, True, 1.067, "typical", True, out),
        ElevationDevice("M1", "Strike", "elev_strike", latch, 1.02, False, 1.02, "typical", True, -out, (-out * 1.9, 0)),
        ElevationDevice("B1", "Contact", "elev_contact", latch - out * 0.12, head, False, head, "typical", False, -out,
                        (-out * 3.5, 2.2 if shape.type == "gate" else -2.2)),
        ElevationDevice("B2", "REX", "elev_rex", shape.width_m / 2, head + 0.15, True, head + 0.15, "typical", False, 1,
                        (0, 1.0)),
    ]  # fmt: skip
    if shape.ceiling_m is not None:
        found += [
            ElevationDevice(r, r, "elev_junction_box", 0.3 * n, shape.top_m, True, None, "typical", offset_mm=(0, 4.6))
            for n, r in enumerate(("X1", "K2", "T1"))
        ]
    return tuple(found)


CASES = [(s, scale, "metric") for s, scale in product(SHAPES, METRIC_SCALES)]
CASES += [(s, scale, "imperial") for s, scale in product(SHAPES[:2], IMPERIAL_SCALES)]


@pytest.fixture(params=CASES, ids=lambda c: f"{c[0].type}-{c[0].hinges}-{c[1].ratio}")
def drawn(request: pytest.FixtureRequest) -> Elevation:
    shape, scale, units = request.param
    return elevation_of(shape, devices(shape), scale, units)


def test_the_opening_measures_what_its_scale_says(drawn: Elevation) -> None:
    """A length on paper times the scale is the length in the building."""
    shape, scale = drawn.shape, drawn.scale
    height = max((d for d in drawn.dimensions if d.upright), key=lambda d: d.end[1])
    assert (height.end[1] - height.start[1]) * scale.ratio / 1000 == pytest.approx(shape.height_m, abs=1e-3)
    (width,) = [d for d in drawn.dimensions if not d.upright]
    assert (width.end[0] - width.start[0]) * scale.ratio / 1000 == pytest.approx(shape.width_m, abs=2e-3)
    floor = next(s for s in drawn.strokes if s.kind == "floor")
    assert {y for _, y in floor.points} == {0.0}


def test_devices_stand_at_their_heights(drawn: Elevation) -> None:
    for placed in drawn.devices:
        d = placed.device
        assert placed.center[1] == pytest.approx(d.y_m * 1000 / drawn.scale.ratio + d.offset_mm[1], abs=1e-3)


def test_every_dimensioned_height_is_told_where_its_text_has_room(drawn: Elevation) -> None:
    upright = [d for d in drawn.dimensions if d.upright]
    told = {d.text.split()[0] for d in upright if d.text[0] in "KSBM"}
    shown = {p.device.ref for p in drawn.devices if p.device.dimensioned}
    assert told == shown if drawn.scale.ratio <= 32 else told <= shown
    assert all(text_width_mm(d.text, 2.5) <= d.end[1] - d.start[1] for d in upright)


def test_symbols_and_balloons_stand_apart(drawn: Elevation) -> None:
    balloons = [Point(p.balloon.center).buffer(p.balloon.radius) for p in drawn.devices]
    symbols = [box(*p.rect) for p in drawn.devices]
    for one, other in combinations([*balloons, *symbols], 2):
        assert one.intersection(other).area < 1e-6


def test_leaders_reach_their_device_and_touch_no_other(drawn: Elevation) -> None:
    for n, placed in enumerate(drawn.devices):
        leader = LineString(placed.balloon.leader)
        assert leader.distance(box(*placed.rect)) < 0.01
        assert abs(Point(placed.balloon.center).distance(leader) - placed.balloon.radius) < 0.01
        others = [p for m, p in enumerate(drawn.devices) if m != n]
        assert not any(leader.intersects(box(*p.rect)) for p in others)
        assert not any(leader.intersects(LineString(p.balloon.leader)) for p in others)


def test_letters_keep_off_the_lines_of_the_opening(drawn: Elevation) -> None:
    strokes = [LineString(s.points) for s in drawn.strokes]
    for placed in drawn.devices:
        x, y = placed.balloon.center
        lettering = [Rect(x - 2, y - 1.25, x + 2, y + 1.25)]
        if SYMBOLS[placed.device.symbol].letters and placed.device.symbol != "elev_junction_box":
            x, y = placed.center
            lettering.append(Rect(x - 0.9, y - 1.25, x + 0.9, y + 1.25))
        for rect in lettering:
            assert not any(stroke.intersects(box(*rect)) for stroke in strokes), placed.device.ref


def test_all_of_it_lies_within_the_extent(drawn: Elevation) -> None:
    extent = box(*drawn.extent)
    shapes = [LineString(s.points) for s in drawn.strokes] + [box(*p.rect) for p in drawn.devices]
    shapes += [Point(p.balloon.center).buffer(p.balloon.radius) for p in drawn.devices]
    assert all(extent.covers(shape) for shape in shapes)


@pytest.mark.parametrize("hinges", ["left", "right"])
def test_the_dashed_lines_meet_at_the_hinges(hinges: str) -> None:
    """The apex of the dashed lines points to the hinges (common practice, no source)."""
    shape = OpeningShape("single", 0.9, 2.1, hinges, 2.8)  # type: ignore[arg-type]
    made = elevation_of(shape, (), METRIC_SCALES[2], "metric")
    (swing,) = [s for s in made.strokes if s.kind == "swing"]
    assert swing.points[1] == ((0.0, 21.0) if hinges == "left" else (18.0, 21.0))


def test_a_high_ceiling_is_brought_down_and_says_so() -> None:
    made = elevation_of(SHAPES[1], (), METRIC_SCALES[2], "metric")
    assert {"Ceiling 6500", "drawn lower"} <= {text for text, _ in made.notes}
    low = elevation_of(SINGLE, (), METRIC_SCALES[2], "metric")
    assert [text for text, _ in low.notes] == ["Floor", "Ceiling 2900"]


def test_no_ceiling_is_drawn_where_there_is_none() -> None:
    for ceiling_m in (3.0, None):
        shape = OpeningShape("single", 0.915, 2.1, "left", ceiling_m)
        made = elevation_of(shape, (), METRIC_SCALES[0], "metric")
        assert ("ceiling" in {stroke.kind for stroke in made.strokes}) == (ceiling_m is not None)


@pytest.mark.parametrize("scale", IMPERIAL_SCALES)
def test_imperial_scales_say_what_they_are(scale: DrawingScale) -> None:
    """Inches to the foot: the fraction of an inch that stands for 12 inches."""
    numerator, denominator = scale.text.split('"')[0].split("/")
    assert scale.ratio == 12 * int(denominator) // int(numerator)


@pytest.mark.parametrize(
    ("length_m", "units", "text"),
    [
        (1.067, "metric", "1067"),
        (0.0, "metric", "0"),
        (42 * 0.0254, "imperial", "3'-6\""),
        (48 * 0.0254, "imperial", "4'-0\""),
        (40.125 * 0.0254, "imperial", "3'-4 1/8\""),
        (1.0 * 0.3048 - 1e-9, "imperial", "1'-0\""),
    ],
)
def test_lengths_read_as_builders_write_them(length_m: float, units: UnitSystem, text: str) -> None:
    assert length_text(length_m, units) == text


def test_a_double_opening_is_as_wide_as_stated_or_as_two_leaves() -> None:
    site = Site(levels=(Level(id="L1", elevation_m=0.0, ceiling_m=2.7),))
    base = {"mark": "1", "level": "L1", "x_m": 0.0, "y_m": 0.0, "type": "double"}
    assert opening_shape(Opening(**base, leaf_width_m=0.915), site).width_m == pytest.approx(1.83)
    assert opening_shape(Opening(**base), site).width_m == pytest.approx(1.83)
    assert opening_shape(Opening(**base, width_m=1.2), site).width_m == pytest.approx(1.2)
    assert opening_shape(Opening(**base, width_m=1.83), site).width_m == pytest.approx(1.83)


def test_lines_are_cut_away_in_front_of_them_only() -> None:
    """Against shapely's difference, for lines at all slants through two rectangles that overlap."""
    rects = [Rect(2, 2, 5, 4), Rect(4, 3, 7, 8)]
    fronts = box(*rects[0]).union(box(*rects[1]))
    for n in range(24):
        path = [(0.0, n / 3), (6.0, 8 - n / 3), (9.0, n / 4)]
        left = LineString(path).difference(fronts)
        parts = list(masked(path, rects))
        assert sum(LineString(p).length for p in parts) == pytest.approx(left.length, abs=0.01)
        assert all(LineString(p).intersection(fronts.buffer(-0.01)).length < 0.01 for p in parts)
