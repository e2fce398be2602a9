"""What only shows when records are put side by side: dangling references, duplicates, cycles."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from riserkit.model import catalogue
from riserkit.model.problems import Problem

if TYPE_CHECKING:
    from riserkit.model.assemble import RawRecord, RawSite
    from riserkit.model.site import SiteInfo

Rows = Mapping[str, Sequence[tuple[Any, "RawRecord"]]]

# table -> column -> table it points into
REFERENCES: Final[Mapping[str, Mapping[str, str]]] = {
    "levels": {"building": "buildings"},
    "closets": {"level": "levels", "fed_from": "closets", "backbone_cable": "cable_types"},
    "switches": {"closet": "closets"},
    "supplies": {"part": "parts", "closet": "closets", "opening": "openings"},
    "pathway_nodes": {"level": "levels"},
    "pathway_segments": {"from_node": "pathway_nodes", "to_node": "pathway_nodes"},
    "runs": {"cable_type": "cable_types"},
    "rooms": {"level": "levels"},
    "walls": {"level": "levels"},
    "openings": {
        "level": "levels", "closet": "closets", "switch": "switches", "supply": "supplies",
        "horizontal_cable": "cable_types", "lock_cable": "cable_types", "contact_cable": "cable_types",
        "rex_cable": "cable_types", "lock": "parts", "controller": "parts", "contact": "parts", "rex": "parts",
        "release": "parts", "relay": "parts", "splitter": "parts", "suppressor": "parts", "reader_in": "parts", "reader_out": "parts",
        "fire_relay": "parts",
    },
}  # fmt: skip

# which kinds of part may stand in which column
PART_KINDS: Final[Mapping[tuple[str, str], tuple[str, ...]]] = {
    ("openings", "lock"): ("strike", "electromagnetic-lock", "electrified-exit-device", "electrified-latch"),
    ("openings", "controller"): ("controller",),
    ("openings", "contact"): ("door-contact",),
    ("openings", "rex"): ("rex-sensor",),
    ("openings", "release"): ("release-button",),
    ("openings", "relay"): ("relay",),
    ("openings", "splitter"): ("splitter",),
    ("openings", "suppressor"): ("diode", "varistor", "transient-suppressor"),
    ("openings", "reader_in"): ("reader",),
    ("openings", "reader_out"): ("reader",),
    ("openings", "fire_relay"): ("fire-alarm-relay",),
    ("supplies", "part"): ("dc-supply",),
}
# what must be unique in a table: the last column, among records that agree in the ones before it
_UNIQUE: Final[Mapping[str, tuple[str, ...]]] = {
    **dict.fromkeys(
        ("buildings", "levels", "closets", "switches", "supplies", "pathway_nodes", "pathway_segments", "cable_types",
         "parts", "runs", "rooms"), ("id",)
    ),
    "openings": ("mark",),
    "issued_labels": ("kind", "subject"),
    "revisions": ("index",),
}  # fmt: skip
_CLOSE_SEARCHES: Final = 200
_CLOSE_AMONG: Final = 2000
DEVICES: Final = (
    "controller",
    "lock",
    "lock2",
    "contact",
    "rex",
    "release",
    "relay",
    "supply",
    "reader",
    "fire",
)


def reference_problems(info: SiteInfo, raw: RawSite, good: Rows, named: Mapping[str, set[str]]) -> Iterator[Problem]:
    """Every problem between records. `named` has the ids seen in each table, refused records included."""
    known = {table: set(names) for table, names in named.items()}
    known["parts"] |= {p.id for p in catalogue.PARTS}
    known["cable_types"] |= {c.id for c in catalogue.CABLE_TYPES}
    offers = _Offers(known)
    yield from _duplicates(good)
    yield from _dangling(good, offers)
    yield from _info_cables(info, raw, offers)
    yield from _part_kinds(good)
    yield from _run_ends(good, offers)
    yield from _closet_cycles(good)
    yield from _ports(good)
    yield from _switch_closets(good)
    yield from _segment_ends(good)


class _Offers:
    """Says what would be accepted in place of a dangling reference."""

    def __init__(self, known: Mapping[str, set[str]]) -> None:
        self.known = known
        self._sorted = {table: sorted(names - {""}) for table, names in known.items()}
        self._made: dict[tuple[str, str], str] = {}

    def __call__(self, value: str, target: str) -> str:
        """The names closest to `value`, else the first few."""
        if (value, target) not in self._made:
            self._made[value, target] = self._offer(value, target)
        return self._made[value, target]

    def _offer(self, value: str, target: str) -> str:
        what, names = target.replace("_", " "), self._sorted[target]
        if not names:
            return f"expected one of the {what}, but there are none"
        # Looking for close names takes milliseconds among thousands; a list that is wrong throughout must not take hours.
        close = []
        if len(self._made) < _CLOSE_SEARCHES:
            close = difflib.get_close_matches(value, names[:_CLOSE_AMONG], n=3, cutoff=0.5)
        return f"expected one of the {len(names)} {what}, such as {', '.join(close or names[:5])}"


def _duplicates(good: Rows) -> Iterator[Problem]:
    for table, columns in _UNIQUE.items():
        first: dict[tuple[object, ...], RawRecord] = {}
        for made, record in good[table]:
            key = tuple(getattr(made, column) for column in columns)
            if key[-1] in {"", None}:
                continue
            if key in first:
                accepted = f"expected a {columns[-1]} of its own; {first[key].where} has this one"
                yield record.problem(columns[-1], key[-1], accepted)
            first.setdefault(key, record)


def _dangling(good: Rows, offers: _Offers) -> Iterator[Problem]:
    for table, columns in REFERENCES.items():
        for made, record in good[table]:
            for column, target in columns.items():
                value = getattr(made, column)
                if value and value not in offers.known[target]:
                    yield record.problem(column, value, offers(value, target))


def _info_cables(info: SiteInfo, raw: RawSite, offers: _Offers) -> Iterator[Problem]:
    if raw.info is None:
        return
    for column in ("horizontal_cable", "backbone_cable", "lock_cable", "contact_cable", "rex_cable"):
        value = getattr(info, column)
        if value not in offers.known["cable_types"]:
            yield raw.info.problem(column, value, offers(value, "cable_types"))


def _part_kinds(good: Rows) -> Iterator[Problem]:
    kinds = {p.id: p.kind for p in catalogue.PARTS} | {made.id: made.kind for made, _ in good["parts"]}
    for (table, column), allowed in PART_KINDS.items():
        for made, record in good[table]:
            part = getattr(made, column)
            kind = kinds.get(part)
            if part and kind is not None and kind not in allowed:
                yield record.problem(column, part, f"expected a part of kind {' or '.join(allowed)}; this is a {kind}")


def _run_ends(good: Rows, offers: _Offers) -> Iterator[Problem]:
    for run, record in good["runs"]:
        for column in ("from_end", "to_end"):
            end = getattr(run, column)
            accepted = _run_end(end, offers)
            if accepted:
                yield record.problem(column, end, accepted)


def _run_end(end: str, offers: _Offers) -> str:
    """What would be accepted in place of `end`; empty when it is well."""
    mark, slash, device = end.partition("/")
    if slash:
        if mark not in offers.known["openings"]:
            return offers(mark, "openings")
        return "" if device in DEVICES else f"expected a device after '/': {', '.join(DEVICES)}"
    meant = [table for table in ("closets", "supplies", "openings") if end in offers.known[table]]
    if len(meant) > 1:
        both = " and ".join(f"one of the {table}" for table in meant)
        return f"expected a name that is only one thing; this is {both}, so rename one"
    return "" if meant else "expected a closet, a supply, an opening's mark, or MARK/device"


def _closet_cycles(good: Rows) -> Iterator[Problem]:
    fed_from = {c.id: c.fed_from for c, _ in good["closets"] if c.fed_from}
    for closet, record in good["closets"]:
        path, at = [closet.id], fed_from.get(closet.id, "")
        passed = {closet.id}
        while at and at not in passed:
            path.append(at)
            passed.add(at)
            at = fed_from.get(at, "")
        if at == closet.id:
            around = " from ".join([*path, at])
            yield record.problem("fed_from", closet.fed_from, f"expected no circle, but here it is fed {around}")


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
            accepted = f"expected {closet}, where switch {opening.switch} stands, or another switch"
            yield record.problem("closet", opening.closet, accepted)


def _segment_ends(good: Rows) -> Iterator[Problem]:
    seen: dict[frozenset[str], RawRecord] = {}
    for segment, record in good["pathway_segments"]:
        first = seen.setdefault(frozenset((segment.from_node, segment.to_node)), record)
        if first is not record:
            accepted = f"expected one segment between two nodes; {first.where} is one"
            yield record.problem("to_node", segment.to_node, accepted)
