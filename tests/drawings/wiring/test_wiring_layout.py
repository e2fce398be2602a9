"""A door's wiring diagram must hold every conductor, each by itself, ending where the netlist says."""

from __future__ import annotations

import runpy
from collections import Counter
from functools import partial
from itertools import combinations, pairwise
from pathlib import Path
from random import Random
from typing import Any

import pytest
from shapely import LineString, Point, box
from shapely.strtree import STRtree

from riserkit.circuits.netlist import Component, ElementKind, Netlist
from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.dxf.lettering import ALIGNMENT, baseline_start, ink_box
from riserkit.drawings.wiring.boxes import ACROSS_SCALE, SYMBOL_SCALE, slot_rect
from riserkit.drawings.wiring.layout import lay_out
from riserkit.drawings.wiring.problem import groups_of
from riserkit.drawings.wiring.values import Label, PlacedSymbol, Style, WiringDiagram
from riserkit.wiring.roles import FEEDS

DOORS: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "door_circuits.py"))
ALL = sorted(DOORS["ALL"])
STYLES = (
    Style(columns=2),
    Style(columns=3),
    Style(columns=3, with_gauge=False, share_lanes=True),
    Style(columns=2, height_mm=1.8),
)


def random_netlist(seed: int) -> Netlist:
    """Up to ten devices wired together anyhow, with spare conductors."""
    random = Random(seed)
    c = DOORS["Circuit"]()
    counts = [random.randint(1, 8) for _ in range(random.randint(3, 10))]
    for n, count in enumerate(counts):
        terminals = " ".join(f"T{k}" for k in range(count))
        c.device(f"D{n}", "Device with a longish title" if n % 3 else "Device", terminals, place="somewhere in reach")
    for _ in range(random.randint(2, 8)):
        a, b = random.sample(range(len(counts)), 2)
        wires = [
            f"D{a}.T{random.randrange(counts[a])} > D{b}.T{random.randrange(counts[b])}"
            for _ in range(random.randint(1, 5))
        ]
        c.cable(random.randint(len(wires), 8), "22 AWG", *wires)
    return c.netlist()


CASES = [pytest.param((DOORS["ALL"][name], style), id=f"{name}-{n}") for name in ALL for n, style in enumerate(STYLES)]
CASES += [
    pytest.param((partial(random_netlist, seed), Style(columns=2 + seed % 2)), id=f"r{seed}") for seed in range(12)
]


@pytest.fixture(scope="module", params=CASES)
def laid(request: pytest.FixtureRequest) -> tuple[Netlist, WiringDiagram]:
    make, style = request.param
    netlist = make()
    return netlist, lay_out(netlist, style, 180.0)


@pytest.fixture(scope="module", params=ALL)
def door(request: pytest.FixtureRequest) -> tuple[Netlist, WiringDiagram]:
    netlist = DOORS["ALL"][request.param]()
    return netlist, lay_out(netlist, Style(), 180.0)


def lines_of(diagram: WiringDiagram) -> dict[str, LineString]:
    return {w.ref: LineString(w.path) for w in diagram.wires}


def rect_of(label: Label) -> Rect:
    anchor = {"left": "left", "center": "center", "right": "right"}[label.align]
    start = baseline_start(label.text, label.at, label.height_mm, ALIGNMENT[anchor], 0.0)  # type: ignore[index]
    return ink_box(label.text, start, label.height_mm, 0.0)


def symbol_rect(symbol: PlacedSymbol, scale: float) -> Rect:
    x, y = symbol.center
    return Rect(x - 3 * scale, y - 5 * scale, x + 3 * scale, y + 5 * scale)


def labels_of(d: WiringDiagram) -> list[tuple[str, Label]]:
    """Every text with the thing it belongs to."""
    found = [(f"wire {w.ref}", label) for w in d.wires for label in w.labels]
    found += [(f"jacket {j.cable} at {j.component}", j.label) for j in d.jackets if j.label]
    found += [("spare", label) for label in d.spare_labels]
    for b in d.boxes:
        found += [(f"box {b.ref}", label) for label in b.heading]
        found += [(f"terminal {b.ref}.{t.name}", t.label) for t in b.terminals]
    return found + [(f"across {a.ref}", label) for a in d.across for label in a.labels]


def test_every_conductor_is_drawn_once(laid: tuple[Netlist, WiringDiagram]) -> None:
    netlist, d = laid
    assert Counter(w.ref for w in d.wires) == Counter(c.ref for c in netlist.conductors)


