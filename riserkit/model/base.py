"""What every model value is made of: frozen records and the field types that read quantities."""

from __future__ import annotations

import math
import re
import unicodedata
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints, WithJsonSchema

from riserkit.quantities.stated import EXAMPLES, parse_gauge, parse_quantity, parse_share

_ID_RULE = r"^[A-Za-z0-9][A-Za-z0-9_.\-]*$"
_MARK_RULE = re.compile(r"^[^\W_](?:[\w .\-]*[\w])?$")
MARK_MAX_CHARS = 24
_BREAKING = frozenset({"Cc", "Zl", "Zp"})
# What makes text read otherwise than it is written (Unicode Standard Annex 9, explicit directional formatting), and the
# byte-order mark that stays in the middle when files are joined.
_UNSEEN = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")


class FieldError(ValueError):
    """What is wrong with a record as a whole, named at one of its columns."""

    def __init__(self, column: str, wanted: str) -> None:
        super().__init__(wanted)
        self.column = column


class Record(BaseModel):
    """One row of a table: frozen, and a field that it does not know is an error, never ignored."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)


def _quantity(suffix: str) -> Any:
    def read(value: object) -> float:
        return parse_quantity(value, suffix)

    schema = {
        "anyOf": [{"type": "number"}, {"type": "string"}],
        "description": f"a number in the unit of the field's name, or text with a unit: {EXAMPLES[suffix]}",
    }
    return BeforeValidator(read), WithJsonSchema(schema)


def plain_text(value: object) -> object:
    """Text as it is kept: numbers written out, no control characters, one spelling of each accent."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        # Asked of a whole number with hundreds of digits, `isfinite` itself fails.
        if isinstance(value, float) and not math.isfinite(value):
            raise ValueError("expected text or a finite number")
        value = f"{value:g}" if isinstance(value, float) else str(value)
    if not isinstance(value, str) or (value.isascii() and value.isprintable()):
        return value
    # Printable text has no control characters, and asking for that is quick.
    if not value.isprintable() and any(unicodedata.category(ch) in _BREAKING or ch in _UNSEEN for ch in value):
        raise ValueError("expected text without control characters or line breaks, and without signs that turn writing")
    # An accent typed with its letter or after it makes the same mark: some systems write one, some the other.
    return unicodedata.normalize("NFC", value)


def _mark(value: object) -> object:
    value = plain_text(value)
    if not isinstance(value, str):
        return value
    text = value.strip()
    if len(text) > MARK_MAX_CHARS:
        raise ValueError(f"expected at most {MARK_MAX_CHARS} characters, this has {len(text)}")
    if not _MARK_RULE.match(text):
        bad = sorted({ch for ch in text if not (ch.isalnum() or ch in " ._-")})
        seen = f" without {' '.join(bad)}" if bad else ""
        raise ValueError(f"expected letters, digits, space, '.', '-' or '_'{seen}, such as 101A or S-2.1")
    return text


# Bounds are those of plausibility for a building or a campus, wide enough never to stand in an honest user's way.
# Coordinates may be those of a survey's grid: metres from the equator and from a meridian (UTM, up to 10,000 km).
Coordinate = Annotated[float, *_quantity("m"), Field(ge=-10_000_000, le=10_000_000)]
Elevation = Annotated[float, *_quantity("m"), Field(ge=-1000, le=6000)]
Height = Annotated[float, *_quantity("m"), Field(ge=-50, le=500)]
"""Above a floor; below it, as of a conduit in the ground, with a minus."""
Length = Annotated[float, *_quantity("m"), Field(ge=0, le=10_000)]
CableLength = Annotated[float, *_quantity("m"), Field(gt=0, le=10_000)]
SmallLength = Annotated[float, *_quantity("m"), Field(gt=0, le=20)]
Diameter = Annotated[float, *_quantity("m"), Field(gt=0, le=0.2)]
Volts = Annotated[float, *_quantity("v"), Field(gt=0, le=1000)]
VoltsRead = Annotated[float, *_quantity("v"), Field(ge=0, le=1000)]
"""What a meter shows: a dead supply shows none."""
Amps = Annotated[float, *_quantity("a"), Field(ge=0, le=200)]
CoilAmps = Annotated[float, *_quantity("a"), Field(gt=0, le=200)]
Watts = Annotated[float, *_quantity("w"), Field(ge=0, le=100_000)]
Ohms = Annotated[float, *_quantity("ohm"), Field(gt=0, le=1e6)]
Henries = Annotated[float, *_quantity("h"), Field(gt=0, le=100)]
Seconds = Annotated[float, *_quantity("s"), Field(ge=0, le=86_400)]
AmpHours = Annotated[float, *_quantity("ah"), Field(gt=0, le=10_000)]
Joules = Annotated[float, *_quantity("j"), Field(gt=0, le=100_000)]
Celsius = Annotated[float, *_quantity("c"), Field(ge=-60, le=100)]
Hours = Annotated[float, Field(gt=0, le=1000)]
WattHours = Annotated[float, Field(gt=0, le=1_000_000)]
_SHARE: Any = (
    BeforeValidator(parse_share),
    WithJsonSchema({
        "anyOf": [{"type": "number", "minimum": 0, "maximum": 1}, {"type": "string"}],
        "description": "a fraction of one, or text in per cent, as 0.15 or 15 %",
    }),
)  # fmt: skip
Fraction = Annotated[float, Field(gt=0, le=1), *_SHARE]
Tolerance = Annotated[float, Field(ge=0, lt=1), *_SHARE]
Gauge = Annotated[
    str, BeforeValidator(parse_gauge), WithJsonSchema({"type": "string", "examples": ["18 AWG", "0.75 mm2"]})
]
Id = Annotated[
    str,
    BeforeValidator(plain_text),
    StringConstraints(pattern=_ID_RULE, max_length=40, strip_whitespace=True),
]
Text = Annotated[str, BeforeValidator(plain_text), StringConstraints(max_length=400)]
# As long as all that a door list may say of one door in columns of its own.
Remarks = Annotated[str, BeforeValidator(plain_text), StringConstraints(max_length=20_000)]
Mark = Annotated[
    str,
    BeforeValidator(_mark),
    WithJsonSchema({"type": "string", "maxLength": MARK_MAX_CHARS, "examples": ["101A", "S-2.1"]}),
]
# Long enough for the ends of a cable and its run, three ids, which a label's record names.
EndName = Annotated[str, BeforeValidator(plain_text), StringConstraints(min_length=1, max_length=130)]
