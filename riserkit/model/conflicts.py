"""What cannot be true together: a circle of feeds, a port taken twice, a switch in two closets, two names that read as one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from riserkit.model.problems import Problem

if TYPE_CHECKING:
    from riserkit.model.raw import RawRecord
    from riserkit.model.stock import Stock

DOUBLE_AT_LEAST_M: Final = 1.0
"""Both leaves of a double opening together; less is one leaf's width in the wrong place (common practice, no source)."""

_CIRCLE_SHOWN: Final = 8

_READ_BY_PEOPLE: Final = (
    "openings", "buildings", "levels", "closets", "switches", "supplies", "upses", "cable_types", "parts",
)  # fmt: skip
"""Tables whose names stand on paper and labels."""

Rows = Mapping[str, Sequence[tuple[Any, "RawRecord"]]]


def conflicts(good: Rows, stock: Stock) -> Iterator[Problem]:
    """Every contradiction among the records that are well in themselves, and between them and what ships."""
    yield from _closet_cycles(good)
    yield from _ports(good)
    yield from _switch_closets(good)
    yield from _segment_ends(good)
    yield from _widths(good)
    yield from _leaves(good)
    yield from _capitals(good, stock)


def _closet_cycles(good: Rows) -> Iterator[Problem]:
    """One problem a circle, however many stand in it."""
    fed_from = {c.id: c.fed_from for c, _ in good["closets"] if c.fed_from}
    records = {c.id: record for c, record in good["closets"]}
    passed: set[str] = set()
    for closet, _ in good["closets"]:
        path, at = [], closet.id
        while at and at not in passed:
            path.append(at)
            passed.add(at)
            at = fed_from.get(at, "")
        # Where the way came back to one of its own, all from there on is the circle.
        if at and at in path:
            circle = [*path[path.index(at) :], at]
            if len(circle) > _CIRCLE_SHOWN:
                circle = [*circle[: _CIRCLE_SHOWN - 1], "...", at]
            yield records[at].problem(
                "fed_from", fed_from[at], f"expected no circle, but here it is fed {' from '.join(circle)}"
            )


def _ports(good: Rows) -> Iterator[Problem]:
    switches = {s.id: s for s, _ in good["switches"]}
    taken: dict[tuple[str, int], str] = {}
    for opening, record in good["openings"]:
        if opening.port is None:
            continue
        switch = switches.get(opening.switch)
        if not opening.switch:
            yield record.problem("port", opening.port, "expected a switch too when a port is given")
        elif switch is not None and opening.port > switch.door_ports:
            uplinks = f" beside {switch.uplink_ports} uplink ports" if switch.uplink_ports else ""
            accepted = f"expected 1 to {switch.door_ports}; that is all {switch.id} has for doors{uplinks}"
            yield record.problem("port", opening.port, accepted)
        other = taken.setdefault((opening.switch, opening.port), opening.mark)
        if opening.switch and other != opening.mark:
            yield record.problem("port", opening.port, f"expected a free port; opening {other} is on this one")


def _switch_closets(good: Rows) -> Iterator[Problem]:
    stands_in = {s.id: s.closet for s, _ in good["switches"]}
    for opening, record in good["openings"]:
        closet = stands_in.get(opening.switch, "")
        if opening.closet and closet and opening.closet != closet:
            accepted = f"expected {closet}, where switch {opening.switch} is, or another switch"
            yield record.problem("closet", opening.closet, accepted)


def _segment_ends(good: Rows) -> Iterator[Problem]:
    seen: dict[frozenset[str], RawRecord] = {}
    for segment, record in good["pathway_segments"]:
        first = seen.setdefault(frozenset((segment.from_node, segment.to_node)), record)
        if first is not record:
            accepted = f"expected one segment between two nodes; {first.where} is one"
            yield record.problem("to_node", segment.to_node, accepted)


def _widths(good: Rows) -> Iterator[Problem]:
    for opening, record in good["openings"]:
        if opening.width_m is None:
            continue
        if opening.leaf_width_m is not None:
            accepted = "expected the width of one leaf here or the whole opening's as width_m, not both"
            yield record.problem("leaf_width_m", opening.leaf_width_m, accepted)
        elif opening.type == "double" and opening.width_m < DOUBLE_AT_LEAST_M:
            accepted = (
                f"expected the width of both leaves together, at least {DOUBLE_AT_LEAST_M:g} m; "
                "the width of one leaf is stated as leaf_width_m"
            )
            yield record.problem("width_m", opening.width_m, accepted)


def _leaves(good: Rows) -> Iterator[Problem]:
    for opening, record in good["openings"]:
        if opening.mullion and opening.type != "double":
            yield record.problem("mullion", "yes", f"expected no, or none: a {opening.type} opening has one leaf")
        if not opening.inactive_leaf:
            continue
        if opening.type != "double":
            accepted = f"expected none: a {opening.type} opening has one leaf"
            yield record.problem("inactive_leaf", opening.inactive_leaf, accepted)
        elif opening.lock_count > 1:
            accepted = "expected none where each leaf has a lock; or lock_count 1"
            yield record.problem("inactive_leaf", opening.inactive_leaf, accepted)


def _capitals(good: Rows, stock: Stock) -> Iterator[Problem]:
    """Names that differ by capitals only are one name to a reader, and one file name on many computers."""
    shipped = {"parts": stock.parts, "cable_types": stock.cable_types}
    for table in _READ_BY_PEOPLE:
        column = "mark" if table == "openings" else "id"
        first = {item.id.casefold(): (item.id, "what ships with riserkit") for item in shipped.get(table, ())}
        for made, record in good[table]:
            name = getattr(made, column)
            other, where = first.setdefault(name.casefold(), (name, str(record.where)))
            if other != name:
                yield record.problem(column, name, f"expected more than capitals to tell it from {other} in {where}")
