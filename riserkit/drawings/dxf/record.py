"""The record in a drawing of what riserkit drew there: without it, what a drafter deletes could not be told from new.

It stands as an XRECORD in the drawing's root dictionary, a few dozen characters for each entity, in drawing order.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from hashlib import blake2b
from typing import Any, Final, NamedTuple

from ezdxf.document import Drawing
from ezdxf.lldxf.types import DXFTag

from riserkit.drawings.dxf.marks import fingerprint, read_mark
from riserkit.drawings.dxf.text import shown_text

RECORD: Final = "RISERKIT_DRAWN"
MODEL: Final = "m"
PAPER: Final = "p"
_SUBJECT, _ENTITIES, _BLOCK, _SIZE, _QUESTION = 2, 1, 3, 4, 6
_LINE: Final = 240
"""Bytes of one string of a record that every program takes."""


class Drawn(NamedTuple):
    """One entity as riserkit drew it.

    `key` is that of its mark. `content` is a digest of its words, whatever its place; empty without any.
    """

    key: str
    space: str
    kind: str
    model_id: str
    fingerprint: str
    content: str = ""


@dataclass(frozen=True)
class DrawnRecord:
    """What riserkit drew in a drawing.

    Args:
        drawn: entities in drawing order.
        blocks: digests of block definitions by name.
        paper: its size.
        questions: what the sheet asks of a drafter, by key of the thing: which kind of question it is.
    """

    drawn: tuple[Drawn, ...] = ()
    blocks: Mapping[str, str] = field(default_factory=dict)
    paper: str = ""
    questions: Mapping[str, str] = field(default_factory=dict)


def content_of(entity: Any) -> str:
    """Four hex digits over an entity's words, empty for what has none."""
    kind = entity.dxftype()
    if kind == "INSERT":
        words = [entity.dxf.name, *(part for a in entity.attribs for part in (a.dxf.tag, a.dxf.text))]
    elif kind in ("TEXT", "MTEXT", "DIMENSION"):
        words = [entity.text if kind == "MTEXT" else entity.dxf.get("text", "")]
    else:
        return ""
    return blake2b("\n".join(words).encode("utf-8", "replace"), digest_size=2).hexdigest()


def block_print(block: Iterable[Any]) -> str:
    """A digest of a block's definition."""
    return blake2b(" ".join(fingerprint(e) for e in block).encode(), digest_size=8).hexdigest()


def paper_print(paper: Any) -> str:
    """The size of a layout's paper."""
    return f"{paper.dxf.paper_width:.1f} x {paper.dxf.paper_height:.1f}"


def take_stock(doc: Drawing, paper: Any) -> DrawnRecord:
    """What stands in a drawing that riserkit has just drawn."""
    drawn = [
        Drawn(mark.key, space, entity.dxftype(), mark.model_id, mark.fingerprint, content_of(entity))
        for space, layout in ((MODEL, doc.modelspace()), (PAPER, paper))
        for entity in layout
        if (mark := read_mark(entity)) is not None
    ]
    blocks = {b.name: block_print(b) for b in doc.blocks if not b.name.startswith("*")}
    return DrawnRecord(tuple(drawn), dict(sorted(blocks.items())), paper_print(paper))


def digest_of(record: DrawnRecord) -> str:
    """A digest of all that is drawn: equal digests, equal drawings, wherever the handles stand."""
    lines = [f"{d.space} {d.kind} {d.model_id} {d.fingerprint}" for d in record.drawn]
    lines += [f"{name} {digest}" for name, digest in record.blocks.items()]
    return blake2b("\n".join([record.paper, *lines]).encode(), digest_size=8).hexdigest()


def write_record(doc: Drawing, record: DrawnRecord) -> None:
    """Put a record into a drawing, in the place of the one that is there."""
    found = doc.rootdict.get(RECORD)
    kept: Any = found if _is_record(found) else doc.rootdict.add_xrecord(RECORD)
    kept.reset(list(_tags(record)))


