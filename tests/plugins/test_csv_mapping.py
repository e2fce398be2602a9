"""A foreign list becomes a site through a mapping file, and a wrong mapping file says what is wrong with it."""

from __future__ import annotations

from pathlib import Path

import pytest
from riserkit_csv.mapping import read_mapping

from riserkit.plugin.read import read_raw, read_site

# Somebody else's door list: other names, a total row, millimetres, another encoding.
DOORS = (
    "Door No.;Storey;East;North;Leaf;Exposure;Controlled;Remarks\n"
    "101;Ground;3,5;4;915;ext.;yes;Bürotür\n"
    "102;Ground;5;6;1830;int.;yes;\n"
    "103;Ground;7;8;915;int.;no;=A1\n"
    "Sum;;;;3660;;;\n"
).encode("cp1252")
MAPPING = """
ignore = ["notes.csv"]
[values.storey]
Ground = "L1"
[openings]
file = "doors.csv"
delimiter = ";"
encoding = "cp1252"
decimal = ","
ignore = ["Controlled"]
[openings.columns]
mark = "Door No."
level = "Storey"
x_m = "East"
y_m = "north"
width_m = { column = "Leaf", unit = "mm" }
outdoor = "Exposure"
name = "Remarks"
[openings.values]
level = "storey"
outdoor = { "ext." = true, "int." = "no" }
[openings.defaults]
name = "Door"
secured_side = "inside"
[openings.constants]
lock = "strike-12-secure"
[[openings.keep]]
column = "Controlled"
in = ["yes"]
[[openings.keep]]
column = "Storey"
filled = true
[site.constants]
name = "Works"
"""


def _folder(write, mapping: str = MAPPING, **more):
    return write({"openings.csv": None, "doors.csv": DOORS, "notes.csv": "a\n", "mapping.toml": mapping, **more})


def test_a_foreign_list(write):
    site = read_site(_folder(write))
    first, second = site.openings
    assert (first.mark, first.level, first.x_m, first.width_m, first.outdoor) == ("101", "L1", 3.5, 0.915, True)
    assert (second.width_m, second.outdoor) == (1.83, False)
    assert (first.name, second.name) == ("Bürotür", "Door"), "a default fills an empty cell only"
    assert {o.secured_side for o in site.openings} == {"inside"}, "a default does without a column"
    assert {o.lock for o in site.openings} == {"strike-12-secure"}
    assert site.info.name == "Works", "a constant wins over site.csv"


def test_rows_left_out_are_counted(write):
    notes = read_raw(_folder(write)).notes
    assert notes == ("doors.csv: 2 of 4 rows kept for openings as mapping.toml says",)


def test_notes_are_logged_by_read_site(write, caplog):
    with caplog.at_level("INFO", logger="riserkit"):
        read_site(_folder(write))
    assert "2 of 4 rows kept" in caplog.text


def test_a_mapping_file_elsewhere(write, tmp_path):
    folder = _folder(write)
    elsewhere = (folder / "mapping.toml").rename(tmp_path / "ours.toml")
    assert len(read_site(folder, {"mapping": str(elsewhere)}).openings) == 2


def test_a_mapping_file_that_is_not_there(write, problems_of, tmp_path):
    problems = problems_of(write(), {"mapping": str(tmp_path / "none.toml")})
    assert str(problems[0]) == "none.toml; expected a file that can be read: No such file or directory"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16-le"])
def test_a_stated_encoding_with_a_mark_of_byte_order(encoding, write):
    table = "\ufeff# ours\nmark,level,x_m,y_m\nä,L1,1,1\n".encode(encoding)
    mapping = f'[openings]\nencoding = "{encoding}"\n'
    assert read_site(write({"openings.csv": table, "mapping.toml": mapping})).openings[0].mark == "ä"


def test_one_column_for_two_fields_and_one_file_for_two_tables(write):
    changes = {
        "levels.csv": None,
        "floors.csv": "level,elevation_m,house\nL1,0,B1\n",
        "mapping.toml": """
            [levels]
            file = "floors.csv"
            columns = { id = "level", name = "level", building = "house" }
            [buildings]
            file = "floors.csv"
            columns = { id = "house" }
            ignore = ["*"]
        """,
    }
    site = read_site(write(changes))
    assert (site.levels[0].name, site.levels[0].building, site.buildings[0].id) == ("L1", "B1", "B1")


@pytest.mark.parametrize(
    ("keep", "marks"),
    [
        ('{ column = "mark", in = [101, "103"] }', ["101", "103"]),
        ('{ column = "mark", not_in = ["101"] }', ["102", "103"]),
        ('{ column = "name", filled = true }', ["101", "103"]),
        ('{ column = "name", filled = false }', ["102"]),
        ('[{ column = "name", filled = true }, { column = "mark", not_in = ["103"] }]', ["101"]),
    ],
)
def test_keep(keep, marks, write):
    changes = {
        "openings.csv": "mark,level,x_m,y_m,name\n101,L1,1,1,a\n102,L1,1,1,\n103,L1,1,1,c\n",
        "mapping.toml": f'[openings]\nkeep = {keep}\n[openings.columns]\nname = "name"\nmark = "mark"\n',
    }
    assert [o.mark for o in read_site(write(changes)).openings] == marks


