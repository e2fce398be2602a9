"""Which of many shapes meet, a few at a time: thousands on one spot take no memory, and no more time than can be had."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

import numpy as np
import shapely

from riserkit.drawings.dxf.errors import ContentError
from riserkit.drawings.legibility.values import Shapes

MOST_PAIRS: Final = 2_000_000
_AT_ONCE: Final = 64


def meeting(tree: shapely.STRtree, shapes: Any) -> Iterator[tuple[int, int]]:
    """Every shape with each of the tree's that it shares a point with, as indices in ascending order.

    Raises:
        ContentError: more than `MOST_PAIRS` do, as no drawing that can be read has it.
    """
    found: Shapes = np.asarray(shapes, dtype=object)
    count = 0
    for start in range(0, len(found), _AT_ONCE):
        first, second = tree.query(found[start : start + _AT_ONCE], predicate="intersects")
        count += len(first)
        if count > MOST_PAIRS:
            raise ContentError(f"more than {MOST_PAIRS} times something of it stands on something else")
        order = np.lexsort((second, first))
        yield from zip((first[order] + start).tolist(), second[order].tolist(), strict=True)
