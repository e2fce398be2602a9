"""Blocks: DXF files that a drafter may edit or replace, one block a file.

A file holds the block's lines and attribute definitions in its modelspace, base point at the origin, millimetres.
A site's own folder goes before the shipped one; a file of the same name takes the block's place if it defines the
attributes that the drawings fill in.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from ezdxf import bbox
from ezdxf.document import Drawing
from ezdxf.entities.attrib import AttDef
from ezdxf.entities.copy import CopySettings, CopyStrategy
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.layouts.blocklayout import BlockLayout
from ezdxf.xref import Loader

from riserkit.drawings.dxf.boxes import Rect, around_rects
from riserkit.drawings.dxf.document import new_document, set_up_styles
from riserkit.drawings.dxf.errors import UNREADABLE, BlockError, why_unreadable
from riserkit.drawings.dxf.layers import set_up_layers
from riserkit.drawings.dxf.lettering import entity_box
from riserkit.drawings.dxf.reading import read_drawing
from riserkit.drawings.dxf.symbols import SYMBOLS
from riserkit.drawings.dxf.title_block import TITLE_BLOCK_NAME, TITLE_BLOCK_TAGS
from riserkit.model.problems import Problem, Where, offer
from riserkit.model.raw import is_outside

BLOCK_TAGS: Final = MappingProxyType(
    {**{name: symbol.tags for name, symbol in SYMBOLS.items()}, TITLE_BLOCK_NAME: TITLE_BLOCK_TAGS}
)
"""For each block that riserkit draws with: the attributes it fills in."""


@dataclass(frozen=True)
class Block:
    """A block as read from its file. `extents` is what its lines cover, attributes left out."""

    name: str
    path: Path
    tags: tuple[str, ...]
    extents: Rect
    doc: Drawing


@cache
def block_folder() -> Path:
    """The folder of the shipped blocks: inside an installed package, else at the top of the checkout.

    Raises:
        BlockError: neither is there.
    """
    package = Path(__file__).parents[2]
    for folder in (package / "blocks", package.parent / "blocks"):
        if folder.is_dir():
            return folder
    raise BlockError(f"the folder of blocks is missing beside {package}; install riserkit again")


def find_block(name: str, folders: Sequence[Path] = ()) -> Block:
    """The block of a name from the first folder that has it, the shipped folder last.

    Raises:
        BlockError: no such block, unreadable, or an attribute is missing.
    """
    looked_in = [*folders, block_folder()]
    for folder in looked_in:
        path = folder / f"{name}.dxf"
        if path.exists() and not path.is_file():
            raise BlockError(f"the block {path} is no file; expected a DXF file of that name, or none")
        if path.is_file():
            stat = path.stat()
            return _read_block(name, path, stat.st_mtime_ns, stat.st_size)
    raise BlockError(f"no block {name}.dxf in {', '.join(str(folder) for folder in looked_in)}")


def read_blocks(folders: Sequence[Path] = ()) -> None:
    """Read every block that is drawn, so that processes forked from this one need not; a faulty one is told where it is drawn."""
    for path in sorted(block_folder().glob("*.dxf")):
        with suppress(BlockError):
            find_block(path.stem, folders)


def forget_blocks() -> None:
    """Let go of blocks that were read: thirty documents, which printing has no need of."""
    _content.cache_clear()
    _read_block.cache_clear()


def letters_mm(name: str) -> tuple[float, ...]:
    """Heights of the letters of a shipped block, read off its file: for a size alone, no document is built.

    Raises:
        BlockError: no such block.
    """
    path = block_folder() / f"{name}.dxf"
    if not path.is_file():
        raise BlockError(f"no block {path.name} in {path.parent}; install riserkit again")
    lines = [line.strip() for line in path.read_text("utf-8").splitlines()]
    section, entity, found = "", "", []
    for code, value in zip(lines[::2], lines[1::2], strict=False):
        if code == "0":
            entity = value
        elif code == "2" and entity == "SECTION":
            section = value
        elif code == "40" and entity == "TEXT" and section == "ENTITIES":
            found.append(float(value))
    return tuple(found)


def own_block_problems(folder: Path) -> Iterator[Problem]:
    """What is wrong with a site's own blocks: each is looked at, whether a sheet of today uses it or not."""
    name = folder.name
    if not folder.is_dir():
        yield Problem(Where(name), "", "", "expected a folder with DXF files of blocks; this is something else")
        return
    for path in sorted(folder.glob("*.dxf")):
        where = Where(f"{name}/{path.name}")
        known = sorted({*BLOCK_TAGS, *(shipped.stem for shipped in block_folder().glob("*.dxf"))})
        try:
            if is_outside(path, folder.parent):
                yield Problem(where, "", "", "expected a file in the site's folder; this is a link out of it")
            elif path.stem not in known:
                yield Problem(where, "", "", f"expected the name of a block that is drawn; {offer(path.stem, known)}")
            else:
                find_block(path.stem, [folder])
        except BlockError as error:
            yield Problem(where, "", "", f"expected a block: {error}")
        except OSError as error:
            yield Problem(where, "", "", f"expected a file that can be read: {error.strerror or error}")


