"""DXF documents as riserkit writes them: millimetres, the shipped font, own styles, the same bytes each time."""

from __future__ import annotations

import io
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO, Final

from ezdxf import units
from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.entities import factory
from ezdxf.entities.attrib import Attrib
from ezdxf.filemanagement import new
from ezdxf.layouts.base import BaseLayout
from ezdxf.lldxf.const import LWPOLYLINE_CLOSED

from riserkit.drawings.dxf import marks
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.dxf.layers import set_up_layers
from riserkit.drawings.dxf.tags import plain_tags
from riserkit.drawings.dxf.text import FALLBACK_FILE, FONT_FILE, font_path, needs_fallback, shown_text
from riserkit.quantities.printed import UnitSystem

TEXT_STYLE: Final = "RK"
FALLBACK_STYLE: Final = "RK-OTHER-SCRIPTS"
DIMENSION_STYLE: Final = "RK"
_INCH_MM: Final = 25.4
DXF_VERSIONS: Final = ("R2010", "R2013", "R2018")


@dataclass(frozen=True, slots=True)
class DrawingInfo:
    """What goes into the file of a sheet besides its drawing.

    Args:
        site_name: kept as a property of the file; the sheets of a set take the name of its site.
        digest: of the input that the drawing was made from; empty takes one of all that is drawn.
        dxf_version: R2010, R2013 or R2018.
        block_folders, background_folder: a site's own blocks, before the shipped ones; where its plans' backgrounds are.
    """

    site_name: str = ""
    digest: str = ""
    dxf_version: str = "R2018"
    # Folders are no part of what a sheet is drawn from, their files are: the same site elsewhere gives the same bytes.
    block_folders: tuple[Path, ...] = field(default=(), repr=False)
    background_folder: Path | None = field(default=None, repr=False)


NO_INFO: Final = DrawingInfo()


@contextmanager
def fixed_metadata() -> Iterator[None]:
    """Have ezdxf write fixed dates and GUIDs, and put the user's own setting back afterwards."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def new_document(dxf_version: str = "R2018") -> Drawing:
    """An empty document with layers, line types, text style, dimension style and application id.

    Raises:
        DrawingError: a version that is not one of R2010, R2013, R2018.
        FontError: the shipped font is missing.
    """
    if dxf_version not in DXF_VERSIONS:
        raise DrawingError(f"DXF version {dxf_version!r} is not written; choose one of {', '.join(DXF_VERSIONS)}")
    font_path()
    with fixed_metadata():
        doc = new(dxf_version, units=units.MM)
    set_up_layers(doc)
    set_up_styles(doc)
    marks.register(doc)
    _set_header(doc)
    return doc


def hide_mask_edges(doc: Drawing) -> None:
    """Without it, programs draw the edge of every mask."""
    doc.objects.set_wipeout_variables(frame=0)


def text_style(doc: Drawing, text: str) -> str:
    """The style of a text: that of the shipped font, or of the fallback font where its letters need that."""
    if not needs_fallback(text):
        return TEXT_STYLE
    if FALLBACK_STYLE not in doc.styles:
        doc.styles.add(FALLBACK_STYLE, font=FALLBACK_FILE)
    return FALLBACK_STYLE


def style_letters(doc: Drawing, attrib: Attrib) -> None:
    """Give an attribute the fallback font where its letters need that; else it keeps its block's style."""
    if needs_fallback(attrib.dxf.text):
        attrib.dxf.style = text_style(doc, attrib.dxf.text)


def set_up_styles(doc: Drawing) -> None:
    """Define the text style and the dimension style where they are not there."""
    if TEXT_STYLE not in doc.styles:
        doc.styles.add(TEXT_STYLE, font=FONT_FILE)
    if DIMENSION_STYLE not in doc.dimstyles:
        _add_dimension_style(doc)


def _add_dimension_style(doc: Drawing, name: str = DIMENSION_STYLE) -> None:
    style = doc.dimstyles.new(name)
    # millimetres of paper, drawn with oblique strokes as builders do
    values = {"dimscale": 1.0, "dimlfac": 1.0, "dimtxt": 2.5, "dimasz": 2.0, "dimtsz": 1.2, "dimexo": 1.0}
    for attribute, value in {**values, "dimexe": 1.5, "dimgap": 0.8, "dimdli": 7.0, "dimdle": 1.0}.items():
        style.dxf.set(attribute, value)
    for attribute, number in {"dimdec": 0, "dimtad": 1, "dimtih": 0, "dimtoh": 0, "dimzin": 8}.items():
        style.dxf.set(attribute, number)
    style.dxf.dimtxsty = TEXT_STYLE


@dataclass(frozen=True, slots=True)
class DimensionScale:
    """How dimensions read lengths: one added by hand says what the drawn ones say.

    Args:
        ratio: real length over length in the drawing's units; 1 in a model that is drawn at true size.
        unit: drawing units per millimetre of paper, by which lettering and ticks grow.
        unit_system: millimetres, or feet and inches to an eighth.
    """

    ratio: float = 1.0
    unit: float = 1.0
    unit_system: UnitSystem = "metric"

    @property
    def style(self) -> str:
        """Name of its dimension style."""
        feet = "-FT" if self.unit_system == "imperial" else ""
        of_model = "MODEL-" if self.unit != 1 else ""
        scale = f"-{of_model}{self.ratio * self.unit:g}" if (self.ratio, self.unit) != (1, 1) else ""
        return f"{DIMENSION_STYLE}{scale}{feet}"


