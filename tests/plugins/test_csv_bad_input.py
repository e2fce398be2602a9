"""Each fault of a table is one problem that names file, row, column, the value seen and what would do."""

from __future__ import annotations

import csv

import pytest

from riserkit.model.problems import InputError
from riserkit.plugin.read import read_site

OPENINGS = "mark,level,x_m,y_m"


def _door(columns: str = "", values: str = "", mark: str = "101") -> str:
    return f"{OPENINGS}{columns and ','}{columns}\n{mark},L1,3,4{columns and ','}{values}\n"


# id: (changed files, then file, row, column, seen, part of what would be accepted - for every problem there is)
CASES = {
    "length beyond all bounds": (
        {"runs.csv": "id,from_end,to_end,length_m\nR1,TR1,101,1e9\n"},
        [("runs.csv", 2, "length_m", "1e9", "expected at most 10000 m")],
    ),
    "length of nothing": (
        {"runs.csv": "id,from_end,to_end,length_m\nR1,TR1,101,0\n"},
        [("runs.csv", 2, "length_m", "0", "expected more than 0 m")],
    ),
    "unit of another quantity": (
        {"runs.csv": "id,from_end,to_end,length_m\nR1,TR1,101,12 V\n"},
        [("runs.csv", 2, "length_m", "12 V", "unit 'V' is not one of m, mm")],
    ),
    "negative ports": (
        {"switches.csv": "id,closet,ports\nSW1,TR1,-5\n"},
        [("switches.csv", 2, "ports", "-5", "expected at least 1")],
    ),
    "ports and a half": (
        {"switches.csv": "id,closet,ports\nSW1,TR1,24.5\n"},
        [("switches.csv", 2, "ports", "24.5", "expected a whole number")],
    ),
    "level that is not there": (
        {"openings.csv": f"{OPENINGS}\n101,L2,3,4\n"},
        [("openings.csv", 2, "level", "L2", "expected L1, the only one of the levels")],
    ),
    "no levels at all": (
        {"levels.csv": None, "closets.csv": None, "switches.csv": None},
        [("openings.csv", n, "level", "L1", "expected one of the levels, but there are none") for n in (2, 3)],
    ),
    "two doors with one mark": (
        {"openings.csv": f"{OPENINGS}\n101,L1,3,4\n102,L1,3,4\n101,L1,5,6\n"},
        [("openings.csv", 4, "mark", "101", "openings.csv, row 2 has this one")],
    ),
    "the same mark in a row that is refused for something else": (
        {"openings.csv": f"{OPENINGS}\n101,L1,3,4\n101,L1,west,6\n"},
        [
            ("openings.csv", 3, "mark", "101", "openings.csv, row 2 has this one"),
            ("openings.csv", 3, "x_m", "west", "expected 42, 42 m"),
        ],
    ),
    "mark with a quote": (
        {"openings.csv": _door(mark='"1""1"')},
        [("openings.csv", 2, "mark", '1"1', "without \", such as 101A")],
    ),
    "mark with slash, bracket and emoji": (
        {"openings.csv": _door(mark="1/<\U0001f6aa")},
        [("openings.csv", 2, "mark", "1/<\U0001f6aa", "without / < \U0001f6aa")],
    ),
    "mark of 300 characters": (
        {"openings.csv": _door(mark="9" * 300)},
        [("openings.csv", 2, "mark", "9" * 60 + "... (300 characters)", "at most 24 characters, this has 300")],
    ),
    "formula": (
        {"openings.csv": _door("name", "=HYPERLINK(1)")},
        [("openings.csv", 2, "name", "=HYPERLINK(1)", "this is a formula")],
    ),
    "formula as a number": (
        {"openings.csv": f"{OPENINGS}\n101,L1,=A1,4\n"},
        [("openings.csv", 2, "x_m", "=A1", "this is a formula")],
    ),
    "formula beside a dangling reference": (
        {"openings.csv": f"{OPENINGS}\n101,L9,=A1,4\n"},
        [
            ("openings.csv", 2, "level", "L9", "expected L1, the only one of the levels"),
            ("openings.csv", 2, "x_m", "=A1", "this is a formula"),
        ],
    ),
    "line break in a name": (
        {"openings.csv": _door("name", '"Front\ndoor"')},
        [("openings.csv", 2, "name", "Front\ndoor", "without control characters or line breaks")],
    ),
    "line in a quoted cell that looks like a comment": (
        {"openings.csv": _door("name", '"Front\n# door"')},
        [("openings.csv", 2, "name", "Front\n# door", "line breaks")],
    ),
    "neither yes nor no": (
        {"openings.csv": _door("outdoor", "perhaps")},
        [("openings.csv", 2, "outdoor", "perhaps", "expected yes or no")],
    ),
    "word that is none of the choices": (
        {"openings.csv": _door("fail_mode", "as-is")},
        [("openings.csv", 2, "fail_mode", "as-is", "'fail-safe' or 'fail-secure'")],
    ),
    "egress that is none of the choices": (
        {"openings.csv": _door("egress", "somehow")},
        [("openings.csv", 2, "egress", "somehow", "expected 'none', 'mechanical'")],
    ),
    "number that could be a thousand": (
        {"openings.csv": f'{OPENINGS}\n101,L1,"1,250",4\n'},
        [("openings.csv", 2, "x_m", "1,250", "could be 1250 or 1.250")],
    ),
    "empty cell where one is required": (
        {"openings.csv": f"{OPENINGS}\n101,L1,,4\n"},
        [("openings.csv", 2, "x_m", "", "this one is required")],
    ),
    "required column missing is said once": (
        {"openings.csv": "mark,level,x_m\n101,L1,3\n102,L1,3\n"},
        [("openings.csv", 1, "y_m", "", "expected a column of this name; it is required")],
    ),
    "unknown column with a close name": (
        {"openings.csv": _door("Hieght m", "2")},
        [("openings.csv", 1, "Hieght m", "", "did you mean height_m")],
    ),
    "column twice": (
        {"openings.csv": _door("X M", "3")},
        [("openings.csv", 1, "X M", "", "expected one column for x_m; column 3 is read as that")],
    ),
    "two columns for one field": (
        {"openings.csv": _door("x ft", "3")},
        [("openings.csv", 1, "x ft", "", "column 3 is read as that already")],
    ),
    "nameless column with a value": (
        {"openings.csv": "mark,,level,x_m,y_m\n101,,L1,3,4\n102,oak,L1,3,4\n"},
        [("openings.csv", 1, "", "", "expected a name for column 2; it has a value in row 3")],
    ),
    "row too short": (
        {"openings.csv": f"{OPENINGS}\n101,L1,3\n"},
        [
            ("openings.csv", 2, "", "", "expected 4 cells as in the header; this row has 3"),
            ("openings.csv", 2, "y_m", "", "required"),
        ],
    ),
    "row too long": (
        {"openings.csv": f"{OPENINGS}\n101,L1,3,4,oak\n"},
        [("openings.csv", 2, "", "oak", "expected 4 cells as in the header; this row has 5")],
    ),
    "quote never closed": (
        {"openings.csv": f'{OPENINGS},name\n101,L1,3,4,"Front\n102,L1,3,4,Back\n'},
        [("openings.csv", 2, "", "", "expected a closing quote")],
    ),
    "text after a closing quote": (
        {"openings.csv": f'{OPENINGS},name\n101,L1,3,4,"Front" door\n102,L1,3,west,Back\n'},
        [
            ("openings.csv", 2, "", "", "to be doubled"),
            ("openings.csv", 3, "y_m", "west", "expected 42"),
        ],
    ),
    "row after a cell of three lines and a comment": (
        {"openings.csv": f'# list\n{OPENINGS},name\n\n101,L1,3,4,"a\nb\nc"\n# "\n102,L1,3,west,d\n'},
        [
            ("openings.csv", 4, "name", "a\nb\nc", "line breaks"),
            ("openings.csv", 6, "y_m", "west", "expected 42"),
        ],
    ),
    "empty file": ({"openings.csv": ""}, [("openings.csv", 1, "", "", "expected a header row")]),
    "nothing but comments": ({"levels.csv": "# a\n\n", "openings.csv": _door()}, [
        ("closets.csv", 2, "level", "L1", "there are none"),
        ("levels.csv", 1, "", "", "expected a header row"),
        ("openings.csv", 2, "level", "L1", "there are none"),
    ]),
    "header without rows": ({"openings.csv": f"{OPENINGS}\n"}, [("openings.csv", 0, "", "", "at least one opening")]),
    "no openings at all": ({"openings.csv": None}, [("openings.csv", 0, "", "", "at least one opening")]),
    "image": (
        {"levels.csv": b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + bytes(range(256)), "openings.csv": _door(),
         "closets.csv": None, "switches.csv": None},
        [
            ("levels.csv", 0, "", "", "this is a PNG image"),
            ("openings.csv", 2, "level", "L1", "there are none"),
        ],
    ),
    "workbook": ({"walls.csv": b"PK\x03\x04rest"}, [("walls.csv", 0, "", "", "save the sheet as CSV")]),
    "bytes of zero": (
        {"walls.csv": b"level,outline_wkt\nL1,\0\n"},
        [("walls.csv", 0, "", "", "control character (U+0000)")],
    ),
    "bytes that no encoding has": ({"walls.csv": b"level\x81"}, [("walls.csv", 0, "", "", "in none of them")]),
    "file that is no table": (
        {"opening.csv": "mark\n", "doors.csv": "a\n"},
        [
            ("doors.csv", 0, "", "", "not the name of a table; did you mean"),
            ("opening.csv", 0, "", "", "did you mean openings"),
        ],
    ),
    "one table in two files": (
        {"Openings.CSV": f"{OPENINGS}\n"},
        [("openings.csv", 0, "", "", "Openings.CSV is one")],
    ),
    "document beside the tables": ({"site.json": "{}"}, [("site.json", 0, "", "", "expected a site in one format")]),
    "unknown fact": (
        {"site.csv": "key,value\nnaem,Boathouse\n"},
        [("site.csv", 2, "key", "naem", "did you mean name")],
    ),
    "fact twice": ({"site.csv": "key,value\nname,A\nName,B\n"}, [("site.csv", 3, "key", "Name", "row 2 has it")]),
    "fact out of bounds": (
        {"site.csv": "key,value\n\nPathway C,400\nissue_date,14.3.2026\n"},
        [
            ("site.csv", 3, "Pathway C", "400", "expected at most 100 °C"),
            ("site.csv", 4, "issue_date", "14.3.2026", "YYYY-MM-DD"),
        ],
    ),
    "formula as a fact": ({"site.csv": "key,value\nname,=A1\n"}, [("site.csv", 2, "name", "=A1", "a formula")]),
    "facts with another header": (
        {"site.csv": "name,Boathouse\n"},
        [("site.csv", 1, "", "name,Boathouse", "two columns: key,value")],
    ),
    "cable of the site that is not there": (
        {"site.csv": "key,value\nhorizontal_cable,cat66\nlock_cable,om4-12\n"},
        [
            ("site.csv", 2, "horizontal_cable", "cat66", ": cat5e, cat6,"),
            ("site.csv", 3, "lock_cable", "om4-12", "expected a cable type of kind control or category"),
        ],
    ),
    "part without a kind": ({"parts.csv": "id,kind\nP1,\n"}, [("parts.csv", 2, "kind", "", "expected one of 'strike'")]),
    "part of no kind": (
        {"parts.csv": "id,kind\nP1,stryke\n"},
        [("parts.csv", 2, "kind", "stryke", "expected one of 'strike'")],
    ),
    "value that another kind of part has": (
        {"parts.csv": "id,kind,rated_v,poles\nP1,strike,12 V,2\n"},
        [("parts.csv", 2, "poles", "2", "not known for a part of kind strike")],
    ),
    "value of a part out of bounds": (
        {"parts.csv": "id,kind,Rated mV\nP1,strike,-5\n"},
        [("parts.csv", 2, "Rated mV", "-5", "expected more than 0 V")],
    ),
    "part of the wrong kind in a column": (
        {"openings.csv": _door("lock", "contact-reed")},
        [("openings.csv", 2, "lock", "contact-reed", "expected a part of kind strike or electromagnetic-lock")],
    ),
    "copper cable without gauge": (
        {"cable_types.csv": "id,kind\nown,control\n"},
        [("cable_types.csv", 2, "gauge", "", "expected a gauge")],
    ),
    "closets in a circle": (
        {"closets.csv": "id,level,x_m,y_m,fed_from\nTR1,L1,1,2,TR2\nTR2,L1,1,2,TR1\n"},
        [
            ("closets.csv", 2, "fed_from", "TR2", "fed TR1 from TR2 from TR1"),
        ],
    ),
    "port taken": (
        {"openings.csv": f"{OPENINGS},switch,port\n101,L1,3,4,SW1,7\n102,L1,3,4,SW1,7\n"},
        [("openings.csv", 3, "port", "7", "opening 101 is on this one")],
    ),
    "port of the uplink": (
        {"switches.csv": "id,closet,ports,uplink_ports\nSW1,TR1,24,2\n",
         "openings.csv": f"{OPENINGS},switch,port\n101,L1,3,4,SW1,23\n102,L1,3,4,SW1,22\n"},
        [("openings.csv", 2, "port", "23", "expected 1 to 22")],
    ),
    "port without a switch": (
        {"openings.csv": f"{OPENINGS},port\n101,L1,3,4,1\n"},
        [("openings.csv", 2, "port", "1", "expected a switch too")],
    ),
    "switch in another closet": (
        {"closets.csv": "id,level,x_m,y_m\nTR1,L1,1,2\nTR2,L1,1,2\n",
         "openings.csv": f"{OPENINGS},closet,switch\n101,L1,3,4,TR2,SW1\n102,L1,3,4,TR1,SW1\n"},
        [("openings.csv", 2, "closet", "TR2", "expected TR1, where switch SW1 is")],
    ),
    "run to nowhere": (
        {"runs.csv": "id,from_end,to_end\nR1,TR1,999\nR2,TR1,101/bell\nR3,TR1,TR1\n"},
        [
            ("runs.csv", 2, "to_end", "999", "expected a closet, a supply, an opening's mark"),
            ("runs.csv", 3, "to_end", "101/bell", "expected a device after '/'"),
            ("runs.csv", 4, "to_end", "TR1", "expected two different ends"),
        ],
    ),
    "run to a name of two things": (
        {"closets.csv": "id,level,x_m,y_m\nTR1,L1,1,2\n101,L1,1,2\n", "runs.csv": "id,from_end,to_end\nR1,TR1,101\n"},
        [("runs.csv", 2, "to_end", "101", "one of the closets and one of the openings")],
    ),
    "pathway back to itself, and twice": (
        {"pathway_nodes.csv": "id,level,x_m,y_m\nA,L1,0,0\nB,L1,1,0\n",
         "pathway_segments.csv": "id,from_node,to_node\nS1,A,A\nS2,A,B\nS3,B,A\n"},
        [
            ("pathway_segments.csv", 2, "to_node", "A", "expected two different nodes"),
            ("pathway_segments.csv", 4, "to_node", "A", "pathway_segments.csv, row 3 is one"),
        ],
    ),
    "outline that is none": (
        {"walls.csv": "level,outline_wkt\nL1,POINT (1 2)\n"},
        [("walls.csv", 2, "outline_wkt", "POINT (1 2)", "such as POLYGON ((0 0")],
    ),
    "acceptance without a reason": (
        {"acceptances.csv": "rule,subject,reason,name,date\nchannel-length,101,,R. Roe,2026-03-14\n"},
        [("acceptances.csv", 2, "reason", "", "required")],
    ),
    "two labels for one thing": (
        {"issued_labels.csv": "kind,subject,label\ncable,101,A-1\ncable,101,A-2\nport,101,A-1\n"},
        [("issued_labels.csv", 3, "subject", "101", "issued_labels.csv, row 2 has this one")],
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_every_fault_is_told_with_its_place(case, write, problems_of):
    changes, expected = CASES[case]
    problems = problems_of(write(changes))
    found = [(p.where.file, p.where.row, p.column, p.seen) for p in problems]
    assert found == [tuple(place) for *place, _ in expected], "\n".join(map(str, problems))
    for problem, (*_, accepted) in zip(problems, expected, strict=True):
        assert accepted in problem.accepted


def test_all_faults_of_all_files_are_told_at_once(write, problems_of):
    changes = {
        "levels.csv": "id,elevation_m\nL1,high\n",
        "closets.csv": "id,level,x_m,y_m\nTR1,L1,1,2\nTR 2,L1,1,2\n",
        "openings.csv": f"{OPENINGS},lock\n101,L1,3,4,stryke\n,L2,3,4,\n",
        "picture.csv": b"\xff\xd8\xff\xe0",
    }
    files = [(p.where.file, p.where.row, p.column) for p in problems_of(write(changes))]
    assert files == [
        ("closets.csv", 3, "id"),
        ("levels.csv", 2, "elevation_m"),
        ("openings.csv", 2, "lock"),
        ("openings.csv", 3, "level"),
        ("openings.csv", 3, "mark"),
        ("picture.csv", 0, ""),
    ]


def test_a_cell_of_a_megabyte_makes_one_short_line(write, problems_of):
    before = csv.field_size_limit()
    changes = {"openings.csv": _door("name", '"' + "y" * 1_000_000 + '"')}
    (problem,) = problems_of(write(changes))
    assert problem.seen.endswith("... (1000000 characters)")
    assert len(str(problem)) < 250
    assert csv.field_size_limit() == before, "the limit is the whole process's, so it must be put back"


def test_a_folder_in_place_of_a_table(write, problems_of):
    folder = write({"walls.csv": None})
    (folder / "walls.csv").mkdir()
    (problem,) = problems_of(folder)
    assert (problem.where.file, problem.accepted) == ("walls.csv", "expected a file; this is something else")


def test_one_table_where_the_folder_belongs(write, problems_of):
    (problem,) = problems_of(write() / "openings.csv")
    assert str(problem) == "openings.csv; expected the folder that holds the tables; this is one table"


@pytest.mark.parametrize("where", ["header", "cell", "site"])
def test_a_cell_longer_than_a_csv_reader_takes_is_one_problem(where, tmp_path):
    long = "x" * 200_000
    (tmp_path / "levels.csv").write_text("id,elevation_m\nL1,0\n")
    (tmp_path / "openings.csv").write_text(
        f"mark,level,x_m,y_m,name{',' + long if where == 'header' else ''}\n"
        f"1,L1,0,0,{long if where == 'cell' else 'n'}{',1' if where == 'header' else ''}\n"
    )
    if where == "site":
        (tmp_path / "site.csv").write_text(f"key,value\nname,{long}\n")
    with pytest.raises(InputError) as error:
        read_site(tmp_path)
    (problem,) = error.value.problems
    assert len(str(problem)) < 400
