"""A page of a print as text, to be kept: it is smaller than the drawing, and read in a tenth of the time."""

from __future__ import annotations

import json
import zlib
from base64 import b85decode, b85encode
from collections.abc import Callable
from typing import Any, Final

from riserkit.drawings.prints.pdf import Drawn, PdfPage, PdfPen, Shape, Strokes, Words

_KINDS: Final[dict[str, Callable[..., Drawn]]] = {"pen": PdfPen, "strokes": Strokes, "shape": Shape, "words": Words}
_NAMES: Final[dict[object, str]] = {kind: name for name, kind in _KINDS.items()}


def packed(page: PdfPage) -> str:
    """A page of a drawing, on which no photograph stands, as text."""
    told = [page.name, page.width_mm, page.height_mm, [[_NAMES[type(item)], *item] for item in page.drawn]]
    return b85encode(zlib.compress(json.dumps(told).encode(), 1)).decode()


def unpacked(text: str) -> PdfPage:
    """The page of a text."""
    name, width_mm, height_mm, drawn = json.loads(zlib.decompress(b85decode(text)))
    return PdfPage(name, width_mm, height_mm, tuple([_KINDS[kind](*map(_tuples, values)) for kind, *values in drawn]))


def _tuples(value: Any) -> Any:
    return tuple([_tuples(one) if type(one) is list else one for one in value]) if type(value) is list else value
