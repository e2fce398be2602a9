"""What only shows when records are put side by side: dangling references, duplicates, cycles."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from riserkit.model import catalogue
from riserkit.model.problems import Problem, shorten

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
_UNIQUE: Final[Mapping[str, str]] = {
    t: "mark" if t == "openings" else "id"
    for t in ("buildings", "levels", "closets", "switches", "supplies", "pathway_nodes", "pathway_segments",
              "cable_types", "parts", "openings", "runs", "rooms")
}  # fmt: skip
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
    yield from _duplicates(good)
    yield from _dangling(good, known)
    yield from _info_cables(info, raw, known)
    yield from _part_kinds(good)
    yield from _run_ends(good, known)
    yield from _closet_cycles(good)
    yield from _ports(good)
    yield from _segment_levels(good)




def _duplicates(good: Rows) -> Iterator[Problem]:
    for table, column in _UNIQUE.items():
        first: dict[str, RawRecord] = {}
        for made, record in good[table]:
            key = getattr(made, column)
            if key in first:
                yield record.problem(column, key, f"expected a {column} of its own; {first[key].where} has this one")
            first.setdefault(key, record)


def _dangling(good: Rows, known: Mapping[str, set[str]]) -> Iterator[Problem]:
    for table, columns in REFERENCES.items():
        for made, record in good[table]:
            for column, target in columns.items():
                value = getattr(made, column)
                if value and value not in known[target]:
                    yield record.problem(column, value, _offer(value, target, known[target]))


def _offer(value: str, target: str, known: set[str]) -> str:
    what = target.replace("_", " ")
    if not known:
        return f"expected one of the {what}, but there are none"
    close = difflib.get_close_matches(value, sorted(known)[:2000], n=3, cutoff=0.5)
    offered = close or sorted(known)[:5]
    return f"expected one of the {len(known)} {what}, such as {', '.join(offered)}"


def _info_cables(info: SiteInfo, raw: RawSite, known: Mapping[str, set[str]]) -> Iterator[Problem]:
    if raw.info is None:
        return
    for column in ("horizontal_cable", "backbone_cable", "lock_cable", "contact_cable", "rex_cable"):
        value = getattr(info, column)
        if value not in known["cable_types"]:
            yield raw.info.problem(column, value, _offer(value, "cable_types", known["cable_types"]))


def _part_kinds(good: Rows) -> Iterator[Problem]:
    kinds = {p.id: p.kind for p in catalogue.PARTS} | {made.id: made.kind for made, _ in good["parts"]}
    for (table, column), allowed in PART_KINDS.items():
        for made, record in good[table]:
            part = getattr(made, column)
            kind = kinds.get(part)
            if part and kind is not None and kind not in allowed:
                yield _problem(
                    record, column, part, f"expected a part of kind {' or '.join(allowed)}; this is a {kind}"
                )


def _run_ends(good: Rows, known: Mapping[str, set[str]]) -> Iterator[Problem]:
    for run, record in good["runs"]:
        for column in ("from_end", "to_end"):
            end = getattr(run, column)
            mark, _, device = end.partition("/")
            if device:
                if mark not in known["openings"]:
                    yield record.problem(column, end, _offer(mark, "openings", known["openings"]))
                elif device not in DEVICES:
                    yield record.problem(column, end, f"expected a device after '/': {', '.join(DEVICES)}")
            elif end not in known["openings"] and end not in known["closets"] and end not in known["supplies"]:
                yield record.problem(column, end, "expected a closet, a supply, an opening's mark, or MARK/device")


def _closet_cycles(good: Rows) -> Iterator[Problem]:
    fed_from = {c.id: c.fed_from for c, _ in good["closets"] if c.fed_from}
    for closet, record in good["closets"]:
        seen, at = [closet.id], fed_from.get(closet.id, "")
        while at and at not in seen:
            seen.append(at)
            at = fed_from.get(at, "")
        if at == closet.id:
            around = " from ".join([*seen, at])
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
        elif switch is not None and opening.port > switch.ports:
            yield record.problem("port", opening.port, f"expected 1 to {switch.ports}; that is all {switch.id} has")
        other = taken.setdefault((opening.switch, opening.port), opening.mark)
        if opening.switch and other != opening.mark:
            yield record.problem("port", opening.port, f"expected a free port; opening {other} is on this one")


def _segment_levels(good: Rows) -> Iterator[Problem]:
    seen: dict[frozenset[str], RawRecord] = {}
    for segment, record in good["pathway_segments"]:
        ends = frozenset((segment.from_node, segment.to_node))
        first = seen.setdefault(ends, record)
        if first is not record:
            yield _problem(
                record,
                "to_node",
                segment.to_node,
                f"expected one segment between two nodes; {first.where} is one",
            )
