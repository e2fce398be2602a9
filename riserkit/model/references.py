"""What records say of each other: dangling references, duplicates, parts and cable types of the wrong kind."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from riserkit.model.problems import Problem, shorten
from riserkit.model.records import listed_names
from riserkit.model.run_ends import run_problems
from riserkit.model.stock import Stock

if TYPE_CHECKING:
    from riserkit.model.raw import RawRecord

Rows = Mapping[str, Sequence[tuple[Any, "RawRecord"]]]

_OPENING_PARTS: Final[Mapping[str, tuple[str, ...]]] = {
    "lock": ("strike", "electromagnetic-lock", "electrified-exit-device", "electrified-latch"),
    "controller": ("controller",),
    "contact": ("door-contact",),
    "rex": ("rex-sensor",),
    "release": ("release-button",),
    "relay": ("relay",),
    "splitter": ("splitter",),
    "suppressor": ("diode", "varistor", "transient-suppressor"),
    "reader_in": ("reader",),
    "reader_out": ("reader",),
    "fire_relay": ("fire-alarm-relay",),
}
_INFO_PARTS: Final[Mapping[str, tuple[str, ...]]] = {
    "relay": ("relay",),
    "voltage_relay": ("relay",),
    "splitter": ("splitter",),
    "release": ("release-button",),
    "diode": ("diode",),
    "suppressor": ("varistor", "transient-suppressor"),
    "door_supply_12": ("dc-supply",),
    "door_supply_24": ("dc-supply",),
}
_COPPER: Final = ("control", "category")
_OPENING_CABLES: Final[Mapping[str, tuple[str, ...]]] = {
    "horizontal_cable": ("category",),
    **dict.fromkeys(("lock_cable", "contact_cable", "rex_cable"), _COPPER),
}
_INFO_CABLES: Final[Mapping[str, tuple[str, ...]]] = {
    **_OPENING_CABLES,
    "backbone_cable": ("category", "optical"),
    **dict.fromkeys(("relay_cable", "reader_cable", "release_cable", "fire_cable"), _COPPER),
}

# which kinds of part and of cable type may stand in which table's columns
PART_KINDS: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = {
    "info": _INFO_PARTS,
    "openings": _OPENING_PARTS,
    "supplies": {"part": ("dc-supply",)},
}
CABLE_KINDS: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = {
    "info": _INFO_CABLES,
    "openings": _OPENING_CABLES,
    "closets": {"backbone_cable": ("category", "optical")},
}

# table -> column -> table it points into
REFERENCES: Final[Mapping[str, Mapping[str, str]]] = {
    "info": dict.fromkeys(_INFO_PARTS, "parts") | dict.fromkeys(_INFO_CABLES, "cable_types"),
    "levels": {"building": "buildings"},
    "closets": {"level": "levels", "fed_from": "closets", "backbone_cable": "cable_types"},
    "switches": {"closet": "closets", "ups": "upses"},
    "upses": {"closet": "closets"},
    "supplies": {"part": "parts", "closet": "closets", "opening": "openings"},
    "pathway_nodes": {"level": "levels"},
    "pathway_segments": {"from_node": "pathway_nodes", "to_node": "pathway_nodes"},
    "runs": {"cable_type": "cable_types"},
    "reels": {"cable_type": "cable_types"},
    "rooms": {"level": "levels"},
    "walls": {"level": "levels"},
    "confirmations": {"opening": "openings"},
    "openings": {"level": "levels", "closet": "closets", "switch": "switches", "supply": "supplies"}
    | dict.fromkeys(_OPENING_PARTS, "parts")
    | dict.fromkeys(_OPENING_CABLES, "cable_types"),
}

# table -> column that lists several -> table whose rows it names; `none` names no row
LISTS: Final[Mapping[str, Mapping[str, str]]] = {
    "openings": {"interlocked_with": "openings"},
    "supplies": {"minus_joined": "supplies"},
}

# what must be unique in a table: the last column, among records that agree in the ones before it
_UNIQUE: Final[Mapping[str, tuple[str, ...]]] = {
    **dict.fromkeys(
        ("buildings", "levels", "closets", "switches", "supplies", "upses", "pathway_nodes", "pathway_segments", "cable_types",
         "parts", "runs", "reels", "rooms"), ("id",)
    ),
    "openings": ("mark",),
    "issued_labels": ("kind", "subject"),
    "confirmations": ("opening", "condition"),
    "revisions": ("index",),
}  # fmt: skip
_ALL_TOLD: Final = 5
_CLOSE_SEARCHES: Final = 200
_CLOSE_AMONG: Final = 2000


def reference_problems(good: Rows, refused: Mapping[str, Sequence[RawRecord]], stock: Stock) -> Iterator[Problem]:
    """Every problem between records.

    Args:
        good: by table, `info` included, the records that are well in themselves and where each comes from.
        refused: by table the others. They still count as known, or each mention of them would be reported as dangling;
            and what they refer to is looked up too, so that all problems show at once.
        stock: parts and cable types that may be used without being stated.
    """
    rows = {table: _all_rows(table, good[table], refused[table]) for table in good}
    named = {table: {str(getattr(made, _key(table), "")) for made, _ in found} for table, found in rows.items()}
    known = {table: set(names) for table, names in named.items()}
    known["parts"] |= {p.id for p in stock.parts}
    known["cable_types"] |= {c.id for c in stock.cable_types}
    parts = {**{p.id: p for p in stock.parts}, **{made.id: made for made, _ in good["parts"]}}
    cables = {**{c.id: c for c in stock.cable_types}, **{made.id: made for made, _ in good["cable_types"]}}
    offers = _Offers(known, {"parts": _by_kind(parts), "cable_types": _by_kind(cables)})
    yield from _duplicates(rows)
    yield from _dangling(rows, offers)
    yield from _kinds(rows, PART_KINDS, parts, "part")
    yield from _kinds(rows, CABLE_KINDS, cables, "cable type")
    yield from run_problems(good, known, offers, parts)


def _key(table: str) -> str:
    return "mark" if table == "openings" else "id"


class _Refused:
    """What a refused record refers to, as the input has it."""

    def __init__(self, table: str, record: RawRecord) -> None:
        columns = {*REFERENCES.get(table, ()), *_UNIQUE.get(table, ())}
        for name in columns:
            value = record.values.get(name, "")
            setattr(self, name, value.strip() if isinstance(value, str) else shorten(value))


def _all_rows(
    table: str, good: Sequence[tuple[Any, RawRecord]], refused: Sequence[RawRecord]
) -> Sequence[tuple[Any, RawRecord]]:
    if not refused:
        return good
    rows = [*good, *((_Refused(table, record), record) for record in refused)]
    return sorted(rows, key=lambda row: row[1].where)


def _by_kind(items: Mapping[str, Any]) -> Mapping[str, set[str]]:
    found: dict[str, set[str]] = {}
    for name, item in items.items():
        found.setdefault(item.kind, set()).add(name)
    return found


class _Offers:
    """Says what would be accepted in place of a dangling reference: names of the kinds that the column takes."""

    def __init__(self, known: Mapping[str, set[str]], kinds: Mapping[str, Mapping[str, set[str]]]) -> None:
        self.known = known
        self._kinds = kinds
        self._sorted: dict[tuple[str, tuple[str, ...]], list[str]] = {}
        self._made: dict[tuple[str, str, tuple[str, ...]], str] = {}

    def __call__(self, value: str, target: str, kinds: tuple[str, ...] = ()) -> str:
        """The names closest to `value`, else the first few; of these kinds, where the target has kinds."""
        key = (value, target, kinds)
        if key not in self._made:
            self._made[key] = self._offer(*key)
        return self._made[key]

    def _offer(self, value: str, target: str, kinds: tuple[str, ...]) -> str:
        what, names = target.replace("_", " "), self._names(target, kinds)
        of = f" of kind {' or '.join(kinds)}" if kinds else ""
        if not names:
            return f"expected one of the {what}{of}, but there are none"
        if len(names) == 1:
            return f"expected {names[0]}, the only one of the {what}{of}"
        if len(names) <= _ALL_TOLD:
            return f"expected one of the {what}{of}: {', '.join(names)}"
        if len(names) == 1:
            return f"expected {names[0]}, the only one of the {what}{of}"
        if len(names) <= _ALL_TOLD:
            return f"expected one of the {what}{of}: {', '.join(names)}"
        # Looking for close names takes milliseconds among thousands; a list that is wrong throughout must not take hours.
        close = []
        if len(self._made) < _CLOSE_SEARCHES:
            close = difflib.get_close_matches(value, names[:_CLOSE_AMONG], n=3, cutoff=0.5)
        return f"expected one of the {len(names)} {what}{of}, such as {', '.join(close or names[:5])}"

    def _names(self, target: str, kinds: tuple[str, ...]) -> list[str]:
        if (target, kinds) not in self._sorted:
            by_kind = self._kinds.get(target, {})
            names = set().union(*(by_kind.get(kind, set()) for kind in kinds)) if kinds else self.known[target]
            self._sorted[target, kinds] = sorted(names - {""})
        return self._sorted[target, kinds]


def _duplicates(rows: Rows) -> Iterator[Problem]:
    for table, columns in _UNIQUE.items():
        first: dict[tuple[object, ...], RawRecord] = {}
        for made, record in rows[table]:
            key = tuple(getattr(made, column) for column in columns)
            if key[-1] in {"", None}:
                continue
            if key in first:
                accepted = f"expected a {columns[-1]} of its own; {first[key].where} has this one"
                yield record.problem(columns[-1], key[-1], accepted)
            first.setdefault(key, record)


def _dangling(rows: Rows, offers: _Offers) -> Iterator[Problem]:
    for table, columns in REFERENCES.items():
        kinds = {**PART_KINDS.get(table, {}), **CABLE_KINDS.get(table, {})}
        for made, record in rows[table]:
            for column, target in columns.items():
                value = getattr(made, column)
                if value and value not in offers.known[target]:
                    yield record.problem(column, value, offers(value, target, kinds.get(column, ())))
    for table, columns in LISTS.items():
        for made, record in rows[table]:
            for column, target in columns.items():
                for value in listed_names(str(getattr(made, column, ""))):
                    if value != "none" and value not in offers.known[target]:
                        yield record.problem(column, value, offers(value, target))


def _kinds(
    rows: Rows, allowed_kinds: Mapping[str, Mapping[str, tuple[str, ...]]], known: Mapping[str, Any], what: str
) -> Iterator[Problem]:
    for table, columns in allowed_kinds.items():
        for made, record in rows[table]:
            for column, allowed in columns.items():
                item = known.get(getattr(made, column))
                if item is not None and item.kind not in allowed:
                    accepted = f"expected a {what} of kind {' or '.join(allowed)}; this one is of kind {item.kind}"
                    yield record.problem(column, item.id, accepted)