def load_block(doc: Drawing, name: str, folders: Sequence[Path] = ()) -> Block:
    """Define a block in a document, unless it is there; the definition comes from `find_block`.

    Raises:
        BlockError: as `find_block`.
    """
    block = find_block(name, folders)
    if name not in doc.blocks:
        _define(doc, block)
    return block


def _define(doc: Drawing, block: Block) -> None:
    layout, content = doc.blocks.new(block.name), _content(block)
    if content is not None and content.is_for(doc):
        content.put_into(layout)
    else:
        _load(block, layout)
    # a document of another origin gets what is ours; layers that the block uses without defining them are defined
    set_up_layers(doc)
    set_up_styles(doc)
    for layer in sorted({entity.dxf.layer for entity in layout}):
        if layer not in doc.layers:
            doc.layers.add(layer)


def _load(block: Block, layout: BlockLayout) -> None:
    loader = Loader(block.doc, layout.doc)
    loader.load_modelspace(layout)
    loader.execute()


@dataclass(frozen=True)
class _Content:
    """What is in a block that has nothing but lines and letters, as the library brings it into a document of ours.

    To bring in one block more the library looks through all that is drawn already, twice.

    Args:
        entities: of no document.
        layers, linetypes, styles: names of those that they use.
        unused: handles that the library takes for copies of these, which it drops where a document has them.
    """

    entities: tuple[DXFEntity, ...]
    layers: frozenset[str]
    linetypes: frozenset[str]
    styles: frozenset[str]
    unused: int

    def is_for(self, doc: Drawing) -> bool:
        """Whether a document has the layers, line types and text styles."""
        return (
            all(name in doc.layers for name in self.layers)
            and all(name in doc.linetypes for name in self.linetypes)
            and all(name in doc.styles for name in self.styles)
        )

    def put_into(self, layout: BlockLayout) -> None:
        """Put a copy of each into a block, with the handles that the library would give them."""
        doc: Any = layout.doc
        for _ in range(self.unused):
            doc.entitydb.next_handle()
        for entity in self.entities:
            copy: Any = entity.copy(_AS_IT_IS)
            copy.doc = doc
            layout.add_entity(copy)


_AS_IT_IS: Final = CopyStrategy(CopySettings(set_source_of_copy=False))
_PLAIN: Final = frozenset({"LINE", "LWPOLYLINE", "CIRCLE", "ARC", "TEXT", "ATTDEF", "HATCH"})
"""Kinds of entities that refer to nothing but layers, line types and text styles."""