SMALL = "[openings]\n"
# mapping file, then pointer, value seen and part of what would do, for the first problem
FAULTS = {
    "no TOML": ("[openings", "end of document", "", "expected a mapping file in TOML; Expected ']'"),
    "not text": ("\x00", "line 1", "", "control character"),
    "endless brackets": ("a = " + "[" * 5000, "", "", "expected a mapping file in TOML"),
    "unknown table": ("[opening]\n", "opening", "", "did you mean openings?"),
    "table that is a value": ("openings = 3\n", "openings", "3", "expected a table such as [openings]"),
    "unknown setting": (SMALL + 'colums = {}\n', "openings.colums", "", "did you mean columns?"),
    "setting of the wrong kind": (SMALL + "file = 3\n", "openings.file", "3", "expected text"),
    "long delimiter": (SMALL + 'delimiter = "::"\n', "openings.delimiter", "::", "expected '', ',', ';', '\\t', '|' or ':'"),
    "decimal sign": (SMALL + 'decimal = ":"\n', "openings.decimal", ":", "expected '', ',' or '.'"),
    "unknown field": (SMALL + 'columns = { hight = "H" }\n', "openings.columns.hight", "", "did you mean height_m"),
    "unknown field of values": (SMALL + "values = { z = {} }\n", "openings.values.z", "", "not a field of openings"),
    "column that is not there": (
        SMALL + 'columns = { name = "marc" }\n', "openings.columns.name", "marc",
        "expected a column of openings.csv; did you mean mark?",
    ),
    "unit of another quantity": (
        SMALL + 'columns = { x_m = { column = "x_m", unit = "V" } }\n', "openings.columns.x_m", "V", "expected a unit",
    ),
    "column setting unknown": (
        SMALL + 'columns = { x_m = { column = "x_m", units = "mm" } }\n', "openings.columns.x_m.units", "mm",
        "did you mean unit?",
    ),
    "values by a name that is not there": (
        '[values.storey]\n[openings.values]\nlevel = "story"\n', "openings.values.level", "story",
        "did you mean storey?",
    ),
    "values that are none": ("values = 3\n", "values", "3", "expected tables of values"),
    "file that is not there": (SMALL + 'file = "doors.csv"\n', None, "", "No such file"),
    "keep by a column that is not there": (
        SMALL + 'keep = { column = "Mrk", in = ["1"] }\n', "openings.keep.0", "Mrk", "did you mean mark?",
    ),
    "keep what no row has": (
        SMALL + 'keep = { column = "mark", in = ["101", "1O2"] }\n', "openings.keep.0", "1O2",
        "expected a value of column mark in openings.csv; did you mean",
    ),
    "keep setting unknown": (
        SMALL + 'keep = { column = "mark", out = ["1"] }\n', "openings.keep.0.out", "", "known: column, filled, in",
    ),
    "keep without a condition": (
        SMALL + 'keep = { column = "mark" }\n', "openings.keep.0", "", "expected in, not_in or filled beside the column",
    ),
    "constant that is a list": (
        SMALL + 'constants = { lock = ["x"] }\n', "openings.constants.lock", "",
        "expected text, a number, a date, true or false",
    ),
    "encoding that is none": (SMALL + 'encoding = "hex"\n', None, "", "expected text in the stated encoding 'hex'"),
    "constant out of bounds": (
        SMALL + "constants = { width_m = 900 }\n", "openings.constants.width_m", "900", "expected at most 20 m",
    ),
    "default that dangles": (
        SMALL + 'defaults = { lock = "lok" }\n', "openings.defaults.lock", "lok", "expected one of the",
    ),
    "yes where a quantity belongs": (
        SMALL + "constants = { width_m = true }\n", "openings.constants.width_m", "True", "expected 42, 42 m",
    ),
    "yes where a whole number belongs": (
        SMALL + "constants = { lock_count = true }\n", "openings.constants.lock_count", "True", "not yes or no",
    ),
    "fact of no site": ("[site.constants]\nnames = 1\n", "site.constants.names", "", "did you mean name?"),
    "files to ignore": ('ignore = "x"\n', "ignore", "x", "expected a list of file names"),
}  # fmt: skip


@pytest.mark.parametrize("case", FAULTS)
def test_faults_of_a_mapping_file(case, write, problems_of):
    mapping, pointer, seen, accepted = FAULTS[case]
    folder = write({"mapping.toml": mapping})
    problems = problems_of(folder)
    mine = [p for p in problems if p.where.file == "mapping.toml"] or list(problems)
    if pointer is not None:
        assert (mine[0].where.pointer, mine[0].seen) == (pointer, seen), "\n".join(map(str, problems))
    assert accepted in mine[0].accepted
    assert len({str(p) for p in mine}) == len(mine)


