"""Fire-resistance ratings of door assemblies, from the forms in which door schedules write them."""

from __future__ import annotations

import re
from typing import Annotated, Final

from pydantic import BeforeValidator, Field, WithJsonSchema

_MINUTES: Final = re.compile(r"(\d+(?:\.\d+)?)\s*(?:min|minutes?)?", re.IGNORECASE | re.ASCII)
_HOURS: Final = re.compile(r"(\d+(?:\.\d+)?)\s*(?:h|hr|hours?)", re.IGNORECASE | re.ASCII)
_FRACTION: Final = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)\s*(?:h|hr|hours?)", re.IGNORECASE | re.ASCII)
_UNRATED: Final = re.compile(r"none|n\.?r\.?|(?:not|non|un)[ -]?(?:fire[ -])?rated", re.IGNORECASE)
_WANTED: Final = "expected minutes or hours, such as 90, 90 min or 1-1/2 h; 0 for a door that is not fire-rated"


def fire_rating_min(value: object) -> object:
    """Minutes from text; what is no text is left to the model.

    Raises:
        ValueError: text in another form.

    Examples:
        >>> [fire_rating_min(text) for text in ("90", "20 min", "1.5 h", "1-1/2 h", "3/4 h")]
        [90.0, 20.0, 90.0, 90.0, 45.0]
        >>> [fire_rating_min(text) for text in ("none", "NR", "not rated", "Non-rated")]
        [0.0, 0.0, 0.0, 0.0]
    """
    if not isinstance(value, str):
        return value
    text = value.strip()
    if _UNRATED.fullmatch(text):
        return 0.0
    if minutes := _MINUTES.fullmatch(text):
        return float(minutes[1])
    if hours := _HOURS.fullmatch(text):
        return 60 * float(hours[1])
    fraction = _FRACTION.fullmatch(text)
    # 11/2 h is more likely 1-1/2 h that has lost its hyphen than five and a half hours.
    if fraction and int(fraction[2]) < int(fraction[3]):
        return 60 * (int(fraction[1] or 0) + int(fraction[2]) / int(fraction[3]))
    raise ValueError(_WANTED)


FireRating = Annotated[
    float,
    BeforeValidator(fire_rating_min),
    Field(ge=0, le=480),
    WithJsonSchema(
        {
            "anyOf": [{"type": "number", "minimum": 0, "maximum": 480}, {"type": "string"}],
            "description": "minutes, or text such as 90 min or 1-1/2 h; 0 for a door that is not fire-rated",
        }
    ),
]
