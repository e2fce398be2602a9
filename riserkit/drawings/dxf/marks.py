"""Marks on drawn entities: what each stands for, and how it looked when it was drawn.

Every entity carries extended data under one application id: the model's id, a fingerprint of geometry, look and
text, and its own handle. Drawing again, that tells apart what is ours, edited by hand, copied by hand, or a
drafter's own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from hashlib import blake2b
from typing import Any, Final, NamedTuple

from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.xdata import XData
from ezdxf.lldxf.tags import Tags
from ezdxf.lldxf.tagwriter import AbstractTagWriter
from ezdxf.lldxf.types import DXFTag

from riserkit.drawings.dxf.errors import DrawingError

APP_ID: Final = "RISERKIT"
MAX_BYTES: Final = 255
"""Limit of one string in extended data; programs reject a drawing beyond it, no library does."""

Own = Mapping[str, Any]
"""The attributes that an entity has of its own, as the library keeps them; asked for once, for each asking is slow."""


class Mark(NamedTuple):
    """What an entity's extended data says."""

    model_id: str
    fingerprint: str
    handle: str


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


def register(doc: Drawing) -> None:
    """Enter the application id: programs reject drawings with extended data of an id that is not registered."""
    if APP_ID not in doc.appids:
        doc.appids.add(APP_ID)


def stamp(entity: DXFEntity, model_id: str) -> None:
    """Mark an entity as it is now. The id must have passed `checked_id`."""
    set_mark(entity, Mark(model_id, fingerprint(entity), entity.dxf.handle))


def set_mark(entity: DXFEntity, mark: Mark) -> None:
    """Put a mark on an entity in the place of the one that it carries."""
    tags = [_APP_TAG, *[DXFTag(1000, value) for value in mark]]
    if entity.xdata is None:
        entity.xdata = _OwnData()
    entity.xdata.data[APP_ID] = Tags(tags)


_APP_TAG: Final = DXFTag(1001, APP_ID)


class _OwnData(XData):
    """Extended data of ours alone: known to be valid, so that the library need not ask each time whether to sift it."""

    def export_dxf(self, tagwriter: AbstractTagWriter) -> None:
        """Write it."""
        for tags in self.data.values():
            tagwriter.write_tags(tags)


def read_mark(entity: DXFEntity) -> Mark | None:
    """The mark of an entity, None when it carries none that is whole."""
    tags = entity.xdata.data.get(APP_ID) if entity.xdata is not None else None
    if tags is None:
        return None
    values = [str(tag.value) for tag in tags if tag.code == 1000]
    return Mark(*values) if len(values) == 3 else None


def fingerprint(entity: DXFEntity) -> str:
    """Sixteen hex digits over type, look, rounded geometry and text, with DXF's defaults filled in.

    Lengths count to a thousandth of a unit, so that a program that writes numbers its own way changes nothing.
    """
    kind, own = entity.dxftype(), entity.dxf.all_existing_dxf_attribs()
    parts = _PARTS.get(kind, _no_parts)(entity, own)
    words = ["%.3f" % part if type(part) is float else str(part) for part in parts]  # noqa: UP031 - the quickest
    # minus nought is nought
    text = "|".join((kind, *_look(own), *words)).replace("-0.000", "0.000")
    return blake2b(text.encode("utf-8", "replace"), digest_size=8).hexdigest()


def _look(own: Own) -> list[str]:
    """Layer, and whatever of colour, line type and weight is not as the layer has it."""
    words = [own.get("layer", "0")]
    if own.keys().isdisjoint(_AS_LAYER):
        return words
    for name, default in _AS_LAYER.items():
        value = own.get(name, default)
        if value != default and str(value).upper() != str(default).upper():
            words.append(f"{name} {value}")
    return words


_AS_LAYER: Final = {"color": 256, "linetype": "BYLAYER", "lineweight": -1, "true_color": None, "invisible": 0}


def _xy(point: Any) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _no_parts(_: Any, _own: Own) -> Iterable[object]:
    return ()


def _line(e: Any, _: Own) -> Iterable[object]:
    return (*_xy(e.dxf.start), *_xy(e.dxf.end))


def _circle(e: Any, _: Own) -> Iterable[object]:
    return (*_xy(e.dxf.center), float(e.dxf.radius))


def _arc(e: Any, own: Own) -> Iterable[object]:
    return (*_circle(e, own), float(e.dxf.start_angle), float(e.dxf.end_angle))


def _lwpolyline(e: Any, own: Own) -> Iterable[object]:
    points = [float(v) for x, y, _, _, bulge in e.lwpoints for v in (x, y, bulge)]
    return (*points, bool(e.closed), float(own.get("const_width", 0)))


def _text(e: Any, own: Own) -> Iterable[object]:
    dxf = e.dxf
    halign, valign = own.get("halign", 0), own.get("valign", 0)
    # the other point is recomputed by every program from its own font
    at = dxf.insert if (halign, valign) == (0, 0) else own.get("align_point", dxf.insert)
    letters = float(dxf.height), float(own.get("width", 1)), own.get("style", "Standard").upper()
    return (*_xy(at), halign, valign, *letters, float(own.get("rotation", 0)), dxf.text)


def _mtext(e: Any, own: Own) -> Iterable[object]:
    size = float(e.dxf.char_height), float(own.get("width", 0))
    return (*_xy(e.dxf.insert), *size, own.get("attachment_point", 1), e.text)


def _insert(e: Any, own: Own) -> Iterable[object]:
    dxf = e.dxf
    scales = (float(own.get("xscale", 1)), float(own.get("yscale", 1)))
    attribs: list[object] = []
    for a in e.attribs:
        its = a.dxf.all_existing_dxf_attribs()
        attribs += (a.dxf.tag, *_look(its), *_text(a, its))
    return (dxf.name, *_xy(dxf.insert), *scales, float(own.get("rotation", 0)), *attribs)


def _hatch(e: Any, _: Own) -> Iterable[object]:
    yield e.dxf.pattern_name
    for path in e.paths:
        for vertex in getattr(path, "vertices", ()):
            yield from map(float, vertex[:2])


def _dimension(e: Any, own: Own) -> Iterable[object]:
    points = (e.dxf.defpoint, e.dxf.defpoint2, e.dxf.defpoint3)
    return (*(v for p in points for v in _xy(p)), float(own.get("angle", 0)), own.get("text", ""))


def _wipeout(e: Any, _: Own) -> Iterable[object]:
    return [v for x, y in _corners(e) for v in (x, y)]


def _corners(e: Any) -> list[tuple[float, float]]:
    return [_xy(p) for p in e.boundary_path_wcs()]


def _viewport(e: Any, _: Own) -> Iterable[object]:
    dxf = e.dxf
    sizes = (float(dxf.width), float(dxf.height), float(dxf.view_height))
    return (*_xy(dxf.center), *sizes, *_xy(dxf.view_center_point))


_PARTS: Final[dict[str, Callable[[Any, Own], Iterable[object]]]] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _arc,
    "LWPOLYLINE": _lwpolyline,
    "TEXT": _text,
    "ATTDEF": lambda e, own: (e.dxf.tag, *_text(e, own)),
    "MTEXT": _mtext,
    "INSERT": _insert,
    "HATCH": _hatch,
    "DIMENSION": _dimension,
    "VIEWPORT": _viewport,
    "WIPEOUT": _wipeout,
}
