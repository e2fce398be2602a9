"""Rooms of a plan: closed outlines with their texts inside, or the texts alone."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

import shapely
from shapely import STRtree

from riserkit.importing.facts import At, RoomFact
from riserkit_dxf_plan.layers import is_of_door_tags
from riserkit_dxf_plan.pieces import Outline, Pieces, PlanText, Point

_NUMBER = re.compile(r"(?:RM\.?|ROOM|NO\.?|#)?\s*((?:[A-Z]{1,3}[-.]?)?\d{1,5}(?:[.\-]\d{1,4})*[A-Z]?)", re.IGNORECASE)
_WITHIN = re.compile(
    r"(?:(?:Raum|R[AÄ]UM|Room|RM\.?|Pièce|Piece|Local|Sala?)\s+(?=\S*\d))?(.*?)\s*\b((?:[A-Z]{1,2}[-.]?)?(?:\d{3,4}|\d{1,2}[.\-]\d{1,3})[A-Z]?)\b\s*(.*)",
    re.IGNORECASE,
)
"""A number of a room in one line with its name: three digits and more, or parted by a dot; `Bedroom 2` is a name."""
_AREA = re.compile(
    r"[\d.,]+\s*(?:SF|S\.F\.|SQ\.?\s*FT\.?|m²|m2|qm|SM)\.?|(?:AREA|NRF|F)\s*[:=]?\s*[\d.,]+.*", re.IGNORECASE
)
_SIZE = re.compile(r"\d+'.*x.*\d+.*|[\d.,]+\s*[x×]\s*[\d.,]+.*", re.IGNORECASE)
_WORDS: Final = (
    "room", "rm", "office", "corridor", "hall", "hallway", "lobby", "entry", "entrance", "vestibule", "stair", "stairs", "kitchen", "bath",
    "bathroom", "bedroom", "bed", "living", "dining", "garage", "closet", "storage", "stor", "toilet", "restroom", "wc", "janitor", "mech",
    "mechanical", "electrical", "elec", "telecom", "server", "conference", "conf", "meeting", "reception", "waiting", "break", "copy",
    "lounge", "utility", "util", "laundry", "pantry", "porch", "deck", "patio", "foyer", "den", "study", "library", "lab", "laboratory",
    "classroom", "gym", "locker", "shower", "boiler", "workshop", "archive", "file", "files", "mail", "print", "elevator", "shaft",
    "passage", "nursery", "chapel", "exam", "ward", "pharmacy", "security", "control", "mezz", "mezzanine", "courtyard", "attic",
    "büro", "buero", "flur", "küche", "bad", "lager", "technik", "treppe", "treppenhaus", "raum", "bureau", "couloir", "cuisine",
    "great", "master", "family", "toil", "lav", "w.i.c.", "wic", "data", "idf", "mdf", "comms", "plant", "suite", "studio", "unit",
    "store", "icu",
    "empfang", "diele", "eingang", "halle", "werkstatt", "abstellraum", "besprechung", "edv", "keller",
    "salle", "accueil", "sanitaires", "circulation", "réserve", "chambre", "séjour", "entrée", "dégagement", "sas", "palier",
    "despacho", "pasillo", "aseo", "sala", "vestíbulo", "recepción", "almacén", "cocina", "aula", "escalera", "cpd", "archivo", "oficina",
    "ufficio", "corridoio", "bagno", "ingresso", "magazzino", "cucina", "scala", "aula",
    "kontor", "korridor", "kök", "förråd", "mötesrum", "entré", "trapphus", "hall", "städ", "kapprum",
    "kantoor", "gang", "keuken", "berging", "vergaderruimte", "toilet", "trappenhuis",
)  # fmt: skip
_NOT_ROOMS: Final = frozenset(
    {"door", "doors", "window", "wall", "walls", "overhead", "precast", "plan", "see", "typ", "note", "notes"}
)
_OF_STOREY: Final = (
    r"(?:ground|first|second|third|fourth|fifth|upper|lower|\d+\.?(?:st|nd|rd|th|er|[èe]me)?|rdc"
    r"|erd|ober|unter|keller|baja|eg|og)"
)
_TITLE: Final = re.compile(
    rf".*\b(?:plan|grundriss|plattegrond|planritning|pianta)\b.*|.*\b1\s*(?::\s*\d{{2,4}}|/\s*(?:20|25|50|100|200|500))\b.*"
    rf"|(?:(?:floor|level|lvl|storey|story|{_OF_STOREY}?geschoss|niveau|[ée]tage|planta|piso|nivel|plan|r\s?[+-]|{_OF_STOREY})[\s.:\-]*)+",
    re.IGNORECASE,
)
"""What is drawn and at which scale: the title of a plan names no room of it."""
_MOST_WORDS: Final = 3
_MOST_CHARS: Final = 30
_LEAST_M2: Final = 0.6
_MOST_M2: Final = 20_000.0


def rooms_of(pieces: Pieces, roles: Mapping[str, str], unit_m: float, document: str) -> Iterator[RoomFact]:
    """The rooms of a plan, in metres.

    Args:
        pieces: of the drawing.
        roles: what each layer holds.
        unit_m: metres of a unit.
        document: the file's name.
    """
    labels = [*_labels(pieces, roles), *_tag_blocks(pieces)]
    outlines = _outlines(pieces, roles, unit_m, [at for at, *_ in labels])
    shapes = [shapely.Polygon(outline.points) for outline in outlines]
    tree = STRtree(shapes) if shapes else None
    inside: dict[int, list[tuple[Point, str, str, str]]] = {}
    for label in labels:
        found = (
            [int(n) for n in tree.query(shapely.Point(label[0]), predicate="intersects")] if tree is not None else []
        )
        if found:
            # Of outlines within outlines the smallest is the room's.
            inside.setdefault(min(found, key=lambda n: shapes[n].area), []).append(label)
        else:
            spot, number, name, handle = label
            if name:
                point = (spot[0] * unit_m, spot[1] * unit_m)
                yield RoomFact(At(document, f"text {handle}"), handle, "", number, name, point)
    for n, outline in enumerate(outlines):
        texts = inside.get(n, [])
        stands_on_rooms = roles.get(outline.layer) == "rooms"
        if not texts and not stands_on_rooms:
            continue
        number = next((number for _, number, _, _ in texts if number), "")
        name = " ".join(dict.fromkeys(name for _, _, name, _ in texts if name))
        points = tuple((x * unit_m, y * unit_m) for x, y in outline.points)
        inner = shapes[n].representative_point()
        at = At(document, f"layer {outline.layer}, handle {outline.handle}")
        yield RoomFact(at, outline.handle, "", number, name, (inner.x * unit_m, inner.y * unit_m), points)


def may_be_names(pieces: Pieces, roles: Mapping[str, str]) -> list[PlanText]:
    """Texts like names of rooms in words that nobody here knows; where some are known, of the layers on which those stand."""
    found = []
    known = {word.layer for word in pieces.words if _may_name(word, roles)}
    for word in pieces.words:
        text = " ".join(word.text.split())
        letters = re.findall(r"[^\W\d_]{3,}", text)
        if (
            roles.get(word.layer) in ("texts", "")
            and (not known or word.layer in known)
            and 1 <= len(letters) <= _MOST_WORDS
            and len(text) <= _MOST_CHARS
            and not any(letter.casefold() in _NOT_ROOMS for letter in letters)
            and not is_of_door_tags(word.layer, roles)
            and not _TITLE.fullmatch(text)
            and not _may_name(word, roles)
        ):
            found.append(word)
    return found


def _outlines(pieces: Pieces, roles: Mapping[str, str], unit_m: float, labels: Sequence[Point]) -> list[Outline]:
    """Closed outlines that may be rooms: those on layers of rooms; where there are none, any that is as large and holds a text."""
    fitting = []
    for outline in pieces.outlines:
        role = roles.get(outline.layer, "")
        if role in ("walls", "doors", "ignore"):
            continue
        shape = shapely.Polygon(outline.points)
        if shape.is_valid and _LEAST_M2 <= shape.area * unit_m**2 <= _MOST_M2:
            fitting.append((outline, role))
    own = [outline for outline, role in fitting if role == "rooms"]
    if own:
        return own
    points = shapely.points(labels) if labels else []
    tree = STRtree(points) if len(labels) else None
    return [
        o
        for o, _ in fitting
        if tree is not None and 1 <= len(tree.query(shapely.Polygon(o.points), predicate="contains")) <= 6
    ]


def _tag_blocks(pieces: Pieces) -> Iterator[tuple[Point, str, str, str]]:
    """Tags of rooms that are blocks, with number and name as attributes."""
    for insert in pieces.inserts:
        tags = dict(insert.attributes)
        is_room = re.search(r"room|space|area|raum|rm[-_ ]?tag", insert.name, re.IGNORECASE) or any(
            "ROOM" in tag for tag in tags
        )
        if not tags or not is_room or re.search(r"door", insert.name, re.IGNORECASE):
            continue
        number = next(
            (t for tag, t in tags.items() if re.search(r"NUM|NO\b|NR|_NO|^NUMBER|ID$", tag) and _NUMBER.fullmatch(t)),
            "",
        )
        name = next((t for tag, t in tags.items() if "NAME" in tag or "DESC" in tag), "")
        if not name:
            name = next(
                (t for t in tags.values() if t != number and not _AREA.fullmatch(t) and re.search(r"[A-Za-z]{2}", t)),
                "",
            )
        if number or name:
            yield insert.at, number, name, insert.handle


def _labels(pieces: Pieces, roles: Mapping[str, str]) -> Iterator[tuple[Point, str, str, str]]:
    """Where a room is named: place, number, name and handle; lines that stand below each other are one."""
    chosen = [word for word in pieces.words if _may_name(word, roles)]
    chosen.sort(key=lambda w: (-w.at[1], w.at[0]))
    groups: list[list[PlanText]] = []
    cell = 4 * max((w.height for w in chosen), default=1.0) or 1.0
    grid: dict[tuple[int, int], list[list[PlanText]]] = {}
    for word in chosen:
        x, y = math.floor(word.at[0] / (3 * cell)), math.floor(word.at[1] / cell)
        near = [g for i in (x - 1, x, x + 1) for j in (y, y + 1) for g in grid.get((i, j), ())]
        group = next((g for g in near if _belongs(g[-1], word)), None)
        if group is None:
            group = []
            groups.append(group)
        group.append(word)
        grid.setdefault((x, y), []).append(group)
    for group in groups:
        lines = [line.strip() for word in group for line in word.text.splitlines() if line.strip()]
        lines = [line for line in lines if not _AREA.fullmatch(line) and not _SIZE.fullmatch(line)]
        number = next((found[1] for line in lines if (found := _NUMBER.fullmatch(line))), "")
        name = " ".join(line for line in lines if not _NUMBER.fullmatch(line))
        if not number and (led := re.match(r"([A-Z]{0,2}\d{2,4}[A-Z]?)[\s:\-]+(.+)", name)):
            number, name = led[1], led[2]
        if not number and (within := _WITHIN.fullmatch(name)) and (rest := " ".join(filter(None, within.group(1, 3)))):
            number, name = within[2], rest
        if number or name:
            at = (sum(w.at[0] for w in group) / len(group), sum(w.at[1] for w in group) / len(group))
            yield at, number, name, group[0].handle


def _belongs(above: PlanText, word: PlanText) -> bool:
    high = max(above.height, word.height)
    lines = 1 + word.text.count("\n") + above.text.count("\n")
    return (
        above.layer == word.layer
        and 0 <= above.at[1] - word.at[1] <= 2.4 * high * max(1.0, lines * 0.75)
        and abs(above.at[0] - word.at[0]) <= 5.0 * high
        and above.is_underlined >= word.is_underlined
    )


def _may_name(word: PlanText, roles: Mapping[str, str]) -> bool:
    """Whether a text may name a room: its layer says so, it is underlined, or it speaks of one."""
    text = " ".join(word.text.split())
    role = roles.get(word.layer, "")
    if len(text) > 60 or role in ("ignore", "doors") or is_of_door_tags(word.layer, roles):
        return False
    letters = re.findall(r"[^\W\d_]+\.?(?:[^\W\d_]\.)*", text.casefold())
    if any(word.strip(".") in _NOT_ROOMS for word in letters) or (letters and _TITLE.fullmatch(text)):
        return False
    if role == "rooms":
        return True
    if not letters or len(letters) > 5:
        return False
    if word.is_underlined:
        return not text.endswith(":")
    return len(letters) <= 3 and any(word.strip(".") in _WORDS or word in _WORDS for word in letters)
