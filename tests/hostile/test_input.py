"""Input that means no good, or that somebody typed in a hurry: refused with its place, bounded in time and in words."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from riserkit.drawings.dxf import sheet_size
from riserkit.errors import RiserkitError, visible
from riserkit.model.extent import LEVELS_APART_M, SITE_RADIUS_M
from riserkit.model.paper import SIZES_OF
from riserkit.model.problems import InputError, Problem, Where
from riserkit.pipeline import check_site
from riserkit.plugin.read import read_site
from riserkit.quantities.stated import parse_gauge, parse_quantity
from riserkit.starter.tables import write_starter
from tests.sweep import swept

SOON_S = 20.0
"""Long for what takes milliseconds, short for what grows with the square of the input."""


@pytest.fixture
def site(tmp_path: Path) -> Path:
    write_starter(tmp_path / "site")
    return tmp_path / "site"


def _refused(path: Path, **options: str) -> tuple[Problem, ...]:
    start = time.monotonic()
    with pytest.raises(InputError) as told:
        read_site(path, options)
    assert time.monotonic() - start < SOON_S
    assert all(len(line) < 1500 for line in str(told.value).splitlines())
    return told.value.problems


def _set(path: Path, mark: str, column: str, value: str) -> None:
    """Change one cell of a table of the starting site."""
    lines = path.read_text("utf-8").splitlines()
    head = next(n for n, line in enumerate(lines) if line and not line.startswith("#"))
    names = lines[head].split(",")
    for n, line in enumerate(lines):
        cells = line.split(",")
        if n > head and cells[0] == mark:
            if column not in names:
                lines[head] += f",{column}"
                cells += [value]
            else:
                cells[names.index(column)] = value
            lines[n] = ",".join(cells)
        elif n > head and line and not line.startswith("#") and column not in names:
            lines[n] += ","
    path.write_text("\n".join(lines) + "\n", "utf-8")


def _document(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "site.json"
    path.write_text(text, "utf-8")
    return path


DOOR = '{"mark": "1", "level": "L1", "x_m": 1, "y_m": 2%s}'
WHOLE = '{"levels": [{"id": "L1", "elevation_m": 0}], "openings": [%s]%s}'


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e400", "9" * 500])
@pytest.mark.parametrize("field", ["x_m", "width_m", "name", "secured_side", "mark"])
def test_a_number_that_is_none_is_refused_wherever_it_stands(tmp_path, number, field):
    record = json.loads(DOOR % "")
    text = json.dumps({**record, field: "@"}).replace('"@"', number)
    problems = _refused(_document(tmp_path, WHOLE % (text, "")))
    assert all(p.where.pointer.startswith("/openings/0") for p in problems), problems


@pytest.mark.parametrize("number", ["nan", "inf", "-inf", "1e400"])
def test_a_constant_of_a_mapping_file_is_no_such_number_either(site, number):
    (site / "mapping.toml").write_text(f"[openings.constants]\nname = {number}\n", "utf-8")
    problems = _refused(site)
    assert {p.where.pointer for p in problems} == {"openings.constants.name"}


def test_a_switch_called_nan_is_a_switch(tmp_path):
    switches = ', "closets": [{"id": "C", "level": "L1", "x_m": 0, "y_m": 0}], "switches": [{"id": "nan", "closet": "C", "ports": 8}]'
    assert read_site(_document(tmp_path, WHOLE % (DOOR % ', "switch": "nan"', switches))).switches[0].id == "nan"


@pytest.mark.parametrize("value", ["nan", "inf", "1e400 m", "9" * 400 + " %", "nan V"])
def test_no_such_number_is_what_somebody_accepted(site, value):
    head = "rule,subject,reason,name,date,value\n"
    (site / "acceptances.csv").write_text(f"{head}channel-length,101,why,A. Name,2026-03-14,{value}\n", "utf-8")
    (problem,) = _refused(site)
    assert (problem.where.row, problem.column) == (2, "value")


@pytest.mark.parametrize("field", ["width_m", "angle_deg"])
@pytest.mark.parametrize("value", ["nan", "inf", "1e400"])
def test_a_cell_of_a_quantity_takes_no_such_number(site, field, value):
    _set(site / "openings.csv", "101", field, value)
    (problem,) = _refused(site)
    assert problem.column == field


SIGNS = ["\x1b[2J", "\x9b2J", "\x07", "\u202e", "\u2066", "\ufeff", "\u2028", "\x7f", "\U000e0041", "\u061c"]


@pytest.mark.parametrize("sign", SIGNS)
def test_signs_that_command_a_terminal_are_written_out(sign):
    """Control functions of ECMA-48 in 7 and 8 bits; directional formatting of the Unicode Standard Annex 9; tags."""
    for text in (visible(f"a{sign}b"), str(RiserkitError(f"a{sign}b")), str(InputError([_about(f"a{sign}b")]))):
        assert text.replace("\n", "").isprintable(), ascii(text)
    assert visible("\N{ARABIC LETTER MEEM}\u200d") == "\N{ARABIC LETTER MEEM}\u200d", "joiners belong to the writing"


def _about(text: str) -> Problem:
    return Problem(Where(text, pointer=text), text, text, text)


def test_the_words_of_ten_thousand_problems_are_bounded():
    told = InputError([Problem(Where("openings.csv", n), "x_m", f"{n}", "y" * 5000) for n in range(10_000)])
    assert len(told.problems) == 10_000
    assert "\n  and 9500 more; fix these first" in str(told)
    assert len(str(told)) < 500 * 1000


@pytest.mark.parametrize("asked", ["A9", "Z", "ISO", "ISO A3 A4", "ANSI A3", "letter", "\x1b"])
@pytest.mark.parametrize("column", ["riser_sheet", "detail_sheet"])
def test_a_sheet_that_does_not_exist_is_told_when_the_site_is_read(tmp_path, column, asked):
    info = f', "info": {{"{column}": {json.dumps(asked)}}}'
    (problem,) = _refused(_document(tmp_path, WHOLE % (DOOR % "", info)))
    assert (problem.where.pointer, problem.column) == ("/info", column)


def test_every_size_that_is_drawn_is_read_and_no_other():
    assert {f"{series} {code}" for series, codes in SIZES_OF.items() for code in codes} == set(sheet_size.SHEET_SIZES)


@pytest.mark.parametrize("origin_m", [(0, 0), (448_262, 5_411_932), (833_000, 9_999_900), (-120, -80)])
def test_a_survey_s_coordinates_are_taken(tmp_path, origin_m):
    """UTM eastings are 166 to 834 km, northings up to 10,000 km (NGA.SIG.0012, transverse Mercator grids)."""
    x, y = origin_m
    doors = ", ".join(json.dumps({"mark": f"{n}", "level": "L1", "x_m": x + n, "y_m": y}) for n in range(3))
    assert len(read_site(_document(tmp_path, WHOLE % (doors, ""))).openings) == 3


@pytest.mark.parametrize("place", ["opening", "closet", "pathway", "wall"])
def test_a_slipped_decimal_point_is_a_problem_at_its_own_row(tmp_path, place):
    doors = ", ".join(json.dumps({"mark": f"{n}", "level": "L1", "x_m": 14, "y_m": n}) for n in range(6))
    far = {"level": "L1", "x_m": 14_000, "y_m": 6_000}
    tables = {
        "opening": "", "closet": f', "closets": [{json.dumps({**far, "id": "C"})}]',
        "pathway": f', "pathway_nodes": [{json.dumps({**far, "id": "N"})}]',
        "wall": ', "walls": [{"level": "L1", "outline_wkt": "POLYGON ((14000 0, 14005 0, 14005 4, 14000 0))"}]',
    }  # fmt: skip
    more = f", {json.dumps({**far, 'mark': '9'})}" if place == "opening" else ""
    (problem,) = _refused(_document(tmp_path, WHOLE % (doors + more, tables[place])))
    assert problem.column == ("outline_wkt" if place == "wall" else "x_m")
    assert "within 10 km of the middle of the site, (14, " in problem.accepted
    assert problem.where.pointer.endswith("/6" if place == "opening" else "/0")


@pytest.mark.parametrize("beyond", [0, 1])
def test_the_radius_itself_is_inside(tmp_path, beyond):
    at = [0, 0, 0, SITE_RADIUS_M + beyond]
    doors = ", ".join(json.dumps({"mark": f"{n}", "level": "L1", "x_m": x, "y_m": n}) for n, x in enumerate(at))
    path = _document(tmp_path, WHOLE % (doors, ""))
    if beyond:
        (problem,) = _refused(path)
        assert problem.where.pointer == "/openings/3"
    else:
        assert len(read_site(path).openings) == 4


@pytest.mark.parametrize("beyond", [0, 1])
def test_levels_stand_in_one_site(tmp_path, beyond):
    levels = ", ".join(
        f'{{"id": "L{n}", "elevation_m": {z}}}' for n, z in enumerate([0, 0, 4, LEVELS_APART_M + beyond])
    )
    path = _document(tmp_path, '{{"levels": [{}], "openings": [{}]}}'.format(levels, DOOR % ""))
    if beyond:
        (problem,) = _refused(path)
        assert (problem.where.pointer, problem.column) == ("/levels/3", "elevation_m")
    else:
        assert len(read_site(path).levels) == 4


LONG = 300_000
QUANTITIES: dict[str, Callable[[], object]] = {
    "feet, then blanks": lambda: parse_quantity("1'" + " " * LONG + "x", "m"),
    "blanks and hyphens": lambda: parse_quantity("1' 1" + " -" * LONG + "x", "m"),
    "digits": lambda: parse_quantity("1" * LONG + "x", "m"),
    "gauge": lambda: parse_gauge("1" * LONG),
}


@pytest.mark.parametrize("case", QUANTITIES)
def test_a_long_cell_takes_no_long_time(case):
    start = time.monotonic()
    with pytest.raises(ValueError, match="expected"):
        QUANTITIES[case]()
    assert time.monotonic() - start < SOON_S


def test_forty_thousand_equal_names_in_a_document_take_no_long_time(tmp_path):
    names = ", ".join(f'"n{n % 20_000}": 1' for n in range(40_000))
    problems = _refused(_document(tmp_path, "{" + names + "}"))
    assert len(problems) > 1


def test_a_record_of_too_many_fields_is_one_problem(tmp_path):
    names = ", ".join(f'"n{n}": 1' for n in range(20_000))
    (problem,) = _refused(_document(tmp_path, WHOLE % ("{" + names + "}", "")))
    assert problem.where.pointer == "/openings/0"


def test_a_table_of_too_many_columns_is_one_problem(site):
    (site / "rooms.csv").write_text(",".join(f"c{n}" for n in range(20_000)) + "\n", "utf-8")
    (problem,) = _refused(site)
    assert (problem.where.file, problem.where.row) == ("rooms.csv", 1)


def test_closets_in_a_circle_are_one_short_problem(site):
    rows = "".join(f"TR{n},L1,1,2,TR{(n + 1) % 3000}\n" for n in range(3000))
    (site / "closets.csv").write_text(f"id,level,x_m,y_m,fed_from\n{rows}", "utf-8")
    circles = [p for p in _refused(site) if "expected no circle" in p.accepted]
    assert len(circles) == 1
    assert len(str(circles[0])) < 300


def test_two_circles_and_a_way_into_one_are_two_problems(site):
    pairs = {"A": "B", "B": "A", "C": "D", "D": "E", "E": "C", "F": "A"}
    rows = "".join(f"{one},L1,1,2,{other}\n" for one, other in pairs.items())
    (site / "closets.csv").write_text(f"id,level,x_m,y_m,fed_from\nTR1,L1,1,2,\n{rows}", "utf-8")
    told = [p.accepted.partition("fed ")[2] for p in _refused(site) if "expected no circle" in p.accepted]
    assert sorted(told) == ["A from B from A", "C from D from E from C"]


@pytest.mark.parametrize("key", ["in", "not_in"])
def test_a_long_list_of_rows_to_keep_takes_no_long_time(site, key):
    values = ", ".join(f'"v{n}"' for n in range(60_000))
    (site / "mapping.toml").write_text(f'[[openings.keep]]\ncolumn = "mark"\n{key} = [{values}]\n', "utf-8")
    with (site / "openings.csv").open("a") as doors:
        doors.writelines(f"m{n}{',' * 60}\n" for n in range(10_000))
    assert any("60000 of them are not there" in p.accepted for p in _refused(site))


@pytest.mark.parametrize("key", [".".join(["a"] * 40_000), " . ".join(['"a.b"'] * 40_000), "a." * 40_000 + "a"])
@pytest.mark.parametrize("form", ["{} = 1\n", "[{}]\n", "x = {{ {} = 1 }}\n"])
def test_a_key_of_forty_thousand_parts_is_refused(site, key, form):
    (site / "mapping.toml").write_text(form.format(key), "utf-8")
    (problem,) = _refused(site)
    assert str(problem.where) == "mapping.toml, line 1"
    assert "expected a key of at most 32 parts" in problem.accepted


def test_many_numbers_on_one_line_are_no_such_key(site):
    numbers = ", ".join(f"{n}.5" for n in range(200))
    (site / "mapping.toml").write_text(f'[[openings.keep]]\ncolumn = "mark"\nnot_in = [{numbers}]\n', "utf-8")
    assert not any("parts" in p.accepted for p in _refused(site))


SECRET = "root:x:0:0:secret:/root\nlevel,mark\n"


@pytest.mark.parametrize("way", ["absolute", "upward", "link", "linked folder", "mapping link"])
def test_a_site_reads_no_file_outside_its_folder(site, tmp_path, way):
    away = tmp_path / "away"
    away.mkdir()
    (away / "secret.csv").write_text(SECRET, "utf-8")
    named = {"absolute": str(away / "secret.csv"), "upward": "../away/secret.csv", "linked folder": "in/secret.csv"}
    if way == "link":
        (site / "rooms.csv").symlink_to(away / "secret.csv")
    elif way == "mapping link":
        (site / "mapping.toml").symlink_to(away / "secret.csv")
    else:
        (site / "in").symlink_to(away)
        (site / "mapping.toml").write_text(f'[rooms]\nfile = "{named[way]}"\n', "utf-8")
    problems = _refused(site)
    assert ["lies outside" in p.accepted for p in problems] == [True]
    assert "secret:" not in str(InputError(problems))
    assert "root:" not in str(InputError(problems))


def test_a_document_that_is_a_link_out_of_its_folder_is_not_followed(tmp_path):
    away = _document(tmp_path, WHOLE % (DOOR % "", ""))
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "site.json").symlink_to(away)
    (problem,) = _refused(tmp_path / "site")
    assert "a link out of it" in problem.accepted
    assert len(read_site(tmp_path / "site", {"outside": "yes"}).openings) == 1


def test_tables_outside_are_read_when_that_is_asked_for(site, tmp_path):
    (site / "openings.csv").rename(tmp_path / "doors.csv")
    (site / "mapping.toml").write_text('[openings]\nfile = "../doors.csv"\n', "utf-8")
    assert len(read_site(site, {"outside": "yes"}).openings) == 2
    assert "--outside" in str(_refused(site)[0])


def test_links_in_a_circle_are_told(site):
    (site / "rooms.csv").symlink_to(site / "rooms.csv")
    assert [p.where.file for p in _refused(site)] == ["rooms.csv"]


REFUSALS = {
    "switches": ({"on_ups": "no", "ups": "U"}, "on_ups"),
    "switches, uplinks": ({"uplink_ports": "48"}, "uplink_ports"),
    "switches, classes": ({"port_classes": "99:4"}, "port_classes"),
    "switches, words": ({"port_classes": "many"}, "port_classes"),
}


@pytest.mark.parametrize("case", REFUSALS)
def test_a_record_that_contradicts_itself_is_told_at_a_column(tmp_path, case):
    fields, column = REFUSALS[case]
    switch = {"id": "S", "closet": "C", "ports": 24, **fields}
    tables = (
        ', "closets": [{"id": "C", "level": "L1", "x_m": 0, "y_m": 0}], "upses": [{"id": "U", "closet": "C"}]'
        f', "switches": [{json.dumps(switch)}]'
    )
    problems = _refused(_document(tmp_path, WHOLE % (DOOR % "", tables)))
    assert column in {p.column for p in problems if p.where.pointer == "/switches/0"}


PART_REFUSALS = {
    "latch_contact": {"kind": "electromagnetic-lock", "latch_contact": "bolt"},
    "bond_contact": {"kind": "strike", "bond_contact": "yes"},
    "v_drop_out_v": {"kind": "strike", "rated_v": 12, "v_pull_in_v": 9, "v_drop_out_v": 10},
    "end_v": {"kind": "dc-supply", "float_v": 13, "end_v": 14},
    "output_limit_a": {"kind": "controller", "output_kind": "dry", "output_limit_a": 1},
    "contact_a": {"kind": "controller", "contact_a": 1},
}


@pytest.mark.parametrize("column", PART_REFUSALS)
def test_a_part_that_contradicts_itself_is_told_at_a_column(tmp_path, column):
    part = json.dumps({"id": "P", **PART_REFUSALS[column]})
    problems = _refused(_document(tmp_path, WHOLE % (DOOR % "", f', "parts": [{part}]')))
    assert [(p.where.pointer, p.column) for p in problems] == [("/parts/0", column)]


@pytest.mark.parametrize(
    ("column", "rule"), [("auxiliary_limit_a", "auxiliary-limit"), ("output_limit_a", "output-limit")]
)
def test_an_output_that_gives_no_current_is_overloaded_in_plain_words(site, column, rule):
    columns = "id,kind,poe_class,own_w,output_v,output_tolerance,auxiliary_v,converter_efficiency"
    columns += ",feed_v,tolerance_low,tolerance_high,input_v"
    other = {"auxiliary_limit_a": "output_limit_a", "output_limit_a": "auxiliary_limit_a"}[column]
    (site / "parts.csv").write_text(
        f"{columns},{column},{other}\nC,controller,4,5,12,0.05,12,0.85,12,0.15,0.15,3.3,0,0.6\n", "utf-8"
    )
    _set(site / "openings.csv", "101", "controller", "C")
    _set(site / "openings.csv", "101", "arrangement", "direct-with-peripherals")
    found = [f for f in check_site(site).findings if f.rule == rule and f.subject == "101"]
    assert [str(f.verdict) for f in found] == ["fail"]
    assert " A at most; C " in found[0].message


def test_an_issued_label_is_as_long_as_a_label_can_be(site):
    (site / "issued_labels.csv").write_text(f"kind,subject,label\ncable,101,{'x' * 394}\n", "utf-8")
    (problem,) = _refused(site)
    assert (problem.column, problem.accepted) == ("label", "expected at most 130 characters")


LONG_TABLES: dict[str, Callable[[], tuple[str, str]]] = {
    "an outline of 1,000,000 corners": lambda: (
        "rooms.csv",
        "id,level,outline_wkt\nR,L1,\"POLYGON ((0 0," + ",".join(f"{n % 997} {n % 991}" for n in range(1_000_000)) + ',0 0))"\n',
    ),
    "100,000 rows that are all wrong": lambda: (
        "pathway_nodes.csv",
        "id,level,x_m,y_m\n" + "".join(f"N{n},L9,1,x\n" for n in range(100_000)),
    ),
}  # fmt: skip


@swept("case", list(LONG_TABLES), ["an outline of 1,000,000 corners"])
def test_a_table_without_end_is_refused_in_a_bounded_text(site, case):
    name, text = LONG_TABLES[case]()
    (site / name).write_text(text, "utf-8")
    with pytest.raises(InputError) as told:
        read_site(site)
    assert {p.where.file for p in told.value.problems} >= {name}
    assert all(p.where.row for p in told.value.problems)
    assert len(str(told.value)) < 500 * 1000