def read_record(doc: Drawing) -> DrawnRecord | None:
    """The record of a drawing; None when it has none, or one that another program spoilt."""
    found: Any = doc.rootdict.get(RECORD)
    if not _is_record(found):
        return None
    try:
        return _parsed([(int(tag.code), str(tag.value)) for tag in found.tags])
    except ValueError:
        return None


def _is_record(found: Any) -> bool:
    return hasattr(found, "dxftype") and found.dxftype() == "XRECORD"


def _tags(record: DrawnRecord) -> Iterator[DXFTag]:
    yield DXFTag(_SIZE, record.paper)
    for name, digest in record.blocks.items():
        yield DXFTag(_BLOCK, f"{digest} {name}")
    for key, kind in record.questions.items():
        yield DXFTag(_QUESTION, f"{kind} {key}")
    subject, line = "", ""
    for drawn in record.drawn:
        here = f"{drawn.space} {drawn.model_id}"
        word = f"{drawn.kind}:{drawn.key}:{drawn.fingerprint}:{drawn.content}"
        if here != subject or len(line) + len(word) >= _LINE:
            if line:
                yield DXFTag(_ENTITIES, line)
            line = ""
        if here != subject:
            yield DXFTag(_SUBJECT, here)
            subject = here
        line = f"{line} {word}" if line else word
    if line:
        yield DXFTag(_ENTITIES, line)


def _parsed(tags: Iterable[tuple[int, str]]) -> DrawnRecord:
    drawn: list[Drawn] = []
    blocks: dict[str, str] = {}
    questions: dict[str, str] = {}
    paper, space, model_id = "", MODEL, ""
    for code, value in tags:
        if code == _SIZE:
            paper = value
        elif code == _BLOCK:
            digest, _, name = value.partition(" ")
            blocks[name] = digest
        elif code == _QUESTION:
            asked, _, key = value.partition(" ")
            questions[key] = asked
        elif code == _SUBJECT:
            space, _, model_id = value.partition(" ")
        elif code == _ENTITIES:
            for word in value.split():
                kind, key, digest, content = word.split(":")
                drawn.append(Drawn(key, space, kind, model_id, digest, content))
    return DrawnRecord(tuple(drawn), blocks, paper, questions)


def told(entity: Any) -> str:
    """An entity in words, for a report: what it says and where it stands."""
    kind = entity.dxftype()
    if kind in ("TEXT", "MTEXT"):
        text = entity.plain_text()
        return f"the text {_short(text)} at {_place(entity.dxf.insert)}"
    if kind == "INSERT":
        values = ", ".join(f"{a.dxf.tag} {_short(a.dxf.text)}" for a in entity.attribs if a.dxf.text.strip())
        return f"the symbol {entity.dxf.name} at {_place(entity.dxf.insert)}" + (f" with {values}" if values else "")
    point = next((entity.dxf.get(name) for name in ("start", "center", "defpoint") if entity.dxf.hasattr(name)), None)
    if point is None and kind == "LWPOLYLINE" and len(entity):
        point = entity[0]
    return _NOUNS.get(kind, f"a {kind}") + (f" at {_place(point)}" if point is not None else "")


_NOUNS: Final = {
    "LINE": "a line",
    "LWPOLYLINE": "a polyline",
    "CIRCLE": "a circle",
    "ARC": "an arc",
    "HATCH": "a filling",
    "DIMENSION": "a dimension",
    "VIEWPORT": "the view",
    "WIPEOUT": "a mask",
}


def _short(text: str) -> str:
    plain = " ".join(shown_text(text).split())
    return repr(plain if len(plain) <= 60 else plain[:59] + "…")


def _place(point: Any) -> str:
    return f"({round(float(point[0]), 1) + 0:g}, {round(float(point[1]), 1) + 0:g})"
