"""Entities as they stand in a file, put in one go: the bytes that the library writes, which writes them tag by tag.

Of what fills a drawing (lines, polylines, circles, arcs, texts and groups) the whole entity is put at once, by a form that
is made once for all entities with the same attributes. What the library writes of such an entity and in which order is
asked of the library itself. Anything out of the ordinary is left to it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from ezdxf.entities.arc import Arc
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgroups import DXFGroup
from ezdxf.entities.dxfns import DXFNamespace
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.text import Text
from ezdxf.lldxf.attributes import DXFAttr, DXFAttributes, XType
from ezdxf.lldxf.tagwriter import AbstractTagWriter
from ezdxf.lldxf.types import BINARY_DATA, POINT_CODES, TAG_STRING_FORMAT, TYPE_TABLE, DXFTag
from ezdxf.math import Vec3

_TAG_HEAD: Final = TAG_STRING_FORMAT.removesuffix("%s\n")
_ENTITY: Final = "  0\n%s\n  5\n%s\n330\n%s\n"
_WATCHED_ENTITY: Final = "  0\n%s\n  5\n%s\n102\n{ACAD_REACTORS\n%s102\n}\n330\n%s\n"
_WATCHER: Final = "330\n%s\n"
_MEMBER: Final = "340\n%s\n"


@contextmanager
def plain_tags() -> Iterator[None]:
    """Have ezdxf write entities in one go, and pass over attributes that they do not set and need not.

    Three in four are such, and the others became a tag each, and for a point four, only to be written: two thirds of the
    time to write a file. The bytes are the same.
    """
    attributes, head, entity = DXFNamespace.export_dxf_attribs, DXFEntity.export_base_class, DXFEntity.export_dxf

    def export_entity(self: DXFEntity, tagwriter: AbstractTagWriter) -> None:
        put = _WHOLE.get(type(self))
        text = put(self, tagwriter.dxfversion) if put is not None and _has_plain_head(self) else None
        if text is None:
            entity(self, tagwriter)
            return
        tagwriter.write_str(f"{_head(self)}{text}")
        if self.xdata:
            self.xdata.export_dxf(tagwriter)

    def export_head(self: DXFEntity, tagwriter: AbstractTagWriter) -> None:
        if _has_plain_head(self):
            tagwriter.write_str(_head(self))
        else:
            head(self, tagwriter)

    def export(self: DXFNamespace, tagwriter: AbstractTagWriter, attribs: str | Iterable[str]) -> None:
        own, names = self.__dict__, (attribs,) if isinstance(attribs, str) else tuple(attribs)
        lines: list[str] = []
        for name, how in _tags_of(self.dxfattribs, names, tagwriter.dxfversion):
            value = own.get(name)
            if how is None or (how.is_needed if value is None else how.is_for_the_library(value)):
                tagwriter.write_str("".join(lines))
                lines.clear()
                attributes(self, tagwriter, name)
            elif value is not None and how.is_said and not (how.has_default and how.default == value):
                how.add(lines, value)
        tagwriter.write_str("".join(lines))

    DXFNamespace.export_dxf_attribs = export  # type: ignore[method-assign]
    DXFEntity.export_base_class = export_head  # type: ignore[method-assign]
    DXFEntity.export_dxf = export_entity  # type: ignore[method-assign]
    try:
        yield
    finally:
        DXFNamespace.export_dxf_attribs = attributes  # type: ignore[method-assign]
        DXFEntity.export_base_class = head  # type: ignore[method-assign]
        DXFEntity.export_dxf = entity  # type: ignore[method-assign]


def _has_plain_head(entity: DXFEntity) -> bool:
    """Whether type, handle, reactors and owner are all that stands before what an entity is."""
    return not entity.appdata and entity.extension_dict is None and entity.DXFTYPE != "DIMSTYLE"


def _head(entity: DXFEntity) -> str:
    own = vars(entity.dxf)
    owner = own.get("owner")
    owner = "0" if owner is None else owner
    if not entity.reactors:
        return _ENTITY % (entity.DXFTYPE, own["handle"], owner)
    watchers = "".join([_WATCHER % handle for handle in entity.reactors.get()])
    return _WATCHED_ENTITY % (entity.DXFTYPE, own["handle"], watchers, owner)


@dataclass(frozen=True, slots=True)
class _TagOf:
    """How an attribute is written.

    Args:
        heads: its group code, or one for each coordinate of a point, as they stand in the file.
        cast: makes its value one of the type that the code has.
        is_point: it has coordinates.
        is_binary: the library writes it in a way of its own.
        is_needed: where it is not set the library may write it all the same.
        is_said: the version of the file has it.
        has_default: where it is as its default, it goes without saying.
        default: what goes without saying.
    """

    heads: tuple[str, ...]
    cast: Callable[[Any], Any]
    is_point: bool
    is_binary: bool
    is_needed: bool
    is_said: bool
    has_default: bool
    default: Any

    def is_for_the_library(self, value: Any) -> bool:
        """It is one that the library writes or refuses in a way of its own."""
        return self.is_binary or (type(value) is str and ("\n" in value or "\r" in value))

    def add(self, lines: list[str], value: Any) -> None:
        """Write it: one tag, or one for each coordinate."""
        if self.is_point:
            lines += [f"{head}{float(each)}\n" for head, each in zip(self.heads, value, strict=False)]
        else:
            lines.append(f"{self.heads[0]}{self.cast(value)}\n")


@lru_cache(maxsize=1024)
def _tags_of(known: DXFAttributes, names: tuple[str, ...], version: str) -> tuple[tuple[str, _TagOf | None], ...]:
    """How these attributes of one kind of entity are written, in order; None for one that it does not know."""
    return tuple((name, _tag_of(attrib, version) if (attrib := known.get(name)) else None) for name in names)


def _tag_of(attrib: DXFAttr, version: str) -> _TagOf:
    code, is_point = attrib.code, attrib.code in POINT_CODES
    codes = range(code, code + (20 if attrib.xtype is XType.point2d else 30), 10) if is_point else (code,)
    return _TagOf(
        heads=tuple(_TAG_HEAD % each for each in codes),
        cast=TYPE_TABLE.get(code, str),
        is_point=is_point,
        is_binary=code in BINARY_DATA,
        is_needed=not attrib.optional or attrib.xtype is XType.callback,
        is_said=version >= attrib.dxfversion,
        has_default=bool(attrib.optional and attrib.default is not None),
        default=attrib.default,
    )


class _Order(AbstractTagWriter):
    """Takes down what the library writes of a kind of entity: text as it stands, names of attributes, and where tags go.

    It stands in for an entity's attributes too, of which it is asked to write some.
    """

    def __init__(self, version: str) -> None:
        self.dxfversion = version
        self.write_handles, self.force_optional = True, False
        self.parts: list[str | tuple[str, ...] | None] = []

    def write_tag(self, tag: DXFTag) -> None:
        """One tag as it stands."""
        self.parts.append(tag.dxfstr())

    def write_tag2(self, code: int, value: Any) -> None:
        """One tag as it stands."""
        self.parts.append(TAG_STRING_FORMAT % (code, value))

    def write_str(self, s: str) -> None:
        """Text as it stands."""
        self.parts.append(s)

    def write_tags(self, _tags: Any) -> None:
        """Tags of an entity's own, of which the one that is asked has none: the vertices of a polyline."""
        self.parts.append(None)

    def export_dxf_attribs(self, _tagwriter: AbstractTagWriter, attribs: str | Iterable[str]) -> None:
        """Attributes by name."""
        self.parts.append((attribs,) if isinstance(attribs, str) else tuple(attribs))