def test_conductors_end_on_their_own_terminals_each_at_a_place_of_its_own(laid: tuple[Netlist, WiringDiagram]) -> None:
    netlist, d = laid
    across = {a.ref for a in d.across}
    points = {(b.ref, t.name): t.points for b in d.boxes for t in b.terminals}
    paths = {w.ref: w.path for w in d.wires}
    taken: list[tuple[float, float]] = []
    for c in netlist.conductors:
        for landing, end in ((c.a, paths[c.ref][0]), (c.b, paths[c.ref][-1])):
            if landing.component not in across:
                assert end in points[landing.component, landing.terminal], f"conductor {c.ref} misses {landing}"
                taken.append(end)
    assert len(taken) == len(set(taken))


def test_conductors_run_level_and_upright(laid: tuple[Netlist, WiringDiagram]) -> None:
    for wire in laid[1].wires:
        assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(wire.path)), wire.ref


def test_no_two_conductors_run_on_one_line(laid: tuple[Netlist, WiringDiagram]) -> None:
    lines = lines_of(laid[1])
    shared = [(a, b) for a, b in combinations(lines, 2) if lines[a].intersection(lines[b]).length > 1e-6]
    assert not shared


def test_terminals_that_belong_together_keep_the_devices_order(laid: tuple[Netlist, WiringDiagram]) -> None:
    """Plus over minus, and the terminals of a contact, a link or a bus as on the device, on whichever edge they stand."""
    netlist, d = laid
    held = int(not any(groups_of(component) for component in netlist.components))
    for drawn in d.boxes:
        component = netlist.component(drawn.ref)
        groups = [group for group in groups_of(component) if len(group) > 1]
        pairs = [(a, b) for a, b in pairwise(component.terminals) if (a.polarity, b.polarity) == ("+", "-")]
        assert all(any({a.name, b.name} <= set(group) for group in groups) for a, b in pairs)
        for group in groups:
            for edge in ("left", "right"):
                mine = [t for t in drawn.terminals if t.edge == edge and t.name in group]
                by_height = sorted(mine, key=lambda t: -t.points[0][1])
                assert [t.name for t in by_height] == [name for name in group if name in {t.name for t in mine}]
                held += len(mine) > 1
    assert held


def test_every_crossing_is_bridged_and_counted(laid: tuple[Netlist, WiringDiagram]) -> None:
    """Crossings by shapely, an independent reckoning."""
    d = laid[1]
    lines = lines_of(d)
    crossings = Counter[tuple[float, float]]()
    for a, b in combinations(lines, 2):
        meet = lines[a].intersection(lines[b])
        for point in getattr(meet, "geoms", [meet]):
            if not point.is_empty:
                crossings[round(point.x, 3), round(point.y, 3)] += 1
    bridges = Counter((round(x, 3), round(y, 3)) for w in d.wires for x, y in w.bridges)
    assert set(bridges) == set(crossings)
    assert d.crossings == bridges.total()


def test_conductors_keep_out_of_devices(laid: tuple[Netlist, WiringDiagram]) -> None:
    d = laid[1]
    for wire in d.wires:
        line = LineString(wire.path)
        for b in d.boxes:
            assert not line.crosses(box(*b.rect.inset(0.01))), f"conductor {wire.ref} through {b.ref}"
            assert not line.within(box(*b.rect)), f"conductor {wire.ref} inside {b.ref}"


def test_no_text_meets_another(laid: tuple[Netlist, WiringDiagram]) -> None:
    labels = labels_of(laid[1])
    shapes = [box(*rect_of(label)) for _, label in labels]
    tree = STRtree(shapes)
    for n, shape in enumerate(shapes):
        met = [labels[m] for m in tree.query(shape) if m > n and shapes[m].intersection(shape).area > 1e-6]
        assert not met, f"{labels[n]} on {met}"


def test_no_text_meets_a_line_or_a_symbol(laid: tuple[Netlist, WiringDiagram]) -> None:
    d = laid[1]
    things = [(f"wire {w.ref}", LineString(w.path)) for w in d.wires]
    things += [(f"bridge of {w.ref}", Point(p).buffer(0.36 * d.style.step_mm)) for w in d.wires for p in w.bridges]
    things += [("jacket", box(*j.rect)) for j in d.jackets]
    things += [("spare", LineString([s.start, s.end])) for s in d.spares]
    things += [("outline", box(*b.rect).exterior) for b in d.boxes]
    things += [("stub", LineString(stub)) for b in d.boxes for stub in b.stubs]
    things += [("slot", box(*slot_rect(t, d.style))) for b in d.boxes for t in b.terminals]
    things += [("symbol", box(*symbol_rect(s, SYMBOL_SCALE))) for b in d.boxes for s in b.symbols]
    things += [("part", box(*symbol_rect(a.symbol, ACROSS_SCALE))) for a in d.across]
    tree = STRtree([shape for _, shape in things])
    for owner, label in labels_of(d):
        text = box(*rect_of(label).inset(0.02))
        met = [things[m][0] for m in tree.query(text) if things[m][1].intersects(text)]
        assert not met, f"{owner}: {label.text!r} on {met}"