@lru_cache(maxsize=256)
def _content(block: Block) -> _Content | None:
    """The content of a block where it is of that kind."""
    if not all(map(_is_plain, block.doc.modelspace())) or any(name in block.doc.rootdict for name in _SETTINGS):
        return None
    doc = new_document()
    layout = doc.blocks.new(block.name)
    before = int(doc.entitydb.next_handle(), 16)
    _load(block, layout)
    handles = [int(entity.dxf.handle, 16) for entity in layout]
    if not handles:
        return None
    entities = tuple(entity.copy(_AS_IT_IS) for entity in layout)
    return _Content(
        entities, _named(entities, "layer", "0"), _named(entities, "linetype", "BYLAYER"),
        _named(entities, "style", "Standard"), handles[0] - before - 1,
    )  # fmt: skip


def _named(entities: Iterable[DXFEntity], attribute: str, usual: str) -> frozenset[str]:
    """Names that entities have for an attribute; the usual one where they have none."""
    return frozenset(str(e.dxf.get(attribute, usual)) for e in entities if e.dxf.is_supported(attribute))


_SETTINGS: Final = ("ACAD_IMAGE_VARS", "ACAD_WIPEOUT_VARS")
"""Of a whole document, which the library brings along."""


def _is_plain(entity: Any) -> bool:
    beside = (entity.xdata, entity.appdata, entity.reactors, entity.extension_dict, entity.proxy_graphic)
    return entity.dxftype() in _PLAIN and not any(each is not None for each in beside)


@lru_cache(maxsize=256)
def _read_block(name: str, path: Path, _mtime_ns: int, _size: int) -> Block:
    try:
        doc = read_drawing(path)
    except UNREADABLE as error:
        raise BlockError(f"the block {path} cannot be read ({why_unreadable(error)}); save it again as DXF") from error
    attdefs = [e for e in doc.modelspace() if isinstance(e, AttDef)]
    tags = tuple(attdef.dxf.tag for attdef in attdefs)
    _check_tags(name, path, tags)
    return Block(name, path, tags, _extents(doc), doc)


def _extents(doc: Drawing) -> Rect:
    """What lines and letters cover; letters by the shipped font, not by one that the machine happens to have."""
    letters = [e for e in doc.modelspace() if e.dxftype() == "TEXT"]
    lines = [e for e in doc.modelspace() if e.dxftype() not in {"TEXT", "ATTDEF"}]
    box = bbox.extents(lines, fast=True)
    rects = [Rect(box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y)] if box.has_data else []
    rects += [entity_box(letter) for letter in letters]
    return around_rects(rects or [Rect(0, 0, 0, 0)])


def _check_tags(name: str, path: Path, tags: Sequence[str]) -> None:
    missing = [tag for tag in BLOCK_TAGS.get(name, ()) if tag not in tags]
    if missing:
        raise BlockError(
            f"block {name} in {path} lacks the attribute{_s(missing)} {', '.join(missing)}; "
            f"it defines {', '.join(tags) or 'none'}; add attribute definitions with these tags"
        )
    twice = sorted({tag for tag in tags if tags.count(tag) > 1})
    if twice:
        raise BlockError(f"block {name} in {path} defines the attribute{_s(twice)} {', '.join(twice)} twice")


def check_values(block: Block, given: Iterable[str]) -> None:
    """Hold the tags that a caller fills in against those of the block.

    Raises:
        BlockError: a value for an attribute that is not there, or no value for one that the drawings fill in.
    """
    values = set(given)
    unknown = sorted(values.difference(block.tags))
    left_out = sorted(set(BLOCK_TAGS.get(block.name, block.tags)).difference(values))
    if unknown or left_out:
        told = [f"it has no {', '.join(unknown)}"] if unknown else []
        told += [f"no value was given for {', '.join(left_out)}"] if left_out else []
        raise BlockError(f"block {block.name} in {block.path}: {'; '.join(told)}")


def _s(many: Sequence[object]) -> str:
    return "s" if len(many) > 1 else ""
