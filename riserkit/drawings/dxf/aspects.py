"""What can be told apart of a drawn entity: where it stands, its shape about that point, its look, and its words.

A drafter may change one of them and the design another, and both changes then stand. Lengths count to a thousandth of a
unit and DXF's defaults are filled in, so that a program that writes numbers its own way changes nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from hashlib import blake2b
from typing import Any, Final, NamedTuple

from ezdxf.entities.dxfentity import DXFEntity

from riserkit.drawings.dxf.wrapped_text import unwrapped

Own = Mapping[str, Any]
"""The attributes that an entity has of its own, as the library keeps them; asking it for each is slow."""
Point = tuple[float, float]
AS_LAYER: Final = {"color": 256, "linetype": "BYLAYER", "lineweight": -1, "true_color": None, "invisible": 0}
"""What of an entity's look is as its layer has it, by attribute."""
_HALF: Final = 0.5001
"""Halves of a thousandth go up, whatever the last bit says."""


class Aspects(NamedTuple):
    """One entity.

    Args:
        at: where it stands.
        shape: a digest of its outline about that point, its size, angle and style, and of its block.
        look: a digest of layer, colour, line type and weight, and of codes that set the whole of a paragraph otherwise.
        words: a digest of its text; of a block reference, one for each attribute by tag.
    """

    at: Point
    shape: str
    look: str
    words: tuple[tuple[str, str], ...] = ()


class _Parts(NamedTuple):
    """What the aspects are made of: place, numbers and names of the shape, words by tag, and more of its look."""

    at: Point
    shape: Sequence[object]
    words: Sequence[tuple[str, str]] = ()
    look: Sequence[str] = ()


def kind_of(entity: DXFEntity) -> str:
    """Type of an entity; what another DXF version has for it counts as the same."""
    kind = entity.dxftype()
    return "LWPOLYLINE" if kind == "POLYLINE" else kind


def aspects_of(entity: DXFEntity) -> Aspects:
    """The aspects of an entity as it is.

    Raises:
        ValueError, OverflowError: it stands at a place that is no number.
    """
    kind, own = kind_of(entity), vars(entity.dxf)
    (x, y), shape, words, look = _PARTS.get(kind, _nowhere)(entity, own)
    return Aspects(
        (_rounded(x) / 1000, _rounded(y) / 1000),
        _shape_digest(kind, *shape),
        _digest_of_many("|".join([*_look(own), *look])),
        tuple([(tag, _digest(text)) for tag, text in words]),
    )


def place_words(aspects: Aspects) -> str:
    """Place, shape and look in one line."""
    (x, y), shape, look, _ = aspects
    return f"{x + 0:.3f} {y + 0:.3f} {shape} {look}"


def fingerprint_of(aspects: Aspects) -> str:
    """Sixteen hex digits over all of them."""
    text = f"{place_words(aspects)} {aspects.words}"
    return blake2b(text.encode("utf-8", "replace"), digest_size=8).hexdigest()


def _digest(text: str) -> str:
    return blake2b(text.encode("utf-8", "replace"), digest_size=4).hexdigest()


_digest_of_many = lru_cache(maxsize=4096)(_digest)
"""For what many entities share: the same look."""


@lru_cache(maxsize=4096, typed=True)
def _shape_digest(kind: str, *shape: object) -> str:
    """Of letters set alike and lines of one length there are many. A number says another thing as a float than as an integer."""
    return _digest("|".join([kind, *(str(_rounded(p)) if type(p) is float else str(p) for p in shape)]))


def _rounded(value: float) -> int:
    return math.floor(value * 1000 + _HALF)


def _look(own: Own) -> list[str]:
    """Layer, and whatever of colour, line type and weight is not as the layer has it."""
    words = [own.get("layer", "0")]
    if own.keys().isdisjoint(AS_LAYER):
        return words
    for name, default in AS_LAYER.items():
        value = own.get(name, default)
        if value != default and str(value).upper() != str(default).upper():
            words.append(f"{name} {value}")
    return words


def _xy(point: Any) -> Point:
    return float(point[0]), float(point[1])


def _about(at: Point, points: Iterable[Point]) -> list[float]:
    return [v for x, y in points for v in (x - at[0], y - at[1])]


def _nowhere(_: Any, _own: Own) -> _Parts:
    return _Parts((0.0, 0.0), ())


def _line(e: Any, _: Own) -> _Parts:
    at = _xy(e.dxf.start)
    return _Parts(at, _about(at, [_xy(e.dxf.end)]))


def _circle(e: Any, _: Own) -> _Parts:
    return _Parts(_xy(e.dxf.center), (float(e.dxf.radius),))


def _arc(e: Any, _: Own) -> _Parts:
    return _Parts(_xy(e.dxf.center), (float(e.dxf.radius), float(e.dxf.start_angle), float(e.dxf.end_angle)))