def test_a_jacket_holds_the_conductors_of_its_cable_and_no_others(laid: tuple[Netlist, WiringDiagram]) -> None:
    netlist, d = laid
    cable = {c.ref: c.cable for c in netlist.conductors}
    lines = lines_of(d)
    held: Counter[tuple[str, str]] = Counter()
    for jacket in d.jackets:
        inside = [ref for ref, line in lines.items() if line.intersects(box(*jacket.rect))]
        assert {cable[ref] for ref in inside} <= {jacket.cable}, f"{jacket} holds {inside}"
        held.update((ref, jacket.component) for ref in inside)
    ends = Counter((c.ref, end.component) for c in netlist.conductors if c.cable for end in (c.a, c.b))
    assert held == ends


def test_every_spare_conductor_is_shown_capped_at_both_ends(door: tuple[Netlist, WiringDiagram]) -> None:
    netlist, d = door
    shown = Counter((s.cable, s.colour) for s in d.spares)
    assert shown == Counter({(s.cable, s.colour): 2 for s in netlist.spares})


def test_everything_stays_within_the_stated_size(laid: tuple[Netlist, WiringDiagram]) -> None:
    d = laid[1]
    room = box(-1e-6, -1e-6, d.width_mm + 1e-6, d.height_mm + 1e-6)
    shapes = [box(*b.rect) for b in d.boxes] + [LineString(w.path) for w in d.wires]
    shapes += [box(*rect_of(label)) for _, label in labels_of(d)] + [box(*j.rect) for j in d.jackets]
    assert all(room.covers(shape) for shape in shapes)


@pytest.mark.parametrize("name", ["direct", "small", "double"])
def test_a_diode_has_its_cathode_on_plus(name: str) -> None:
    """Flyback diode: cathode to plus (common practice, no source). Reversed, it would short the output."""
    netlist = DOORS["ALL"][name]()
    d = lay_out(netlist, Style(), 180.0)
    assert d.across
    for part in d.across:
        assert part.symbol.kind is ElementKind.DIODE
        cathode = next(c for c in netlist.conductors if c.a.component == part.ref and c.a.terminal == "K")
        assert cathode.b.terminal == "+"
        port = next(w for w in d.wires if w.ref == cathode.ref).path[0]
        # the symbol's anode end is up exactly when `plus_up`, the element's a being the anode
        cathode_up = not part.symbol.plus_up
        assert (port[1] > part.symbol.center[1]) == cathode_up
        assert abs(port[1] - part.symbol.center[1]) == pytest.approx(5 * ACROSS_SCALE)


def test_contacts_are_shown_as_they_rest(door: tuple[Netlist, WiringDiagram]) -> None:
    netlist, d = door
    shown = {(s.component, s.element): s.normally_closed for b in d.boxes for s in b.symbols}
    for component in netlist.components:
        for element in component.elements:
            feed = element.role in FEEDS
            if element.kind is ElementKind.CONTACT and not feed:
                assert shown[component.ref, element.name] == element.normally_closed
            if element.kind is ElementKind.COIL:
                assert (component.ref, element.name) in shown


def test_symbols_of_one_device_stand_apart(door: tuple[Netlist, WiringDiagram]) -> None:
    for b in door[1].boxes:
        rects = [symbol_rect(s, SYMBOL_SCALE) for s in b.symbols]
        assert not any(one.overlaps(other, 1e-3) for one, other in combinations(rects, 2)), b.ref


def test_doors_of_one_structure_look_alike_whatever_their_wording() -> None:
    plain = DOORS["ALL"]["direct"]()
    first, *rest = plain.components
    renamed = Netlist(
        (Component(first.ref, "Port 2B-C31", first.terminals, first.elements, place=first.place), *rest),
        plain.cables, plain.conductors, plain.spares, plain.reference_node,
    )  # fmt: skip
    one, other = (lay_out(n, Style(), 180.0) for n in (plain, renamed))
    assert [w.path for w in one.wires] == [w.path for w in other.wires]


def test_the_usual_door_crosses_only_for_the_order_of_its_terminals() -> None:
    """The sensor's contact keeps its order, C before NO, while the controller's return stands below the input: two arcs."""
    assert lay_out(DOORS["ALL"]["direct"](), Style(), 180.0).crossings <= 2


def test_a_netlist_without_components_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a netlist with components"):
        lay_out(Netlist((), (), (), (), ""), Style(), 180.0)
