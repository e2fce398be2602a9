"""What the styles of an open document say of its cells and tables: struck out, or not shown (OpenDocument 1.2, part 1, section 16)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, TypeVar
from xml.etree import ElementTree as ET

TABLE: Final = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
OFFICE: Final = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TEXT: Final = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_STYLE: Final = "{urn:oasis:names:tc:opendocument:xmlns:style:1.0}"
_THROUGH: Final = (f"{_STYLE}text-line-through-style", f"{_STYLE}text-line-through-type")
_FO: Final = "{urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0}"
_NO_FILL: Final = ("", "transparent", "#ffffff")
_MOST_PARENTS: Final = 20
_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class OpenStyles:
    """Names of styles.

    Args:
        struck: by (family, name) styles whose text is struck out.
        unseen: of tables that are not displayed.
        colours: of cells, by name, the colour that they are filled with, other than white.
    """

    struck: frozenset[tuple[str, str]] = frozenset()
    unseen: frozenset[str] = frozenset()
    colours: Mapping[str, str] = field(default_factory=dict)

    def is_struck(self, cell: ET.Element, style: str) -> bool:
        """Whether all that a cell says is struck out, by its own style or by those of its words."""
        said = [p for p in paragraphs(cell) if "".join(p.itertext()).strip()]
        return bool(said) and (("table-cell", style) in self.struck or all(self._all_struck(p) for p in said))

    def parted(self, cell: ET.Element) -> tuple[str, str]:
        """What a cell says, and what of it is struck out beside words that hold."""
        kept: list[str] = []
        gone: list[str] = []
        for paragraph in paragraphs(cell):
            kept += ["\n", paragraph.text or ""]
            for child in paragraph:
                struck = ("text", child.get(f"{TEXT}style-name", "")) in self.struck
                (gone if struck else kept).append("".join(child.itertext()))
                kept.append(child.tail or "")
        return " ".join("".join(kept).split()), " ".join(" ".join(gone).split())

    def _all_struck(self, paragraph: ET.Element) -> bool:
        """Every word of it lies within a struck span."""
        if (paragraph.text or "").strip():
            return False
        for child in paragraph:
            struck = ("text", child.get(f"{TEXT}style-name", "")) in self.struck
            if (child.tail or "").strip() or ("".join(child.itertext()).strip() and not struck):
                return False
        return True


def styles_of(roots: Iterable[ET.Element]) -> OpenStyles:
    """The styles of a document's parts: those of its content, and those that it names."""
    parents: dict[tuple[str, str], str] = {}
    own: dict[tuple[str, str], bool] = {}
    fills: dict[tuple[str, str], str] = {}
    unseen = set()
    for style in (one for root in roots for one in root.iter(f"{_STYLE}style")):
        key = style.get(f"{_STYLE}family", ""), style.get(f"{_STYLE}name", "")
        parents[key] = style.get(f"{_STYLE}parent-style-name", "")
        for properties in style.iter(f"{_STYLE}text-properties"):
            lines = [line for name in _THROUGH if (line := properties.get(name)) is not None]
            if lines:
                own[key] = any(line != "none" for line in lines)
        for properties in style.iter(f"{_STYLE}table-cell-properties"):
            if (colour := properties.get(f"{_FO}background-color")) is not None:
                fills[key] = colour.casefold()
        for properties in style.iter(f"{_STYLE}table-properties"):
            if properties.get(f"{TABLE}display") == "false":
                unseen.add(key[1])
    struck = {key for key in parents if next(_stated(key, parents, own), False)}
    colours = {key[1]: fill for key in parents if key[0] == "table-cell"
               if (fill := next(_stated(key, parents, fills), "")) not in _NO_FILL}  # fmt: skip
    return OpenStyles(frozenset(struck), frozenset(unseen), colours)


def _stated(
    key: tuple[str, str], parents: Mapping[tuple[str, str], str], own: Mapping[tuple[str, str], _T]
) -> Iterator[_T]:
    """What a style and those that it stands on state, the nearest first."""
    for _ in range(_MOST_PARENTS):  # a spoilt document's styles may stand on each other in a circle
        if key in own:
            yield own[key]
        if not parents.get(key):
            return
        key = key[0], parents[key]


def paragraphs(cell: ET.Element) -> Iterator[ET.Element]:
    """The paragraphs of a cell itself; those of a comment beside it are no words of the cell."""
    for child in cell:
        if child.tag == f"{TEXT}p":
            yield child
        elif child.tag != f"{OFFICE}annotation":
            yield from child.iter(f"{TEXT}p")


def words_of(paragraphs: Iterable[ET.Element]) -> str:
    """Their text with single spaces."""
    return " ".join(" ".join("".join(p.itertext()).split()) for p in paragraphs).strip()


def comment_of(cell: ET.Element) -> str:
    """What is written beside a cell; empty for nothing."""
    found = cell.find(f"{OFFICE}annotation")
    return "" if found is None else words_of(found.iter(f"{TEXT}p"))