def _lwpolyline(e: Any, own: Own) -> _Parts:
    if e.dxftype() == "POLYLINE":
        vertices = [(*_xy(v.dxf.location), float(v.dxf.get("bulge", 0))) for v in e.vertices]
        closed, width = bool(e.is_closed), float(own.get("default_start_width", 0))
    else:
        vertices = [(x, y, bulge) for x, y, _, _, bulge in e.lwpoints.values.tolist()]
        closed, width = bool(e.closed), float(own.get("const_width", 0))
    if not vertices:
        return _Parts((0.0, 0.0), ())
    at = vertices[0][:2]
    return _Parts(at, [v for x, y, bulge in vertices for v in (x - at[0], y - at[1], bulge)] + [closed, width])


def text_anchor(e: Any, own: Own) -> Point:
    """Where a line of text is held; its other point is recomputed by every program from its own font."""
    plain = (own.get("halign", 0), own.get("valign", 0)) == (0, 0)
    return _xy(e.dxf.insert if plain else own.get("align_point", e.dxf.insert))


def _setting(own: Own) -> tuple[object, ...]:
    """How a line of text is set: alignment, style, slant and angle."""
    return (
        own.get("halign", 0), own.get("valign", 0), own.get("style", "Standard").upper(), float(own.get("oblique", 0)),
        float(own.get("rotation", 0)),
    )  # fmt: skip


def _text(e: Any, own: Own) -> _Parts:
    size = float(e.dxf.height), float(own.get("width", 1))
    return _Parts(text_anchor(e, own), (*_setting(own), *size), [("", e.dxf.text)])


def _attdef(e: Any, own: Own) -> _Parts:
    parts = _text(e, own)
    return parts._replace(shape=(e.dxf.tag, *parts.shape))


def _mtext(e: Any, own: Own) -> _Parts:
    size = float(e.dxf.char_height), float(own.get("width", 0)), float(e.get_rotation())
    spacing = float(own.get("line_spacing_factor", 1))
    shape = (*size, spacing, own.get("attachment_point", 1), own.get("style", "Standard").upper())
    before, words, after = unwrapped(e.text)
    return _Parts(_xy(e.dxf.insert), shape, [("", words)], [before + after] if before + after else [])


def _insert(e: Any, own: Own) -> _Parts:
    at = _xy(e.dxf.insert)
    shape: list[object] = [e.dxf.name, float(own.get("xscale", 1)), float(own.get("yscale", 1))]
    shape += [float(own.get("rotation", 0)), own.get("column_count", 1), own.get("row_count", 1)]
    words = []
    for attrib in e.attribs:
        its = vars(attrib.dxf)
        shape += [attrib.dxf.tag, *_look(its), *_about(at, [text_anchor(attrib, its)]), *_setting(its)]
        # a long value is set smaller: its size goes with its words
        size = f"{float(attrib.dxf.height):.3f} {float(its.get('width', 1)):.3f}"
        words.append((attrib.dxf.tag, f"{size} {attrib.dxf.text}"))
    return _Parts(at, shape, words)


def _hatch(e: Any, _: Own) -> _Parts:
    paths = [[_xy(v) for v in getattr(path, "vertices", ())] for path in e.paths]
    at = next((path[0] for path in paths if path), (0.0, 0.0))
    return _Parts(at, [e.dxf.pattern_name, *(v for path in paths for v in _about(at, path))])


def _dimension(e: Any, own: Own) -> _Parts:
    # what it says is part of it: its picture would have to be drawn anew
    at = _xy(e.dxf.defpoint2)
    points = (_xy(e.dxf.defpoint), _xy(e.dxf.defpoint3))
    return _Parts(at, [*_about(at, points), float(own.get("angle", 0)), own.get("text", "")])


def _wipeout(e: Any, _: Own) -> _Parts:
    corners = [_xy(p) for p in e.boundary_path_wcs()]
    at = corners[0] if corners else (0.0, 0.0)
    return _Parts(at, _about(at, corners))


def _viewport(e: Any, _: Own) -> _Parts:
    dxf = e.dxf
    sizes = (float(dxf.width), float(dxf.height), float(dxf.view_height))
    return _Parts(_xy(dxf.center), (*sizes, *_xy(dxf.view_center_point)))


_PARTS: Final[dict[str, Callable[[Any, Own], _Parts]]] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _arc,
    "LWPOLYLINE": _lwpolyline,
    "TEXT": _text,
    "ATTDEF": _attdef,
    "MTEXT": _mtext,
    "INSERT": _insert,
    "HATCH": _hatch,
    "DIMENSION": _dimension,
    "VIEWPORT": _viewport,
    "WIPEOUT": _wipeout,
}