def test_a_date_may_be_written_as_toml_has_dates(write):
    site = read_site(write({"mapping.toml": "[site.constants]\nissue_date = 2026-03-14\n"}))
    assert site.info.issue_date.isoformat() == "2026-03-14"


def test_a_fault_in_a_constant_is_told_once_not_for_every_row(write, problems_of):
    problems = problems_of(write({"mapping.toml": '[openings.constants]\nlock = "lok"\n'}))
    assert [str(p.where) for p in problems] == ["mapping.toml, openings.constants.lock"]


def test_the_table_that_the_mapping_replaces_must_not_lie_beside_it(write, problems_of):
    changes = {"doors.csv": "mark,level,x_m,y_m\n1,L1,1,1\n", "mapping.toml": '[openings]\nfile = "doors.csv"\n'}
    (problem,) = problems_of(write(changes))
    assert problem.where.file == "openings.csv"
    assert "mapping.toml says doors.csv" in problem.accepted


def test_a_table_of_the_same_name_elsewhere_does_not_hide_the_one_here(write, problems_of):
    folder = write({"mapping.toml": '[openings]\nfile = "more/openings.csv"\n'})
    (folder / "more").mkdir()
    (folder / "more" / "openings.csv").write_bytes((folder / "openings.csv").read_bytes())
    (problem,) = problems_of(folder)
    assert "mapping.toml says more/openings.csv" in problem.accepted


def test_a_translated_value_is_shown_as_it_stands_in_the_list(write, problems_of):
    changes = {
        "openings.csv": "mark,level,x_m,y_m\n1,Attic,1,1\n",
        "mapping.toml": '[openings.values.level]\nAttic = "L7"\n',
    }
    (problem,) = problems_of(write(changes))
    assert (problem.where.row, problem.seen) == (2, "Attic")


def test_the_mapping_file_in_the_readme_is_sound():
    readme = (Path(__file__).resolve().parents[2] / "README.md").read_text("utf-8")
    example = readme.split("```toml\n")[1].split("```")[0]
    mapping, problems = read_mapping("mapping.toml", example.encode())
    assert not problems
    assert mapping.table("openings").columns["width_m"].unit == "mm"
    assert mapping.table("openings").keep[0].in_ == ["yes"]


@pytest.mark.parametrize("field", ["width_m", "port", "outdoor", "egress", "lock"])
def test_a_value_translated_to_nothing_is_an_empty_cell(field, tmp_path):
    (tmp_path / "levels.csv").write_text("id,elevation_m\nL1,0\n")
    (tmp_path / "openings.csv").write_text(f"mark,level,x_m,y_m,{field}\n1,L1,0,0,n/a\n2,L1,1,0,n/a\n")
    (tmp_path / "mapping.toml").write_text(f'[openings.values]\n{field} = {{ "n/a" = "" }}\n')
    assert [o.mark for o in read_site(tmp_path).openings] == ["1", "2"]


def test_a_value_translated_to_nothing_takes_the_default(tmp_path):
    (tmp_path / "levels.csv").write_text("id,elevation_m\nL1,0\n")
    (tmp_path / "openings.csv").write_text("mark,level,x_m,y_m,width_m\n1,L1,0,0,n/a\n")
    mapping = '[openings.values]\nwidth_m = { "n/a" = "" }\n[openings.defaults]\nwidth_m = "915 mm"\n'
    (tmp_path / "mapping.toml").write_text(mapping)
    assert read_site(tmp_path).openings[0].width_m == pytest.approx(0.915)


def test_one_column_may_serve_two_fields(tmp_path):
    (tmp_path / "levels.csv").write_text("id,elevation_m\nL1,0\n")
    (tmp_path / "openings.csv").write_text("Door,level,x_m,y_m,Hardware\n1,L1,0,0,S1\n")
    (tmp_path / "mapping.toml").write_text(
        '[openings.columns]\nmark = "Door"\nname = "Door"\nlock = "Hardware"\nfail_mode = "Hardware"\n'
        '[openings.values]\nlock = { S1 = "strike-12-secure" }\nfail_mode = { S1 = "Fail Secure" }\n'
    )
    (opening,) = read_site(tmp_path).openings
    assert (opening.mark, opening.name) == ("1", "1")
    assert (opening.lock, opening.fail_mode) == ("strike-12-secure", "fail-secure")
    (tmp_path / "openings.csv").write_text("mark,level,x_m,y_m\n1,L1,0,0\n")
    (tmp_path / "mapping.toml").write_text('[openings.columns]\nname = "mark"\n')
    (opening,) = read_site(tmp_path).openings
    assert (opening.mark, opening.name) == ("1", "1")