@lru_cache(maxsize=64)
def _order(kind: Any, version: str) -> tuple[str | tuple[str, ...] | None, ...]:
    """What the library writes of an entity after its head."""
    entity, order = kind(), _Order(version)
    entity.dxf = order
    entity.export_entity(order)
    return tuple(order.parts)


@dataclass(frozen=True, slots=True)
class _Form:
    """Entities of one kind that set the same attributes.

    Args:
        text: of an entity after its head, to be filled in.
        said: the attributes that fill it, in order; None where the vertices of a polyline go, or how many they are.
    """

    text: str
    said: tuple[tuple[str, _TagOf] | None, ...]

    def filled(self, own: dict[str, Any], counted: tuple[Any, ...] = ()) -> str | None:
        """An entity's text; None where one of its attributes is not to be written, or by the library alone.

        Args:
            own: its attributes.
            counted: what stands where no attribute does.
        """
        values: list[Any] = []
        others = iter(counted)
        for each in self.said:
            if each is None:
                values.append(next(others))
                continue
            name, how = each
            value = own[name]
            if value is None or (how.has_default and how.default == value):
                return None
            if how.is_point:
                if type(value) is not Vec3:
                    return None
                values += value.xyz if len(how.heads) == 3 else (value.x, value.y)
            elif how.is_for_the_library(value):
                return None
            else:
                values.append(value if type(value) is how.cast else how.cast(value))
        return self.text % tuple(values)


