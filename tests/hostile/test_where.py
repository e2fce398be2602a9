"""What is wrong is told with its place: the row or line, and for a name the place that states it."""

from __future__ import annotations

import pytest

from riserkit.model.problems import InputError
from riserkit.plugin.read import read_site
from tests.hostile.bases import starting_files
from tests.hostile.run import OF_A_FILE

DEEP = '{"a": "[[\\"[",\n "openings": ' + "[" * 100_000
CASES: dict[str, tuple[dict[str, bytes], str]] = {
    "a control character": ({"levels.csv": b"id,elevation_m\nL1,0\nL\x002,3\n"}, "levels.csv, line 3"),
    "bytes of no encoding": ({"levels.csv": b"id,elevation_m\nL1,0\n\x81\xff,3\n"}, "levels.csv, line 3"),
    "not the stated encoding": (
        {"levels.csv": "id,elevation_m\nÉ,0\n".encode("cp1252"), "mapping.toml": b'[levels]\nencoding = "utf-8"\n'},
        "levels.csv, line 2",
    ),
    "an encoding that is none": ({"mapping.toml": b'[levels]\nencoding = "ebc-1"\n'}, "mapping.toml, levels.encoding"),
    "a mapping that is no TOML": ({"mapping.toml": b"[levels]\nid = = 1\n"}, "mapping.toml, line 2, column 6"),
    "a mapping cut off": ({"mapping.toml": b'[levels]\nid = "'}, "mapping.toml, end of document"),
    "a mapping that is no text": ({"mapping.toml": b"[levels]\nid = \xff1\n"}, "mapping.toml, line 2"),
    "a key of many parts": ({"mapping.toml": b"[levels]\n" + b"a." * 50 + b"a = 1\n"}, "mapping.toml, line 2"),
    "a file that is not there": ({"mapping.toml": b'[levels]\nfile = "storeys.csv"\n'}, "mapping.toml, levels.file"),
    "an empty table": ({"runs.csv": b"\n"}, "runs.csv, row 1"),
    "brackets without end": ({"site.json": DEEP.encode()}, "site.json, line 2, column 45"),
    "no opening in a document": ({"site.json": b'{"openings": []}'}, "site.json, /openings"),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_the_place_is_told(tmp_path, case):
    changed, place = CASES[case]
    files = changed if "site.json" in changed else {**starting_files(), **changed}
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    with pytest.raises(InputError) as told:
        read_site(tmp_path)
    assert place in {str(problem.where) for problem in told.value.problems}, str(told.value)
    bare = [p for p in told.value.problems if not (p.where.row or p.where.pointer)]
    assert all(p.accepted.startswith(OF_A_FILE) for p in bare), str(told.value)
