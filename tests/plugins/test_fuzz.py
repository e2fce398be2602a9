"""No input whatever brings anything but an InputError or a site."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from riserkit.model.assemble import TABLES
from riserkit.model.problems import InputError
from riserkit.model.tables import fields_of
from riserkit.plugin.read import read_site
from tests.sweep import tried

from .conftest import SOUND

MANY = settings(max_examples=tried(60, 150), deadline=None)
CELLS = st.one_of(
    st.text(max_size=12),
    st.text(st.characters(categories=["Cs", "Lu"]), max_size=3),
    st.sampled_from(
        ["", "=1", "'", '"', "1e999", "-0", "nan", "L1", "101", "12'-6\"", "1/0 in", "5²", "yes", "9" * 400]
    ),
    st.text(st.sampled_from("0123456789.,'\"/- ftinmA"), max_size=10),
)


def _reads_or_tells(files: dict[str, bytes], name: str = "") -> None:
    with tempfile.TemporaryDirectory() as folder:
        for file, data in files.items():
            (Path(folder) / file).write_bytes(data)
        try:
            read_site(Path(folder) / name)
        except InputError as error:
            assert error.problems
            assert str(error).encode(), "what is told can be printed"


@MANY
@given(st.binary(max_size=300))
def test_bytes_as_a_table(data):
    _reads_or_tells({"openings.csv": data})


@MANY
@given(st.binary(max_size=300))
def test_bytes_as_a_document(data):
    _reads_or_tells({"site.json": data}, "site.json")


@MANY
@given(st.binary(max_size=200))
def test_bytes_as_a_mapping_file(data):
    _reads_or_tells({**{name: text.encode() for name, text in SOUND.items()}, "mapping.toml": data})


@MANY
@given(st.text(st.sampled_from("mark,level\n\r\";\t#='x_ 1"), max_size=80))
def test_text_that_looks_like_a_table(text):
    _reads_or_tells({"openings.csv": text.encode(), "site.csv": b"key,value\n" + text.encode()})


@st.composite
def tables(draw: st.DrawFn) -> dict[str, bytes]:
    """Tables with sound headers and anything in their cells."""
    files = {}
    for table in draw(st.lists(st.sampled_from(sorted(TABLES)), max_size=4, unique=True)):
        columns = draw(st.lists(st.sampled_from(sorted(fields_of(table))), min_size=1, max_size=6, unique=True))
        rows = draw(st.lists(st.lists(CELLS, min_size=len(columns), max_size=len(columns)), max_size=4))
        quoted = [",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows]
        files[f"{table}.csv"] = "\n".join([",".join(columns), *quoted]).encode("utf-8", "surrogatepass")
    return files


@MANY
@given(tables())
def test_anything_in_the_cells(files):
    _reads_or_tells({name: text.encode() for name, text in SOUND.items()} | files)


VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), CELLS),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(CELLS, inner, max_size=3)),
    max_leaves=6,
)


@st.composite
def documents(draw: st.DrawFn) -> object:
    """Documents with sound names and anything behind them."""
    document: dict[str, object] = {}
    for table in draw(st.lists(st.sampled_from(["info", *TABLES]), max_size=4, unique=True)):
        record = st.dictionaries(st.sampled_from(sorted(fields_of(table))), VALUES, max_size=6)
        document[table] = draw(record if table == "info" else st.lists(record, max_size=3))
    return document


@MANY
@given(documents())
def test_anything_in_the_fields(document):
    _reads_or_tells({"site.json": json.dumps(document).encode()}, "site.json")
