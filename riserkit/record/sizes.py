"""How large a picture is, read off its head: the picture itself is not unpacked."""

from __future__ import annotations

import io
import warnings

from PIL import Image, UnidentifiedImageError


def pixels(data: bytes) -> tuple[int, int]:
    """Width and height in pixels; noughts where the picture's format cannot be read."""
    try:
        with warnings.catch_warnings():
            # of a size that would fill the memory; it is only read off here
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data)) as picture:
                return picture.size
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return 0, 0
