"""A document is read with a JSON pointer for every fault, and the published schema describes what is read."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
import riserkit_json
from hypothesis import HealthCheck, given, settings
from riserkit_json.schema import schema_text, site_schema

from riserkit.model.tables import RECORDS, fields_of
from riserkit.plugin.read import read_site
from tests.plugins.writers import to_json

from .sites import sites

DOOR = '{"mark": "101", "level": "L1", "x_m": 3, "y_m": 4}'
SOUND = f'{{"levels": [{{"id": "L1", "elevation_m": 0}}], "openings": [{DOOR}]}}'


def _with(door: str) -> str:
    return SOUND.replace(DOOR, door)


# document, then for every problem: pointer, column, value seen, part of what would be accepted
CASES = {
    "nested 10,000 deep": (
        "[" * 10_000 + "]" * 10_000,
        [("line 1, column 33", "", "", "no more than 32 levels of brackets")],
    ),
    "nested 500 deep": (
        _with(DOOR.replace("3", "[" * 500 + "]" * 500)),
        [
            ("/openings/0", "x_m", "", "this is an array"),
            ("/openings/0/x_m" + "/0" * 30, "", "", "no more than 32 levels"),
        ],
    ),
    "name twice": (
        _with(DOOR.replace('"x_m"', '"x_m": 1, "x_m"')),
        [("/openings/0/x_m", "", "", "this one is repeated")],
    ),
    "not a number": (_with(DOOR.replace("3", "NaN")), [("/openings/0/x_m", "", "NaN", "expected a finite number")]),
    "infinity": (_with(DOOR.replace("3", "-Infinity")), [("/openings/0/x_m", "", "-Infinity", "finite number")]),
    "beyond any range": (_with(DOOR.replace("3", "1e999")), [("/openings/0/x_m", "", "1e999", "finite number")]),
    "5,000 digits": (
        _with(DOOR.replace("3", "1" * 5000)),
        [("/openings/0/x_m", "", "1" * 60 + "... (5000 characters)", "finite number")],
    ),
    "399 digits": (
        _with(DOOR.replace("3", "9" * 399)),
        [("/openings/0", "x_m", "9" * 60 + "... (399 characters)", "finite number")],
    ),
    "an array on top": ("[]", [("", "", "", "expected an object with openings, levels and so on; this is an array")]),
    "a number on top": ("3", [("", "", "", "this is a number")]),
    "no number on top": ("NaN", [("", "", "", "this is a number"), ("", "", "NaN", "expected a finite number")]),
    "null on top": ("null", [("", "", "", "this is null")]),
    "unknown table": (SOUND.replace("{", '{"opening": [], ', 1), [("/opening", "", "", "did you mean openings?")]),
    "name with a slash": (SOUND.replace("{", '{"a/b~c": [], ', 1), [("/a~1b~0c", "", "", "not the name of a table")]),
    "table that is an object": ('{"openings": {}}', [("/openings", "", "", "an array of objects; this is an object")]),
    "record that is text": (_with('"101"'), [("/openings/0", "", "", "object with the record's fields; this is text")]),
    "info that is an array": (SOUND.replace("{", '{"info": [], ', 1), [("/info", "", "", "this is an array")]),
    "unknown field": (
        _with(DOOR.replace("x_m", "x")),
        [
            ("/openings/0", "x", "3", "not known for openings; "),
            ("/openings/0", "x_m", "", "this one is required"),
        ],
    ),
    "field of several values": (_with(DOOR.replace("3", "{}")), [("/openings/0", "x_m", "", "this is an object")]),
    "list with an object in it": (
        _with(DOOR.replace("}", ', "interlocked_with": ["102", {}]}')),
        [
            (
                "/openings/0",
                "interlocked_with",
                "",
                'expected text such as "A, B", or an array of texts such as ["A", "B"]; '
                "this is an array with an object in it",
            )
        ],
    ),
    "list with yes in it": (
        _with(DOOR.replace("}", ', "interlocked_with": [true]}')),
        [("/openings/0", "interlocked_with", "", "this is an array with true or false in it")],
    ),
    "list that is an object": (
        _with(DOOR.replace("}", ', "interlocked_with": {"102": true}}')),
        [("/openings/0", "interlocked_with", "", '["A", "B"]; this is an object')],
    ),
    "names of a list that are not there": (
        _with(DOOR.replace("}", ', "interlocked_with": ["102", "103"]}')),
        [
            ("/openings/0", "interlocked_with", "102", "expected"),
            ("/openings/0", "interlocked_with", "103", "expected"),
        ],
    ),
    "one text of several": (
        _with(DOOR.replace("}", ', "remarks": ["closer", "bell"]}')),
        [("/openings/0", "remarks", "", "expected one text; this is an array")],
    ),
    "null where a value belongs": (_with(DOOR.replace("3", "null")), [("/openings/0", "x_m", "null", "42 m")]),
    "true where a quantity belongs": (_with(DOOR.replace("3", "true")), [("/openings/0", "x_m", "True", "42 m")]),
    "true where a whole number belongs": (
        _with(DOOR.replace("}", ', "lock_count": true}')),
        [("/openings/0", "lock_count", "True", "not yes or no")],
    ),
    "half a surrogate pair": (
        _with(DOOR.replace("101", "\\ud800")),
        [("/openings/0", "mark", "\ud800", "expected whole characters")],
    ),
    "half a surrogate pair in a name": (
        _with(DOOR.replace("}", ', "name": "\\ud800"}')),
        [("/openings/0", "name", "\ud800", "whole characters")],
    ),
    "half a surrogate pair in a field's name": (
        _with(DOOR.replace("}", ', "\\udfff": 1}')),
        [("/openings/0", "\udfff", "1", "whole characters")],
    ),
    "half a surrogate pair in an id that others offer": (
        _with(DOOR.replace("L1", "L3")).replace('"L1"', '"\\ud800"'),
        [("/levels/0", "id", "\ud800", "whole"), ("/openings/0", "level", "L3", "there are none")],
    ),
    "fact out of bounds": (
        SOUND.replace("{", '{"info": {"ambient_c": 200, "relay": "contact-reed"}, ', 1),
        [
            ("/info", "ambient_c", "200", "expected at most 100 °C"),
            ("/info", "relay", "contact-reed", "expected a part of kind relay; this one is of kind door-contact"),
        ],
    ),
    "dangling references": (
        _with(DOOR.replace("L1", "L3").replace("}", ', "lock": "x"}')),
        [
            ("/openings/0", "level", "L3", "expected L1, the only one"),
            ("/openings/0", "lock", "x", "expected one of the"),
        ],
    ),
    "empty": ("", [("", "", "", "the file is empty")]),
    "only blanks": (" \n", [("", "", "", "the file is empty")]),
    "trailing garbage": (SOUND + "\n x", [("line 2, column 2", "", "", "expected JSON; extra data")]),
    "comma missing": ('{"openings": []\n "levels": []}', [("line 2, column 2", "", "", "expecting ',' delimiter")]),
    "single quotes": ("{'a': 1}", [("line 1, column 2", "", "", "double quotes")]),
    "no openings": ("{}", [("", "", "", "expected at least one opening")]),
    "empty openings": ('{"openings": []}', [("/openings", "", "", "expected at least one opening")]),
}


@pytest.mark.parametrize("case", CASES)
def test_every_fault_is_told_with_its_place(case, tmp_path, problems_of):
    text, expected = CASES[case]
    path = tmp_path / "site.json"
    path.write_text(text, "utf-8")
    problems = problems_of(path)
    found = [(p.where.pointer, p.column, p.seen) for p in problems]
    assert found == [tuple(place) for *place, _ in expected], "\n".join(map(str, problems))
    assert {p.where.file for p in problems} == {"site.json"}
    for problem, (*_, accepted) in zip(problems, expected, strict=True):
        assert accepted in problem.accepted
        assert str(problem).encode("utf-8"), "every problem can be printed"


@pytest.mark.parametrize(
    ("written", "kept"),
    [('["102", 103]', "102, 103"), ('["102"]', "102"), ('["none"]', "none"), ("[]", ""), ('"102, 103"', "102, 103")],
)
def test_a_list_of_names_is_an_array_or_one_text(tmp_path, written, kept):
    doors = [DOOR.replace("}", f', "interlocked_with": {written}}}'), *(DOOR.replace("101", m) for m in ("102", "103"))]
    path = tmp_path / "site.json"
    path.write_text(_with(", ".join(doors)), "utf-8")
    assert read_site(path).opening["101"].interlocked_with == kept


def test_supplies_and_sheets_are_listed_as_arrays_too(tmp_path):
    """Every list of names, for each has the same mark on its type."""
    supplies = ", ".join(
        f'{{"id": "{one}", "part": "supply-24-4", "closet": "C", "minus_joined": {others}}}'
        for one, others in (("PS-1", '["PS-2"]'), ("PS-2", '"PS-1"'))
    )
    closet = '"closets": [{"id": "C", "level": "L1", "x_m": 1, "y_m": 1}]'
    path = tmp_path / "site.json"
    path.write_text(SOUND.replace("{", f'{{{closet}, "supplies": [{supplies}], ', 1), "utf-8")
    site = read_site(path)
    assert [site.supply[one].minus_joined for one in ("PS-1", "PS-2")] == ["PS-2", "PS-1"]
    listed = {(table, name) for table in RECORDS for name, field in fields_of(table).items() if field.separator}
    assert listed == {
        ("openings", "interlocked_with"), ("supplies", "minus_joined"), ("acceptances", "doors"), ("revisions", "sheets"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("data", "place", "accepted"),
    [
        (b'{"openings":\n "\xff"}', "line 2", "byte 16 of the file (0xff) is not"),
        (b"\xff\xd8\xff\xe0", "line 1", "expected text in UTF-8; byte 1 of the file"),
        (b"\xff\xfe{", "line 1", "expected text in UTF-8"),
        (b"\0\0", "line 1, column 1", "expected JSON"),
    ],
)
def test_bytes_that_are_no_text(data, place, accepted, tmp_path, problems_of):
    path = tmp_path / "site.json"
    path.write_bytes(data)
    (problem,) = problems_of(path)
    assert problem.where.pointer == place
    assert accepted in problem.accepted


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_marks_of_byte_order(encoding, tmp_path):
    path = tmp_path / "any name.json"
    path.write_bytes(SOUND.replace("101", "ä1").encode(encoding))
    assert read_site(path).openings[0].mark == "ä1"


def test_a_folder_with_a_document(tmp_path):
    (tmp_path / "site.json").write_text(SOUND)
    assert len(read_site(tmp_path).openings) == 1


def test_quantities_and_numbers_as_text(tmp_path):
    path = tmp_path / "site.json"
    path.write_text(_with(DOOR.replace("3", '"12 ft"').replace("}", ', "lock_count": "2", "outdoor": "yes"}')))
    opening = read_site(path).openings[0]
    # 12 ft = 3.6576 m exactly (NIST SP 811 B.8)
    assert (opening.x_m, opening.lock_count, opening.outdoor) == (pytest.approx(3.6576, rel=1e-15), 2, True)


def test_a_mapping_file_is_not_ignored_in_silence(tmp_path, problems_of):
    path = tmp_path / "site.json"
    path.write_text(SOUND)
    (problem,) = problems_of(path, {"mapping": "ours.toml"})
    assert "expected no mapping file" in problem.accepted


def test_problems_stand_in_reading_order(tmp_path, problems_of):
    path = tmp_path / "site.json"
    doors = ", ".join(DOOR.replace("101", str(n)).replace("L1", "L9" if n in {2, 10} else "L1") for n in range(12))
    path.write_text(SOUND.replace(DOOR, doors))
    assert [p.where.pointer for p in problems_of(path)] == ["/openings/2", "/openings/10"]


def test_the_published_schema_is_current():
    """After a change to the model: python -m riserkit_json.schema > plugins/riserkit_json/site.schema.json."""
    published = Path(riserkit_json.__file__).parent / "site.schema.json"
    assert published.read_text("utf-8") == schema_text()


def test_the_schema_is_one():
    jsonschema.Draft202012Validator.check_schema(site_schema())


VALIDATOR = jsonschema.Draft202012Validator(site_schema())


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(sites())
def test_whatever_is_written_is_valid(site):
    assert [error.message for error in VALIDATOR.iter_errors(json.loads(to_json(site)))] == []


@pytest.mark.parametrize(
    ("wrong", "word"),
    [
        (_with(DOOR.replace("x_m", "x")), "x"),
        (_with(DOOR.replace("}", ', "outdoor": 3}')), "3"),
        (_with(DOOR.replace("3", "null")), "None"),
        ('{"levels": []}', "openings"),
        (SOUND.replace("{", '{"opening": [], ', 1), "opening"),
        (SOUND.replace("{", '{"parts": [{"id": "P", "kind": "stryke"}], ', 1), "stryke"),
    ],
)
def test_the_schema_refuses(wrong, word):
    assert any(word in error.message for error in VALIDATOR.iter_errors(json.loads(wrong)))


@pytest.mark.parametrize(
    "good", [SOUND, _with(DOOR.replace("3", '"12 ft"')), SOUND.replace("{", '{"$schema": "x", ', 1)]
)
def test_the_schema_accepts_what_is_read(good, tmp_path):
    assert list(VALIDATOR.iter_errors(json.loads(good))) == []
    (tmp_path / "a.json").write_text(good)
    assert read_site(tmp_path / "a.json").openings
