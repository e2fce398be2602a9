"""Outlines in plan as Well-Known Text (OGC Simple Features 06-103r4), checked as they are read."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import AfterValidator, StringConstraints

_FAR_M = 10_000_000
# Nothing else is handed to the parser, which would follow nested collections until the stack ends.
_POLYGON = re.compile(r"\s*(?:MULTI)?POLYGON\b[\w\s().,+\-]*", re.IGNORECASE | re.ASCII)
_EXPECTED = "expected an outline in metres such as POLYGON ((0 0, 5 0, 5 4, 0 4, 0 0))"


def _polygon(text: str) -> str:
    import numpy as np  # noqa: PLC0415  both take longer to load than most sites take to read
    import shapely  # noqa: PLC0415

    if not _POLYGON.fullmatch(text):
        raise ValueError(_EXPECTED)
    try:
        with np.errstate(invalid="ignore"):
            shape = shapely.from_wkt(text)
    except shapely.errors.ShapelyError as error:
        raise ValueError(f"{_EXPECTED}; {str(error).splitlines()[0][:120]}") from None
    corners_m = shapely.get_coordinates(shape)
    if not len(corners_m):
        raise ValueError(_EXPECTED)
    if not (abs(corners_m) <= _FAR_M).all():  # nor is that true of what is not finite
        raise ValueError(f"{_EXPECTED}, within {_FAR_M} m of the origin")
    return text


OutlineWkt = Annotated[str, StringConstraints(min_length=1, max_length=200_000), AfterValidator(_polygon)]
