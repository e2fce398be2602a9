"""A drawing as a file: whether it is whole and of a size that can be read, and what had to be mended to read it."""

from __future__ import annotations

import logging
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from ezdxf import recover
from ezdxf.filemanagement import readfile
from ezdxf.lldxf.const import DXFError

from riserkit.model.problems import InputError, Problem, Where

_MOST_BYTES: Final = 400_000_000
_MOST_ENTITIES: Final = 600_000
_TAIL_BYTES: Final = 4096
_LARGE_BYTES: Final = 40_000_000
_ENTITY: Final = re.compile(rb"\n *0\r?\n *[A-Z][A-Z0-9_]+\r?(?=\n)")
_BROKEN: Final = (
    DXFError, UnicodeError, ValueError, TypeError, ArithmeticError, LookupError, AttributeError, RecursionError, OSError,
    StopIteration, AssertionError,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class DrawingFile:
    """A drawing that was read.

    Args of note:
        doc: the library's document.
        faults: what was mended while reading, in words; empty for nothing.
        is_cut: whether the file has no end.
    """

    doc: Any
    faults: str
    is_cut: bool


def open_drawing(path: Path) -> DrawingFile:
    """Read a drawing file.

    Raises:
        InputError: it is no drawing, or one too large or too broken to read.
    """
    if path.stat().st_size > _MOST_BYTES:
        raise _refused(path, f"expected a drawing of at most {_MOST_BYTES // 10**6} MB")
    if path.stat().st_size > _LARGE_BYTES and (count := _count_entities(path)) > _MOST_ENTITIES:
        raise _refused(
            path,
            f"expected at most {_MOST_ENTITIES} entities; this has about {count}: purge it, or send the plan without what is no plan",
        )
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    doc, faults = _opened(path)
    is_cut = not _has_end(path)
    if is_cut and not any(len(layout) for layout in doc.layouts):
        raise _refused(
            path,
            "expected a DXF drawing; this one is empty or cut short, and nothing drawn can be read of it: have it sent anew",
        )
    return DrawingFile(doc, faults, is_cut)


def _opened(path: Path) -> tuple[Any, str]:
    """The drawing, and what had to be mended to read it; one that is whole is not read the long way, which takes twice as long."""
    try:
        doc = readfile(path)
        auditor = doc.audit()
    except _BROKEN:
        try:
            doc, auditor = recover.readfile(path)
        except (DXFError, UnicodeError) as error:
            # Some words of the library's are for programmers.
            why = "" if "<class" in str(error) else f" ({str(error)[:80]})"
            raise _refused(path, f"expected a DXF drawing; it cannot be read{why}") from None
        except MemoryError:
            raise _refused(path, "it takes more memory to read than there is") from None
        except _BROKEN:
            # What the library raises for a file that is broken in a way it does not know.
            raise _refused(
                path, "expected a DXF drawing; this one is broken: open it, audit it and save it again"
            ) from None
        whole = "the file is broken or cut short; what could be read of it was: "
    except MemoryError:
        raise _refused(path, "it takes more memory to read than there is") from None
    else:
        whole = ""
    if not (whole or auditor.fixes or auditor.errors):
        return doc, ""
    return doc, f"{whole}{len(auditor.fixes)} faults of the file were mended while reading, {len(auditor.errors)} left"


def _has_end(path: Path) -> bool:
    """Whether the file ends as every drawing does, of text or binary."""
    with path.open("rb") as stream:
        stream.seek(max(0, path.stat().st_size - _TAIL_BYTES))
        return stream.read().rstrip(b"\0\x1a \t\r\n").endswith(b"EOF")


def _count_entities(path: Path) -> int:
    """About how many entities a drawing of text has: words behind the group code 0."""
    count, rest = 0, b""
    with path.open("rb") as stream:
        while block := stream.read(8_000_000):
            text = rest + block
            cut = text.rfind(b"\n", 0, max(0, len(text) - 200)) if len(text) > 200 else 0
            count += sum(1 for _ in _ENTITY.finditer(text, 0, len(text)) if _.start() < cut)
            rest = text[max(cut, 0) :]
    return count + sum(1 for _ in _ENTITY.finditer(rest))


def _refused(path: Path, wanted: str) -> InputError:
    return InputError([Problem(Where(path.name), "", "", wanted)])
