"""A building model as a file: whether it is whole and of a schema that can be read, its unit, and what it refers to and lacks."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import ifcopenshell
import shapely
from ifcopenshell.util import unit as units

from riserkit.model.problems import InputError, Problem, Where

_MOST_BYTES: Final = 600_000_000
_SCHEMAS: Final = ("IFC2X3", "IFC4", "IFC4X3")
BROKEN: Final = (
    ArithmeticError, AttributeError, LookupError, RuntimeError, TypeError, ValueError, shapely.errors.ShapelyError,
)  # fmt: skip
"""What the library and what is made of its values raise where a thing is not made as the standard has it."""
_OFFSET: Final = re.compile(r"offset (\d+)")
_MISSING: Final = re.compile(r"Instance reference #(\d+) used by instance #(\d+)")
"""Words of the library's log."""


@dataclass(frozen=True, slots=True)
class ModelFile:
    """A model that was read.

    Args of note:
        file: the library's.
        scale: metres of its unit of length.
        missing: numbers of things that it refers to and does not hold, each with one that refers to it.
    """

    file: Any
    scale: float
    missing: tuple[tuple[str, str], ...]


def open_model(path: Path) -> ModelFile:
    """Read a model's file.

    Raises:
        InputError: it is none, or of a schema that cannot be read.
    """
    if path.stat().st_size > _MOST_BYTES:
        raise _refused(path, f"expected a model of at most {_MOST_BYTES // 10**6} MB")
    _check_head(path)
    ifcopenshell.get_log()  # of an earlier model
    try:
        file = ifcopenshell.open(str(path))
    except MemoryError:
        raise _refused(path, "it takes more memory to read than there is") from None
    except Exception as error:  # the library raises whatever a broken file leads it to
        at = _OFFSET.search(ifcopenshell.get_log())
        why = f"line {_line_of(path, int(at[1]))} is none of STEP" if at else f"the library: {str(error)[:80]}"
        raise _refused(path, f"expected a building model; it cannot be read ({why})") from None
    missing = tuple(dict.fromkeys(_MISSING.findall(ifcopenshell.get_log())))
    if not hasattr(file, "by_type"):
        raise _refused(path, "expected a building model in one file of STEP text")
    try:
        scale = float(units.calculate_unit_scale(file))
    except BROKEN:
        scale = math.nan
    if not (math.isfinite(scale) and scale > 0):
        raise _refused(path, "expected a model that states its unit of length; this states none that can be read")
    return ModelFile(file, scale, missing)


def _line_of(path: Path, offset: int) -> int:
    with path.open("rb") as stream:
        return stream.read(offset).count(b"\n") + 1


def _check_head(path: Path) -> None:
    """Look at the head before the library does: it says which schema this is, and a file cut short lacks its end."""
    with path.open("rb") as stream:
        head = stream.read(200_000).decode("latin-1")
        stream.seek(max(0, path.stat().st_size - 4096))
        tail = stream.read().decode("latin-1")
    if not head.lstrip("\ufeff \r\n\t").startswith("ISO-10303-21"):
        raise _refused(path, "expected a building model (it begins with ISO-10303-21); this is something else")
    found = re.search(r"FILE_SCHEMA\s*\(\s*\(\s*'([^']*)'", head, re.IGNORECASE)
    schema = found[1].upper() if found else ""
    if not schema.startswith(_SCHEMAS):
        raise _refused(
            path, f"expected schema IFC2X3, IFC4 or IFC4X3; this says {schema[:40] or 'nothing'}: have it exported anew"
        )
    if "END-ISO-10303-21" not in tail:
        raise _refused(path, "expected a whole model; it is cut short (its end is missing), so ask for it again")


def _refused(path: Path, wanted: str) -> InputError:
    return InputError([Problem(Where(path.name), "", "", wanted)])
