"""Marks on drawn entities: what each stands for, which part of it, and how it looked when it was drawn.

Every entity carries extended data under one application id: the model's id, a fingerprint, a key, and its aspects as
drawn. Drawing again, that tells apart what is ours, edited by hand, copied by hand, or a drafter's own. Handles count for
nothing: programs number them anew.
"""

from __future__ import annotations

from functools import lru_cache
from hashlib import blake2b
from typing import Any, Final, NamedTuple

from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.xdata import XData
from ezdxf.lldxf.tags import Tags
from ezdxf.lldxf.tagwriter import AbstractTagWriter
from ezdxf.lldxf.types import DXFTag

from riserkit.drawings.dxf.aspects import Aspects, aspects_of, fingerprint_of, place_words
from riserkit.drawings.dxf.errors import DrawingError

APP_ID: Final = "RISERKIT"
MAX_BYTES: Final = 255
"""Limit of one string in extended data; programs reject a drawing beyond it, no library does."""
_LEAST_VALUES: Final = 4
_WIDE: Final = {"LINE": "path", "LWPOLYLINE": "path", "POLYLINE": "path"}
"""Kinds that take one another's place: a cable is a line or a polyline, as its way has corners."""


class Mark(NamedTuple):
    """What an entity's extended data says.

    Args:
        model_id: what it stands for.
        fingerprint: of it as drawn.
        key: which of the things drawn it is, unique in a drawing: see `Keys`.
        drawn: its aspects as drawn.
    """

    model_id: str
    fingerprint: str
    key: str
    drawn: Aspects


def checked_id(model_id: str) -> str:
    """The id, when it can stand in extended data.

    Raises:
        DrawingError: it is empty, longer than 255 bytes in UTF-8, or holds characters that break a DXF line.
    """
    try:
        size = len(model_id.encode())
    except UnicodeEncodeError:
        size = MAX_BYTES + 1
    if not 0 < size <= MAX_BYTES or not model_id.isprintable():
        raise DrawingError(
            f"the id {model_id[:40]!r} cannot be written into a drawing: it must have 1 to {MAX_BYTES} bytes "
            "of printable characters; shorten the mark or name it stands for"
        )
    return model_id


class Keys:
    """Keys of the entities of one drawing: a digest of what each stands for, and a number among those alike."""

    def __init__(self) -> None:
        self._used: dict[str, int] = {}

    def next(self, thing: str, part: str, kind: str) -> str:
        """The key of one more entity.

        Args:
            thing: what it stands for, by what stays the same: terminals rather than running numbers.
            part: which part of that, such as the row and the column of a table.
            kind: its type.
        """
        stem = _stem(thing, part, _WIDE.get(kind, kind))
        number = self._used[stem] = self._used.get(stem, 0) + 1
        return f"{stem}.{number}"


@lru_cache(maxsize=4096)
def _stem(thing: str, part: str, kind: str) -> str:
    return blake2b(f"{thing}\n{part}\n{kind}".encode("utf-8", "replace"), digest_size=8).hexdigest()


def stem_of(key: str) -> str:
    """A key without its number: equal for all that stand for the same part of the same thing."""
    return key.partition(".")[0]


def register(doc: Drawing) -> None:
    """Enter the application id: programs reject drawings with extended data of an id that is not registered."""
    if APP_ID not in doc.appids:
        doc.appids.add(APP_ID)


def stamp(entity: DXFEntity, model_id: str, key: str) -> None:
    """Mark an entity as it is now. The id must have passed `checked_id`."""
    drawn = aspects_of(entity)
    set_mark(entity, Mark(model_id, fingerprint_of(drawn), key, drawn))


def set_mark(entity: DXFEntity, mark: Mark) -> None:
    """Put a mark on an entity in the place of the one that it carries."""
    if entity.xdata is None:
        entity.xdata = _OwnData(mark)
    else:
        entity.xdata.data[APP_ID] = _tags(mark)


def unmark(entity: DXFEntity) -> None:
    """Make an entity a drafter's own."""
    if entity.xdata is not None:
        entity.xdata.data.pop(APP_ID, None)


_APP_TAG: Final = DXFTag(1001, APP_ID)


def _values(mark: Mark) -> list[str]:
    """What a mark says, value by value."""
    drawn = mark.drawn
    return [*mark[:3], place_words(drawn), *[f"{digest} {tag}" for tag, digest in drawn.words]]


def _tags(mark: Mark) -> Tags:
    return Tags([_APP_TAG, *[DXFTag(1000, value) for value in _values(mark)]])


class _OwnData(XData):
    """A mark as extended data that the library takes for its own: made into tags only when somebody looks at these.

    Most sheets are drawn and written, and nobody does.
    """

    standing: Mark | None
    _data: dict[str, Tags]

    def __init__(self, mark: Mark) -> None:
        super().__init__()
        self.standing = mark

    @property
    def data(self) -> dict[str, Tags]:
        """The tags by application; whoever has looked at them may change them."""
        if self.standing is not None:
            self._data, self.standing = {APP_ID: _tags(self.standing)}, None
        return self._data

    @data.setter
    def data(self, data: dict[str, Tags]) -> None:
        self._data, self.standing = data, None

    def __len__(self) -> int:
        """How many applications have data here."""
        return 1 if self.standing is not None else len(self._data)

    def export_dxf(self, tagwriter: AbstractTagWriter) -> None:
        """Write it; what is written of ours is known to be valid, so that the library need not sift it."""
        if self.standing is not None:
            tagwriter.write_str("\n1000\n".join([f"1001\n{APP_ID}", *_values(self.standing)]) + "\n")
        else:
            tagwriter.write_str("".join([tag.dxfstr() for tags in self._data.values() for tag in tags]))


def marked_as(entity: DXFEntity) -> str:
    """What an entity stands for; empty where it carries no mark that is whole."""
    if isinstance(entity.xdata, _OwnData) and (put := entity.xdata.standing) is not None:
        return put.model_id
    values, place = _whole(entity)
    return values[0] if place is not None else ""


def _whole(entity: DXFEntity) -> tuple[list[str], tuple[tuple[float, float], str, str] | None]:
    """The values of a mark, and its place, shape and look; None in place of these where the mark is not whole."""
    tags = entity.xdata.data.get(APP_ID) if entity.xdata is not None else None
    values = [str(tag.value) for tag in tags if tag.code == 1000] if tags is not None else []
    if len(values) < _LEAST_VALUES:
        return values, None
    try:
        x, y, shape, look = values[_LEAST_VALUES - 1].split(" ")
        return values, ((float(x), float(y)), shape, look)
    except ValueError:
        return values, None


def read_mark(entity: DXFEntity) -> Mark | None:
    """The mark of an entity, None when it carries none that is whole."""
    if isinstance(entity.xdata, _OwnData) and (put := entity.xdata.standing) is not None:
        return put
    values, place = _whole(entity)
    if place is None:
        return None
    model_id, fingerprint, key, _, *rest = values
    words = tuple((tag, digest) for digest, _, tag in (value.partition(" ") for value in rest))
    return Mark(model_id, fingerprint, key, Aspects(*place, words))


def fingerprint(entity: Any) -> str:
    """Sixteen hex digits over type, look, rounded geometry and text; empty where it stands at no number."""
    try:
        return fingerprint_of(aspects_of(entity))
    except (ValueError, OverflowError):
        return ""
