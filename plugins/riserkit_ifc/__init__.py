"""Reads building models (.ifc): IFC 2x3, 4 and 4x3. The library that opens them is an extra: `pip install riserkit[ifc]`."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from riserkit.model.problems import InputError, Problem, Where
from riserkit.plugin.hooks import hookimpl

if TYPE_CHECKING:
    from riserkit.importing.facts import Facts
    from riserkit.importing.settings import DocumentSettings


@hookimpl
def document_formats() -> str:
    """What this plugin reads."""
    return "a building model (.ifc)" + ("" if find_spec("ifcopenshell") else ", once riserkit[ifc] is installed")


@hookimpl
def read_document(path: Path, settings: DocumentSettings) -> Facts | None:
    """Read a building model, or None when the file is of another kind.

    Raises:
        InputError: the library that opens models is not installed, or it is no model.
    """
    if path.suffix.lower() != ".ifc":
        return None
    if find_spec("ifcopenshell") is None:
        wanted = "building models need the extra ifc: install riserkit[ifc], or send a plan and a list instead"
        raise InputError([Problem(Where(path.name), "", "", wanted)])
    from riserkit_ifc.model import read_model  # noqa: PLC0415  takes a while to load

    return read_model(path, settings)