@lru_cache(maxsize=1024)
def _form(kind: Any, names: tuple[str, ...], version: str) -> _Form | None:
    """The form for a kind of entity that sets these attributes; None where the library must write one that it does not set."""
    text: list[str] = []
    said: list[tuple[str, _TagOf] | None] = []
    for part in _order(kind, version):
        if isinstance(part, str):
            text.append(part)
        elif part is None:
            text.append("%s")
            said.append(None)
        else:
            for name, how in _tags_of(kind.DXFATTRIBS, part, version):
                if how is not None and kind is LWPolyline and name == _COUNT:
                    text.append(f"{how.heads[0]}%s\n")
                    said.append(None)
                elif how is None or how.is_binary or (name not in names and how.is_needed):
                    return None
                elif name in names and how.is_said:
                    text += [f"{head}%s\n" for head in how.heads]
                    said.append((name, how))
    return _Form("".join(text), tuple(said))


_COUNT: Final = "count"
"""Of a polyline's vertices: no attribute that it sets."""


def _put_simple(entity: Any, version: str) -> str | None:
    """An entity that has attributes and nothing else."""
    if entity.proxy_graphic:
        return None
    own = vars(entity.dxf)
    kind: Any = type(entity)
    form = _form(kind, tuple(own), version)
    return form.filled(own) if form is not None else None


def _put_polyline(entity: Any, version: str) -> str | None:
    if entity.proxy_graphic or not len(entity):
        return None
    own = vars(entity.dxf)
    form = _form(LWPolyline, tuple(own), version)
    if form is None:
        return None
    vertices = []
    for x, y, start_width, end_width, bulge in entity.lwpoints.values.tolist():
        vertices.append(f" 10\n{x}\n 20\n{y}\n")
        if start_width or end_width:
            vertices.append(f" 40\n{start_width}\n 41\n{end_width}\n")
        if bulge:
            vertices.append(f" 42\n{bulge}\n")
    return form.filled(own, (len(entity), "".join(vertices)))


def _put_group(group: Any, version: str) -> str | None:
    """A group whose members all stand in one layout; others the library looks through."""
    members = [vars(entity.dxf) for entity in group]
    owners = {own["owner"] for own in members}
    if len(owners) != 1 or owners.isdisjoint(_layouts(group.doc)):
        return None
    own = vars(group.dxf)
    form = _form(DXFGroup, tuple(own), version)
    text = form.filled(own) if form is not None else None
    return text if text is None else text + "".join([_MEMBER % each["handle"] for each in members])


def _layouts(doc: Any) -> set[str]:
    return {layout.layout_key for layout in doc.layouts}


_WHOLE: Final[dict[type[DXFEntity], Callable[[Any, str], str | None]]] = {
    Line: _put_simple,
    Circle: _put_simple,
    Arc: _put_simple,
    Text: _put_simple,
    LWPolyline: _put_polyline,
    DXFGroup: _put_group,
}
"""Kinds of entities that are put whole: those of which a drawing has many."""
