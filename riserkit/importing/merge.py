"""Three ways into one: what was imported last, what is imported now, and what the user made of it since.

A cell that the user changed stays. A cell that only the document changed follows it. A cell that both changed stays, and is
asked. A row that the documents no longer have is marked, never taken out; one that the user took out stays out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal

from riserkit.importing.facts import At
from riserkit.importing.last import LastCell, LastImport, LastRow
from riserkit.importing.link import Links, link_mine, link_theirs
from riserkit.importing.names import unlike
from riserkit.importing.row import ImportedCell, Row
from riserkit.importing.rows import REMARKS, Imported
from riserkit.importing.seen_from import seen_from
from riserkit.importing.texts import EditableTable, Line, new_table, same_value
from riserkit.model.tables import fields_of

ChangeKind = Literal[
    "new", "changed", "moved", "widened", "renamed", "missing", "conflict", "kept", "taken out", "left out", "back"
]
KEYS: Final[Mapping[str, str]] = {
    "levels": "id", "rooms": "id", "openings": "mark", "pathway_nodes": "id", "pathway_segments": "id",
}  # fmt: skip
MISSING: Final = "missing from the documents"
GONE: Final = "(missing)"
"""In the record, the remark that marks a row which the documents no longer have."""
_PARTED: Final = "; "


@dataclass(frozen=True, slots=True)
class RowChange:
    """One thing that differs from the last import.

    Args of note:
        was: what was imported last; `yours`: what stands in the table; `now`: what the document says now.
    """

    kind: ChangeKind
    table: str
    key: str
    column: str = ""
    was: str = ""
    yours: str = ""
    now: str = ""
    at: str = ""


@dataclass(slots=True)
class Merged:
    """Tables as they are to be written, what changed, and the record for the next time."""

    tables: dict[str, EditableTable]
    changes: list[RowChange] = field(default_factory=list)
    last: LastImport = field(default_factory=LastImport)
    left_out: list[Row] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Sources:
    """The documents of this import: by name `list` or `drawn`, and their digests."""

    kinds: Mapping[str, str]
    digests: Mapping[str, str]

    def kind(self, document: str) -> str:
        """Of a document, the kind of its cells."""
        return self.kinds.get(document, "drawn")


def merge(
    imported: Imported,
    mine: Mapping[str, EditableTable],
    last: LastImport,
    sources: Sources,
    others: Sequence[str] = (),
) -> Merged:
    """Merge an import into the tables of a site.

    Args:
        imported: what the documents say now.
        mine: the site's tables as they stand.
        last: what was imported last.
        sources: the documents of this import.
        others: every cell of the site's other tables, in which the key of a row may be named.
    """
    merged = Merged(dict(mine), left_out=list(imported.left_out))
    tables: dict[str, tuple[LastRow, ...]] = dict(last.tables)
    named = {cell for cell in others if cell}
    for table in ("levels", "rooms", "walls", "openings", "pathway_nodes", "pathway_segments"):
        rows, known = imported.tables.get(table, ()), last.tables.get(table, ())
        if table == "walls":
            tables[table] = _walls(merged, rows, known, sources)
        elif rows or known:
            tables[table] = _Table(merged, table, rows, known, last, sources, named).run()
    listed = last.is_listed or "list" in sources.kinds.values()
    merged.last = LastImport({n: r for n, r in tables.items() if r}, {**last.documents, **sources.digests}, listed)
    return merged


class _Table:
    """One table's merge."""

    def __init__(
        self, merged: Merged, table: str, rows: Sequence[Row], known: Sequence[LastRow], last: LastImport, sources: Sources,
        named: set[str],
    ) -> None:  # fmt: skip
        self.merged, self.table, self.known, self.sources, self.named = merged, table, known, sources, named
        self.key = KEYS[table]
        self.renamed: dict[int, tuple[Line, str]] = {}
        self.own_cells: set[tuple[int, str]] = set()
        self.own_remarks: dict[int, set[str]] = {}
        self.text = merged.tables.get(table)
        mine = [] if self.text is None else list(self.text.rows())
        self.mine_of: Mapping[int, Line] = {} if self.text is None else link_mine(self.text, mine, known, self.key)
        self.links: Links = link_theirs(rows, known)
        self.rows = list(rows)
        self.kept_out = last.is_listed and "list" not in sources.kinds.values() and table == "openings"
        linked = {id(line) for line in self.mine_of.values()}
        self.own = {self.text.get(line, self.key): line for line in mine if id(line) not in linked} if self.text else {}

    def merged_cells(self, row: Row, before: LastRow | None) -> dict[str, LastCell]:
        """The row's cells for the record; a cell that a list gave is not given up to what a plan says."""
        now = {c: LastCell(x.text, self.sources.kind(x.at.document)) for c, x in row.cells.items()}
        for column, cell in before.cells.items() if before else ():
            unsaid = column == REMARKS and column not in now and self._says(cell)
            if column != GONE and not unsaid and (column not in now or self._outranked(cell, now[column])):
                now[column] = cell
        return now

    def run(self) -> tuple[LastRow, ...]:
        """Merge, and return the record for the next time."""
        record: list[LastRow] = []
        before_of = {n: self.known[b] for n, b in self.links.known_of.items()}
        for n, row in enumerate(self.rows):
            before = before_of.get(n)
            line = self.mine_of.get(self.links.known_of[n]) if before is not None else None
            if line is None and before is None:
                line = self.own.pop(row.key, None)
            if before is None and line is None and self.kept_out:
                self.merged.left_out.append(row)
                self._change("left out", row.key, at=str(_at(row)))
                continue
            if line is None and before is not None:
                self._change("taken out", before.key, now=row.key, at=str(_at(row)))
                record.append(LastRow(row.key, row.identity, self.merged_cells(row, before)))
                continue
            if line is None:
                key = self._add(row)
                record.append(LastRow(key, row.identity, self.merged_cells(row, None)))
                continue
            record.append(self._merge_row(row, line, before))
        matched = set(self.links.known_of.values())
        for b, before in enumerate(self.known):
            if b not in matched:
                record.append(self._gone(before, self.mine_of.get(b)))
        self._without_doubles()
        return tuple(record)

    def _add(self, row: Row) -> str:
        """Add a row, and return its name: another than the document's where a row of the user's has that."""
        if self.text is None:
            # What every row needs has a column even where no document fills it: there the user does.
            names = [
                n for n, f in fields_of(self.table).items() if f.required or any(n in one.cells for one in self.rows)
            ]
            self.text = self.merged.tables[self.table] = new_table(self.table, names)
        taken = self._names()
        key = unlike(row.key, taken)
        self.text.add({column: key if column == self.key else cell.text for column, cell in row.cells.items()})
        self._change("new", key, now=row.key, at=str(_at(row)))
        if key != row.key:
            self._change("conflict", key, self.key, "", row.key, key, str(_at(row)))
        return key

    def _merge_row(self, row: Row, line: Line, before: LastRow | None) -> LastRow:
        text = self.text
        if text is None:
            raise ValueError("a row without its table")
        theirs = dict(row.cells)
        if self.table == "openings":
            theirs = seen_from(theirs, row, text.get(line, "secured_side_deg"), before)
        now = self.merged_cells(Row(row.key, theirs, row.identity), before)
        moved: dict[str, str] = {}
        for column, cell in theirs.items():
            was = before.cells.get(column) if before else None
            if was is not None and self._outranked(was, LastCell(cell.text, self.sources.kind(cell.at.document))):
                continue
            if column == REMARKS:
                # What another kind of document said, such as the model's id of a door that a list names too, stays.
                self._remarks(line, cell.text, was.text if was and self._says(was) else "")
            else:
                self._cell(line, column, cell, was.text if was else None, moved)
        if before is not None:
            was = before.cells.get(REMARKS)
            if was is not None and REMARKS not in theirs and self._says(was):
                self._remarks(line, "", was.text)
            if GONE in before.cells:
                self._remarks(line, "", before.cells[GONE].text)
                self._change("back", row.key, at=str(_at(row)))
        for column, was_text in moved.items():
            self._told(row, line, column, was_text)
        return LastRow(row.key, row.identity, self._of_documents(now, line, before))

    def _of_documents(self, now: dict[str, LastCell], line: Line, before: LastRow | None) -> dict[str, LastCell]:
        """The cells for the record, without those that the user wrote."""
        for column in [c for c in now if (id(line), c) in self.own_cells]:
            was = before.cells.get(column) if before is not None else None
            if was is not None:
                now[column] = was
            else:
                del now[column]
        if REMARKS in now and (own := self.own_remarks.get(id(line))):
            text = _PARTED.join(part for part in now[REMARKS].text.split(_PARTED) if part not in own)
            now[REMARKS] = replace(now[REMARKS], text=text)
        return now

    def _outranked(self, was: LastCell, now: LastCell) -> bool:
        return was.kind == "list" and now.kind == "drawn"

    def _cell(
        self,
        line: Line,
        column: str,
        cell: ImportedCell,
        was: str | None,
        moved: dict[str, str],
    ) -> None:
        text = self.text
        if text is None:
            return
        facts, unit = fields_of(self.table).get(column), text.columns.get(column, (0, ""))[1]
        yours, now = text.get(line, column), cell.text
        key = text.get(line, self.key)
        if same_value(facts, yours, now, unit):
            if yours and (was is None or not same_value(facts, yours, was, unit)):
                # The user wrote it first; that the document says the same now does not make it the document's.
                self.own_cells.add((id(line), column))
            return
        if was is None and not yours:
            text.put(line, column, now)
            moved[column] = ""
        elif was is not None and (same_value(facts, yours, was, unit)):
            if column == self.key and yours in self.named:
                self._change("conflict", key, column, was, yours, now, str(cell.at))
                return
            text.put(line, column, now)
            moved[column] = was
            if column == self.key:
                self.renamed[id(line)] = (line, yours)
        elif was is not None and same_value(facts, was, now):
            self._change("kept", key, column, was, yours, now, str(cell.at))
        else:
            self._change("conflict", key, column, was or "", yours, now, str(cell.at))

    def _told(self, row: Row, line: Line, column: str, was: str) -> None:
        text = self.text
        now = text.get(line, column) if text else ""
        kind: ChangeKind = "changed"
        if column == self.key:
            kind = "renamed"
        elif column in ("x_m", "y_m", "level"):
            kind = "moved"
        elif column in ("width_m", "leaf_width_m"):
            kind = "widened"
        self._change(
            kind, row.key, column, was, "", now, str(row.cells[column].at if column in row.cells else _at(row))
        )

    def _says(self, was: LastCell) -> bool:
        """Whether the documents of now would say again what a cell of the last import says."""
        kinds = set(self.sources.kinds.values())
        return was.kind in kinds and (was.kind == "list" or "list" not in kinds)

    def _remarks(self, line: Line, now: str, was: str) -> None:
        """Remarks are a list: what the document adds is added, what it no longer says goes, all else stays."""
        text = self.text
        if text is None:
            return
        yours = text.get(line, REMARKS)
        old, new = (list(filter(None, whole.split(_PARTED))) for whole in (was, now))
        written = list(filter(None, yours.split(_PARTED)))
        # As of other cells: what the user wrote first does not become the document's when it says the same.
        self.own_remarks.setdefault(id(line), set()).update(part for part in new if part in written and part not in old)
        kept = [part for part in written if part not in old or part in new]
        # What the user took out of the remarks does not come back.
        kept += [part for part in new if part not in kept and part not in old]
        said = _PARTED.join(kept)
        if said != yours and (yours or said):
            text.put(line, REMARKS, said)

    def _gone(self, before: LastRow, line: Line | None) -> LastRow:
        """A row that no document has now: marked where it should have been, and kept either way."""
        kinds = {cell.kind for cell in before.cells.values()}
        level = before.text("level") or ""
        shown = {cell.text for row in self.rows for name, cell in row.cells.items() if name == "level"}
        is_drawn = "drawn" in kinds and "drawn" in self.sources.kinds.values() and (level in shown or not level)
        is_listed = "list" in kinds and "list" in self.sources.kinds.values()
        if line is None or not (is_drawn or is_listed) or (self.table == "levels"):
            return before
        if GONE in before.cells:
            return before
        names = ", ".join(sorted(self.sources.kinds)).replace(";", ",")[:200]
        self._change("missing", before.key, at=names)
        mark = f"{MISSING} ({names}): confirm whether it is taken out"
        if self.table == "openings":
            self._remarks(line, mark, "")
        return LastRow(
            before.key, before.identity, {**before.cells, GONE: LastCell(mark, "list" if is_listed else "drawn")}
        )

    def _names(self) -> dict[str, list[Line]]:
        found: dict[str, list[Line]] = {}
        for line in self.text.rows() if self.text else ():
            found.setdefault(self.text.get(line, self.key) if self.text else "", []).append(line)
        return found

    def _without_doubles(self) -> None:
        """A new name that another row has already is not given; it is asked instead."""
        while self.text is not None and self.renamed:
            names = self._names()
            bad = [(line, was) for line, was in self.renamed.values() if len(names[self.text.get(line, self.key)]) > 1]
            if not bad:
                return
            for line, was in bad:
                now = self.text.get(line, self.key)
                self.text.put(line, self.key, was)
                del self.renamed[id(line)]
                self.merged.changes = [
                    c
                    for c in self.merged.changes
                    if (c.kind, c.table, c.was, c.now) != ("renamed", self.table, was, now)
                ]
                self._change("conflict", was, self.key, was, was, now)

    def _change(
        self, kind: ChangeKind, key: str, column: str = "", was: str = "", yours: str = "", now: str = "", at: str = ""
    ) -> None:
        self.merged.changes.append(RowChange(kind, self.table, key, column, was, yours, now, at))