def dimension_style(doc: Drawing, measure: DimensionScale) -> str:
    """Define the dimension style of a measure unless it is there, make it the current one, and give its name."""
    name = measure.style
    if name not in doc.dimstyles:
        _add_dimension_style(doc, name)
        style = doc.dimstyles.get(name)
        style.dxf.dimscale, style.dxf.dimlfac = measure.unit, measure.ratio
        if measure.unit_system == "imperial":
            # inches with feet, fractions to an eighth; a quarter inch of drawing is 6.35 of its units
            style.dxf.dimlfac = measure.ratio / _INCH_MM
            for attribute, value in {"dimlunit": 4, "dimdec": 3, "dimfrac": 2, "dimzin": 1}.items():
                style.dxf.set(attribute, value)
    style = doc.dimstyles.get(name)
    header = doc.header
    header["$DIMSTYLE"] = name
    for variable in ("DIMSCALE", "DIMLFAC", "DIMLUNIT", "DIMDEC", "DIMFRAC", "DIMZIN", "DIMTXT", "DIMASZ", "DIMTSZ"):
        if style.dxf.hasattr(variable.lower()):
            header[f"${variable}"] = style.dxf.get(variable.lower())
    return name


def _set_header(doc: Drawing) -> None:
    header = doc.header
    header["$LTSCALE"] = 1.0
    header["$PSLTSCALE"] = 1
    header["$LWDISPLAY"] = 1
    header["$LUNITS"] = 2
    header["$LUPREC"] = 2
    header["$TEXTSTYLE"] = TEXT_STYLE
    header["$DIMSTYLE"] = DIMENSION_STYLE
    header["$CLAYER"] = "0"


def set_property(doc: Drawing, name: str, value: str) -> None:
    """A custom property of the file, seen in a program's drawing properties."""
    if doc.header.custom_vars.has_tag(name):
        doc.header.custom_vars.replace(name, shown_text(value)[:250])
    else:
        doc.header.custom_vars.append(name, shown_text(value)[:250])


def add_entity(space: BaseLayout, kind: str, attribs: Mapping[str, Any]) -> Any:
    """An entity with attributes that are valid and of the types that the library keeps, such as `Vec3` for a point.

    To have it ask that of each, handle and owner included, takes three quarters of the time to make one.

    Args:
        space: takes it.
        kind: its type, one without parts of its own such as attributes.
        attribs: its layer among them.
    """
    doc: Any = space.doc
    make: Any = factory.cls(kind)
    entity = make()
    entity.doc = doc
    handle = doc.entitydb.next_handle()
    own = vars(entity.dxf)
    own.update(attribs, handle=handle, owner=space.layout_key)
    if space.is_any_paperspace:
        own["paperspace"] = 1
    doc.entitydb[handle] = entity
    space.entity_space.add(entity)
    return entity


def add_polyline(
    space: BaseLayout, vertices: Iterable[tuple[float, float, float]], closed: bool, attribs: Mapping[str, Any]
) -> Any:
    """A polyline as `add_entity` has it, through vertices given by x, y and bulge."""
    entity = add_entity(space, "LWPOLYLINE", {**attribs, "flags": LWPOLYLINE_CLOSED if closed else 0})
    entity.lwpoints.set([(x, y, 0.0, 0.0, bulge) for x, y, bulge in vertices])
    return entity


def add_object(doc: Drawing, kind: str, attribs: Mapping[str, Any], owner: str) -> Any:
    """An object, which is drawn nowhere, as `add_entity` has an entity; its owner watches over it.

    Args:
        doc: takes it.
        kind: its type, one without parts of its own.
        attribs: valid, and of the types that the library keeps.
        owner: handle of its owner.
    """
    make: Any = factory.cls(kind)
    made = make()
    made.doc = doc
    handle = doc.entitydb.next_handle()
    vars(made.dxf).update(attribs, handle=handle, owner=owner)
    doc.entitydb[handle] = made
    doc.objects.add_object(made)
    made.set_reactors([owner])
    return made


def take_apart(doc: Drawing) -> None:
    """Break up a document that is done with.

    Every entity is a ring, it holds its attributes and they hold it. Broken up, most of a document is gone at once, and
    looking for rings takes a quarter of the time, which for a sheet is a tenth of drawing it.
    """
    for entity in list(doc.entitydb.values()):
        vars(entity).clear()


def to_bytes(doc: Drawing) -> bytes:
    """The document as it stands in a file; equal for equal content."""
    stream = io.StringIO()
    with fixed_metadata(), plain_tags():
        _order_classes(doc)
        doc.write(stream)
    return stream.getvalue().encode(doc.output_encoding, "dxfreplace")


def _order_classes(doc: Drawing) -> None:
    """Enter the classes that ezdxf would enter in the order of a set, which changes from one run to the next."""
    doc.classes.add_required_classes(doc.dxfversion)
    doc.classes.classes = dict(sorted(doc.classes.classes.items()))


def write_whole(path: Path, content: bytes | Callable[[BinaryIO], None]) -> None:
    """Write a file beside its place, then rename it there.

    Args:
        path: its place.
        content: what stands in it, or what writes that.

    Raises:
        DrawingError: the folder cannot be written.
    """
    part = path.with_name(f".{path.name}.part")
    try:
        if isinstance(content, bytes):
            part.write_bytes(content)
        else:
            with part.open("wb") as stream:
                content(stream)
        os.replace(part, path)  # noqa: PTH105 - one call for what must be one step
    except OSError as error:
        part.unlink(missing_ok=True)
        raise DrawingError(f"cannot write {path}: {error.strerror}; choose a folder that can be written") from error
