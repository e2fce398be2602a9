"""Drawings read by tags that are made once, against the drawing library's own reader."""

from __future__ import annotations

import io
import random
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.filemanagement import readfile
from ezdxf.lldxf.tagger import ascii_tags_loader, tag_compiler

from riserkit.drawings.dxf.blocks import block_folder
from riserkit.drawings.dxf.errors import UNREADABLE
from riserkit.drawings.dxf.file_tags import read_dxf, tags_of

SHEETS = Path(__file__).parents[3] / "sample_drawings" / "first-look" / "drawings"
DRAWINGS = (SHEETS / "T-501-2-2.dxf", SHEETS / "T-652.dxf", block_folder() / "switch.dxf")


def _written(doc: Drawing) -> str:
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue()


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.stem)
def test_a_drawing_is_the_one_that_the_library_reads(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ezdxf.options, "write_fixed_meta_data_for_testing", True)
    mine, theirs = read_dxf(path), readfile(path)
    assert mine.filename == theirs.filename and mine.encoding == theirs.encoding
    assert _written(mine) == _written(theirs)


PIECES = {
    "a point in two dimensions": "  0\nLINE\n 10\n1.0\n 20\n2.0\n  8\nA\n  0\nEOF\n",
    "a point and another": "  0\nLINE\n 10\n1.0\n 20\n2.0\n 11\n3\n 21\n4\n 31\n5\n  0\nEOF\n",
    "a point before the end": "  0\nLINE\n 10\n1.0\n 20\n2.0\n  0\n EOF \n  0\nEOF\n",
    "more after the end": "  0\nLINE\n  8\nA\n  0\nEOF\n  0\nCIRCLE\n",
    "the same code written otherwise": "  0\nLINE\n8\nA\n  8\n A\n 62\n 7\n62\n7\n  0\nEOF\n",
}


@pytest.mark.parametrize("text", PIECES.values(), ids=PIECES)
def test_tags_are_those_that_the_library_makes(text: str) -> None:
    theirs = list(tag_compiler(ascii_tags_loader(io.StringIO(text))))
    mine = tags_of(text)
    assert [(type(t), t.code, t.value) for t in mine] == [(type(t), t.code, t.value) for t in theirs]


UNUSUAL = {
    "no end": "  0\nLINE\n  8\nA\n",
    "a whole number with a point": "  0\nLINE\n 62\n7.0\n  0\nEOF\n",
    "no number": "  0\nLINE\n 40\nwide\n  0\nEOF\n",
    "no code": "  0\nLINE\nx\nwide\n  0\nEOF\n",
    "a coordinate missing": "  0\nLINE\n 10\n1.0\n 30\n2.0\n  0\nEOF\n",
    "cut off in a point": "  0\nLINE\n 10\n1.0\n",
    "a comment": "999\nby hand\n  0\nEOF\n",
    "data in digits": "  0\nLINE\n310\nFFEE\n  0\nEOF\n",
}


@pytest.mark.parametrize("text", UNUSUAL.values(), ids=UNUSUAL)
def test_what_is_unusual_is_left_to_the_library(text: str) -> None:
    with pytest.raises(ValueError):
        tags_of(text)


def _outcome(read: Callable[[Path], Drawing], path: Path) -> str:
    try:
        return _written(read(path))
    except UNREADABLE as error:
        return f"{type(error).__name__}: {error}"


def test_spoilt_drawings_come_to_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ezdxf.options, "write_fixed_meta_data_for_testing", True)
    lines = (block_folder() / "switch.dxf").read_text(encoding="utf-8").split("\n")
    chance, told = random.Random(1), set()
    for number in range(24):
        spoilt, at = list(lines), chance.randrange(len(lines))
        match number % 4:
            case 0:
                del spoilt[at]
            case 1:
                spoilt[at] = chance.choice(["", "x", "1e400", "-1", "  0"])
            case 2:
                del spoilt[at:]
            case 3:
                spoilt.insert(at & ~1, "999\nby hand")
        path = tmp_path / f"{number}.dxf"
        path.write_text("\n".join(spoilt), encoding="utf-8")
        mine, theirs = _outcome(read_dxf, path), _outcome(readfile, path)
        assert mine == theirs, number
        told.add(mine.startswith("DXF"))
    assert told == {True, False}