def _at(row: Row) -> At:
    return next(iter(row.cells.values())).at


def _walls(merged: Merged, rows: Sequence[Row], known: Sequence[LastRow], sources: Sources) -> tuple[LastRow, ...]:
    """Walls have no names: those of the last import that the user left alone give way to those of now, level by level."""
    if not rows:
        return tuple(known)
    text = merged.tables.get("walls") or new_table("walls", ["level", "outline_wkt"])
    shown = {row.cells["level"].text for row in rows}
    old = {row.key for row in known if row.text("level") in shown}
    new = {row.key: row for row in rows}
    there: set[str] = set()
    for line in list(text.rows()):
        key = f"{text.get(line, 'level')} {text.get(line, 'outline_wkt')}"
        there.add(key)
        if key in old and key not in new:
            text.drop(line)
            merged.changes.append(
                RowChange("changed", "walls", text.get(line, "level"), "outline_wkt", key[:60], "", "gone")
            )
    for key, row in new.items():
        if key not in there and key not in old:
            text.add({column: cell.text for column, cell in row.cells.items()})
            merged.changes.append(RowChange("new", "walls", row.cells["level"].text, at=str(_at(row))))
    merged.tables["walls"] = text
    elsewhere = [row for row in known if row.text("level") not in shown]
    now = [
        LastRow(k, "", {c: LastCell(x.text, sources.kind(x.at.document)) for c, x in r.cells.items()})
        for k, r in new.items()
    ]
    return (*elsewhere, *now)
