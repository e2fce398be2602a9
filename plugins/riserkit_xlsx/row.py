"""One row of a door list as a fact of its door."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import Final

from riserkit.importing.facts import At, DocumentNote, DoorFact
from riserkit.importing.hardware import Understood, is_nothing, is_undecided, is_yes, says_fs, understand
from riserkit.model.choices import folded
from riserkit.model.stock import SHIPPED_STOCK
from riserkit.model.tables import choices_of, fields_of
from riserkit_xlsx.blocks import ListBlock
from riserkit_xlsx.columns import fail_mode_in_column, items_of, of_the_lock, voltage_of
from riserkit_xlsx.grid import Grid, address
from riserkit_xlsx.several import counted
from riserkit_xlsx.sizes import (
    UNITS_M,
    bare_number,
    is_door_size,
    is_thousands,
    numbers_of,
    only_unit,
    read_leaves,
    read_length,
    read_size,
)

_HAND = re.compile(
    r"(?P<side>l|r)\.?\s*h\.?\s*(?P<reverse>r)?\.?\s*(?:a|b)?"
    r"|(?P<word>left|right)(?:[ -]?hand(?:ed)?)?(?P<out>[ -]?reverse)?",
    re.IGNORECASE,
)
_SEEN_FROM = re.compile(
    r"\bdin\b|links|rechts|gauche|droite|izquierda|derecha|pouss|tir|v[äa]nster|h[öo]ger|\b[gd][pt]$|: [vh]$",
    re.IGNORECASE,
)
"""Hands that are told from the side that the leaf opens to, whichever that is."""
_PAIR = re.compile(
    r"(?:2|zwei|deux|dos)[ -]?(?:fl(?:g|\.|[üu]gelig|[üu]gel)?\.?|vantaux|hojas)|doble(?: hoja)?|double vantail|par(?:d[öo]rr|h[äa]ngd)?"
    r"|2|two|double(?: (?:leaf|door|swing))?|pair|pr|dbl|d|doppel\w*|2[ -]leaf",
    re.IGNORECASE,
)
_TYPICAL_OF: Final = re.compile(r"\btyp(?:ical|\.)? (?:of|for|x) (\w+)", re.IGNORECASE)
"""How many doors a row stands for, among its remarks."""
_NO_WORDS: Final = re.compile(r"[-–—.\s]+|n\.?\s?/?\s?a\.?|n[ée]ant", re.IGNORECASE)
"""What stands in a cell so that it is not empty."""
_PAIR_REMARK = re.compile(r"(?:pr\.?|pair|double doors?|pair of doors)(?=$|[\s.,:;])", re.IGNORECASE)
_SINGLE = re.compile(
    r"(?:1|ein|un|una)[ -]?(?:fl(?:g|\.|[üu]gelig|[üu]gel)?\.?|vantail|hoja)|simple"
    r"|1|one|single(?: (?:leaf|door|swing))?|sgl|s|einfach\w*|1[ -]leaf",
    re.IGNORECASE,
)
_ITEMS = re.compile(
    r"\s*;\s*|\s+[+&]\s+|,\s+(?=[A-ZÄÖÜÉÈ]|contact|contacto|d[ée]tecteur|detector|bouton|bot[óo]n|pulsador)"
)
"""Between items of hardware that stand in one cell."""
_FROM_TO = re.compile(r"([^/>→]+?)(?:\s*(?:/|-?>|→)\s*|\s+to\s+)([^/>→]+)", re.IGNORECASE)
"""Where one comes from and where to, in one cell."""
_TWO_LEAVES: Final = re.compile(
    r"\b(?:double|pair|doppel\w*|zweifl\w*|2[ -]?(?:fl|vantaux|hojas)\w*|doble)\b", re.IGNORECASE
)
_ONE_LEAF: Final = re.compile(r"\b(?:single|einfl\w*|1[ -]?(?:fl|vantail|hoja)\w*|simple)\b", re.IGNORECASE)
_LEAST_PAIR_M: Final = 1.1
"""Wider than nearly all single leaves, and narrower than nearly all pairs (common practice, no source)."""
_NOT_OURS: Final = frozenset({"x_m", "y_m", "mark", "level"})


class RowReader:
    """Reads the rows of one table."""

    def __init__(
        self, document: str, grid: Grid, block: ListBlock, units: Mapping[str, str], notes: list[DocumentNote]
    ) -> None:
        self.document, self.grid, self.block, self.units, self.notes = document, grid, block, units, notes
        self.errors: dict[int, dict[int, str]] = {}
        for (row, column), text in grid.errors.items():
            self.errors.setdefault(row, {})[column] = text
        self.comments: dict[int, dict[tuple[int, int], str]] = {}
        for place, text in grid.comments.items():
            self.comments.setdefault(place[0], {})[place] = text
        self.readers: Mapping[str, Callable[[_Draft, str, str], bool]] = {
            "size": self._size, "width_m": self._length, "leaf_width_m": self._length, "height_m": self._length,
            "clear_width_m": self._length, "voltage": self._voltage,
            "hand": self._hand, "type": self._type, "fail_mode": self._choice, "egress": self._choice, "outdoor": self._outdoor,
        }  # fmt: skip
        self.decided = {*self.readers, "set", "fire_rating_min", "from", "to", "level"}

    def door(self, row: int) -> DoorFact:
        """What a row says of its door; what cannot be placed is in the remarks."""
        draft = _Draft(At(self.document, f"sheet {self.grid.name}, row {row}"))
        cells = self.grid.rows[row]
        wrong = self.errors.get(row, {})
        for column, meaning in self.block.meanings.items():
            if column in wrong:
                self._wrong(draft, row, column, wrong[column])
                continue
            text = cells[column] if column < len(cells) else ""
            if text and meaning in self.decided and is_undecided(text):
                draft.undecided.append((self.block.headings[column], text))
            elif text and meaning != "ignore":
                draft.cell = address(row, column)
                self._put(draft, meaning, self.block.headings[column], text)
        for (at, column), text in self.comments.get(row, {}).items():
            draft.remarks.append(f"comment at {address(at, column)}: {text}")
        for column, text in enumerate(cells):
            if text and column not in self.block.headings:
                draft.remarks.append(f"{address(row, column)}: {text}")
        self._ask_of_pair(draft)
        self._tell(draft)
        return draft.fact()

    def _tell(self, draft: _Draft) -> None:
        """Numbers that are read otherwise than their column says, each told; and what the list leaves open, asked."""
        for asks, text, remedy in draft.told:
            self.notes.append(DocumentNote("inferred", draft.at, text, remedy, asks, draft.mark))
        for asks, text in draft.left:
            remedy = "correct it in the list, or state it in openings.csv"
            self.notes.append(DocumentNote("left", draft.at, text, remedy, asks, draft.mark))
        for heading, text in draft.undecided:
            draft.remarks.append(f"{heading}: {text}")
            remedy, asks = "state it in the list or in openings.csv", "yet to be decided in the list"
            self.notes.append(DocumentNote("question", draft.at, heading, remedy, asks, draft.mark))

    def _ask_of_pair(self, draft: _Draft) -> None:
        """Of a pair as wide as one leaf the width is as likely that of a leaf: it is asked, and not taken for both."""
        width_m = draft.lengths.get("width_m")
        if draft.leaves == 2 and width_m is not None and width_m < _LEAST_PAIR_M:
            del draft.lengths["width_m"]
            draft.remarks.append(f"width: {width_m:g} m")
            text = f"door {draft.mark}: a width of {width_m:g} m of a pair may be that of one leaf; it stands in the remarks"
            self.notes.append(DocumentNote("question", draft.at, text, "state width_m or leaf_width_m in openings.csv"))

    def pieces(self, row: int) -> int | None:
        """How many doors a row says that it stands for; None where it does not."""
        column, remarks = self.block.column("pieces"), self.block.column("remarks")
        if column is not None:
            return counted(self.grid.get(row, column))
        typical = _TYPICAL_OF.search(self.grid.get(row, remarks)) if remarks is not None else None
        return counted(typical[1]) if typical else None

    def _wrong(self, draft: _Draft, row: int, column: int, text: str) -> None:
        where = f"{self.grid.name}!{address(row, column)}"
        heading = self.block.headings[column]
        what = "a formula whose value was not saved" if text.startswith("=") else "an error in place of a value"
        self.notes.append(
            DocumentNote("question", At(self.document, where), f"{heading}: {text} is {what}; the cell counts as not stated",
                 "open the list, save it with values, import it again")
        )  # fmt: skip
        draft.remarks.append(f"{heading}: {text} ({where})")
        meaning = self.block.meanings[column]
        if draft.controlled is None and (meaning in ("controlled", "set") or meaning.startswith("hardware")):
            # what it says may be the lock; a door is not left out for want of it
            draft.controlled = True

    def _put(self, draft: _Draft, meaning: str, heading: str, text: str) -> None:
        if meaning in ("mark", "level"):
            setattr(draft, meaning, text)
        elif meaning in ("set", "kind"):
            (draft.take_set if meaning == "set" else draft.take_kind)(heading, text)
        elif meaning == "controlled":
            draft.controlled = is_yes(text) or not is_nothing(text)
            if draft.controlled and not is_yes(text):
                draft.hardware.append((heading, text))
        elif meaning.startswith("hardware"):
            draft.hardware.extend(items_of(meaning, heading, text))
        elif meaning in ("from", "to"):
            draft.stated["unsecured_side" if meaning == "from" else "secured_side"] = text
            draft.inferred["sides"] = "from and to of the list"
        elif meaning == "from_to" and (ends := _FROM_TO.fullmatch(text)) is not None:
            draft.stated.update(unsecured_side=ends[1].strip(), secured_side=ends[2].strip())
            draft.inferred["sides"] = "from and to of the list"
        elif meaning == "fire_rating_min":
            draft.fire_rating = _rating(text, heading)
        elif meaning in self.readers:
            if not is_nothing(text) and not self.readers[meaning](draft, meaning, text):
                draft.leave(meaning, heading, text)
        elif (meaning in fields_of("openings") and meaning not in ("remarks", *_NOT_OURS)) or meaning in ("x_m", "y_m"):
            draft.stated[meaning] = text
        else:
            draft.take_words(meaning, heading, text)

    def _length(self, draft: _Draft, meaning: str, text: str) -> bool:
        unit = self.units.get(meaning, "")
        value_m = read_length(text, unit)
        if value_m is None:
            leaves_m = read_leaves(text, unit) if meaning != "height_m" else ()
            self._leaves(draft, "clear_width_m" if meaning == "clear_width_m" else "width_m", text, leaves_m)
            return bool(leaves_m) or self._size(draft, "size", text)
        number = bare_number(text)
        if is_thousands(text, unit):
            draft.tell_number(text, f"{value_m:g} m", unit)
        elif number is not None and not is_door_size(value_m):
            sizes: tuple[list[float], list[float]] = ([], [number]) if meaning == "height_m" else ([number], [])
            if other := only_unit(*sizes):
                value_m = read_length(text, other) or value_m
                draft.tell_unit(text, other, unit)
        draft.lengths[meaning] = value_m
        return True

    def _leaves(self, draft: _Draft, width: str, text: str, leaves_m: Sequence[float]) -> None:
        """Leaves whose widths stand in one cell; of unequal ones it is asked which has to let people through."""
        if not leaves_m:
            return
        draft.lengths[width] = round(sum(leaves_m), 9)
        draft.leaves = len(leaves_m)
        draft.inferred["leaves"] = draft.inferred[width] = f"the widths of two leaves, {text}"
        if leaves_m[0] != leaves_m[1]:
            draft.remarks.append(f"leaves: {text}")
            said = f"door {draft.mark}: its leaves are unequal ({text}), and openings.csv takes them as alike; the whole width is read"
            remedy = "state clear_width_m of the leaf that people use in openings.csv"
            self.notes.append(DocumentNote("question", draft.at, said, remedy))

    def _size(self, draft: _Draft, _meaning: str, text: str) -> bool:
        unit = self.units.get("size", "")
        size = read_size(text, unit)
        if size is None:
            return False
        widths, heights = numbers_of([text])
        if unit and widths and not all(is_door_size(value * UNITS_M[unit]) for value in (*widths, *heights)):
            other = only_unit(widths, heights)
            if other and (read := read_size(text, other)) is not None:
                size = read
                draft.tell_unit(text, other, unit)
        draft.lengths.update(
            {n: v for n, v in (("width_m", size.width_m), ("height_m", size.height_m)) if v is not None}
        )
        draft.leaves = size.leaves or draft.leaves
        self._leaves(draft, "width_m", text, size.leaves_m)
        return True

    def _hand(self, draft: _Draft, _meaning: str, text: str) -> bool:
        # Seen from outside: a left-hand door has its hinges on the left and is pushed, a reverse one is pulled; common practice.
        found = _HAND.fullmatch(text.strip())
        if found is None:
            # `2-flg.` among hands says how many leaves there are.
            return self._type(draft, _meaning, text)
        side = (found["side"] or found["word"]).lower()
        draft.stated["hinges"] = "left" if side.startswith("l") else "right"
        if found["side"] or found["out"]:
            draft.stated["swings_to"] = "unsecured" if found["reverse"] or found["out"] else "secured"
        return True

    def _type(self, draft: _Draft, _meaning: str, text: str) -> bool:
        if _PAIR.fullmatch(text.strip()):
            draft.leaves = 2
        elif _SINGLE.fullmatch(text.strip()):
            draft.leaves = 1
        else:
            return False
        return True

    def _voltage(self, draft: _Draft, _meaning: str, text: str) -> bool:
        draft.voltage = voltage_of(text)
        return bool(draft.voltage)

    def _choice(self, draft: _Draft, meaning: str, text: str) -> bool:
        if meaning == "fail_mode" and says_fs(text):
            # asked as it is asked where it stands beside the lock's other words
            draft.hardware.append(("", text))
            return True
        known = choices_of("openings").get(meaning, {}).get(folded(text))
        word = fail_mode_in_column(text) or None if meaning == "fail_mode" else known
        if word is not None:
            draft.stated[meaning] = word
        return word is not None

    def _outdoor(self, draft: _Draft, _meaning: str, text: str) -> bool:
        if is_yes(text) or folded(text).startswith(("ext", "out")):
            draft.external = True
        elif is_nothing(text) or folded(text).startswith("int"):
            draft.external = False
        else:
            return False
        return True


@lru_cache(maxsize=4096)
def _names_a_set(text: str) -> bool:
    """Whether nothing of it is understood as hardware."""
    return understand([("", text)], SHIPPED_STOCK.parts, {}) == Understood(left=(text,))


def _rating(text: str, heading: str) -> str:
    """A rating with the unit that the heading gives its number."""
    bare = re.fullmatch(r"\d+(?:[.,]\d+)?|(?:\d[ \-])?\d/\d", text.strip()) is not None
    return f"{text.strip()} h" if bare and re.search(r"\b(?:hours?|hrs?|h)\b", heading.casefold()) else text


class _Draft:
    """A door in the making."""

    def __init__(self, at: At) -> None:
        self.at = at
        self.mark = self.level = self.hardware_set = self.fire_rating = self.voltage = ""
        self.leaves: int | None = None
        self.external: bool | None = None
        self.controlled: bool | None = None
        self.lengths: dict[str, float] = {}
        self.stated: dict[str, str] = {}
        self.inferred: dict[str, str] = {}
        self.hardware: list[tuple[str, str]] = []
        self.remarks: list[str] = []
        self.cell = ""
        self.told: list[tuple[str, str, str]] = []
        self.undecided: list[tuple[str, str]] = []
        self.left: list[tuple[str, str]] = []

    def leave(self, meaning: str, heading: str, text: str) -> None:
        """Put into the remarks what is not understood."""
        self.remarks.append(f"{heading}: {text}")
        asks = f"cells of {heading} that are not understood stand in the remarks"
        if meaning == "hand" and _SEEN_FROM.search(f"{heading}: {text}"):
            asks = "hands that do not say which room they are seen from stand in the remarks"
        self.left.append((asks, f"{text[:60]!r}"))

    def tell_number(self, text: str, read: str, unit: str) -> None:
        """Say that a number with a point or comma before three digits is read as thousands."""
        asks = f"numbers of {unit} with a sign before the last three digits are read as thousands"
        self.told.append((asks, f"{self.cell}: {text} as {read}", "write the number without the sign"))

    def tell_unit(self, text: str, read: str, unit: str) -> None:
        """Say that a number is read in another unit than its column's."""
        asks = f"in {unit}, as in the rest of the column, it is the size of no door; it is read in the one unit in which it is"
        self.told.append((asks, f"{self.cell}: {text} in {read}", "write the unit into the cell"))

    def take_words(self, meaning: str, heading: str, text: str) -> None:
        """What goes to the remarks; such as begin with `Pair` say how many leaves there are."""
        if meaning == "pieces" and counted(text) == 1:
            return  # of one door it says nothing more
        if meaning in ("remarks", "") and _NO_WORDS.fullmatch(text):
            return
        self.remarks.append(text if meaning == "remarks" else f"{heading}: {text}")
        pair = _PAIR_REMARK.match(text) if meaning == "remarks" else None
        if pair is not None and self.leaves is None:
            self.leaves = 2
            self.inferred["leaves"] = f"{heading}: {pair[0]}"

    def take_set(self, _heading: str, text: str) -> None:
        """What stands in the column of hardware: the name of a set, or the hardware itself, item by item."""
        if _names_a_set(text):
            self.hardware_set = text
        elif not is_nothing(text):
            self.hardware.extend(("", item) for item in _ITEMS.split(text))

    def take_kind(self, heading: str, text: str) -> None:
        """The type of the door in the office's own words, of which only the number of leaves is plain."""
        self.remarks.append(f"{heading}: {text}")
        said = {2 for _ in _TWO_LEAVES.findall(text)} | {1 for _ in _ONE_LEAF.findall(text)}
        if len(said) == 1 and self.leaves is None:
            self.leaves = said.pop()
            self.inferred["leaves"] = f"{heading}: {text}"

    def fact(self) -> DoorFact:
        """The door."""
        width_m = self.lengths.get("width_m")
        leaf_m = self.lengths.get("leaf_width_m")
        inferred = dict(self.inferred)
        if width_m is None and leaf_m is not None:
            width_m = leaf_m * (self.leaves or 1)
            inferred["width_m"] = f"the width of {'two leaves' if self.leaves == 2 else 'one leaf'}"
        stated, remarks = dict(self.stated), list(self.remarks)
        clear_m = self.lengths.get("clear_width_m")
        if clear_m is not None and self.leaves == 2:
            # of one leaf, or of both: the list does not say
            remarks.append(f"clear width: {clear_m:g} m")
        elif clear_m is not None:
            stated["clear_width_m"] = f"{clear_m:g} m"
        return DoorFact(
            self.at, identity="", mark=self.mark, level=self.level, width_m=width_m, height_m=self.lengths.get("height_m"),
            leaves=self.leaves, external=self.external, fire_rating=self.fire_rating, stated=stated,
            hardware=of_the_lock(self.hardware, self.voltage, self.stated.get("fail_mode", "")),
            hardware_set=self.hardware_set, remarks=tuple(remarks), inferred=inferred,
            controlled=self.controlled,
        )  # fmt: skip
