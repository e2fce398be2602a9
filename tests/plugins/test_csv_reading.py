"""What spreadsheets make of a table is understood: encodings, delimiters, decimal commas, headers, blank rows."""

from __future__ import annotations

import pytest

from riserkit.plugin.read import read_raw, read_site

OPENINGS = "mark,level,x_m,y_m"


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"], ids=lambda e: e
)
def test_encodings(encoding, write):
    text = f"{OPENINGS},name,secured_side\n101,L1,3,4,Büro “Süd”,Côté cour\n"
    opening = read_site(write({"openings.csv": text.encode(encoding)})).openings[0]
    assert (opening.name, opening.secured_side) == ("Büro “Süd”", "Côté cour")


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_delimiters_and_line_ends(delimiter, ending, write):
    rows = [[*OPENINGS.split(","), "name"], ["101", "L1", "3", "4", '"a; b, c"']]
    text = "".join(delimiter.join(row) + ending for row in rows)
    opening = read_site(write({"openings.csv": text})).openings[0]
    assert (opening.x_m, opening.name) == (3.0, "a; b, c")


def test_a_header_with_more_commas_than_semicolons_is_told_by_its_names(write):
    text = '"mark";level;x_m;y_m;"name"\n101;L1;3;4;"a,b,c,d,e,f,g"\n'
    assert read_site(write({"openings.csv": text})).openings[0].name == "a,b,c,d,e,f,g"


def test_a_line_that_states_the_delimiter(write):
    text = "sep=|\r\nmark|level|x_m|y_m\r\n101|L1|3|4.5\r\n"
    assert read_site(write({"openings.csv": text})).openings[0].y_m == 4.5


def test_tab_separated_file(write):
    folder = write({"openings.csv": None, "openings.tsv": "mark\tlevel\tx_m\ty_m\n101\tL1\t3\t4\n"})
    assert read_site(folder).openings[0].mark == "101"


def test_decimal_commas_in_a_semicolon_table(write):
    text = "mark;level;x_m;y_m;angle_deg;lock_count\n101;L1;1,250;12,5 ft;-90,5;1,0\n"
    opening = read_site(write({"openings.csv": text})).openings[0]
    # 12.5 ft is 3.81 m exactly (international foot, NIST SP 811 B.8)
    assert (opening.x_m, opening.y_m, opening.angle_deg, opening.lock_count) == (1.25, pytest.approx(3.81), -90.5, 1)


def test_points_in_a_semicolon_table_leave_a_comma_ambiguous(write, problems_of):
    text = "mark;level;x_m;y_m\n101;L1;1,250;12.5\n102;L1;1,25;12.5\n"
    (problem,) = problems_of(write({"openings.csv": text}))
    assert (problem.where.row, problem.seen) == (2, "1,250")


def test_decimal_commas_do_not_touch_text(write):
    text = "mark;level;x_m;y_m;name\n101;L1;1;2;1,5\n"
    assert read_site(write({"openings.csv": text})).openings[0].name == "1,5"


@pytest.mark.parametrize("header", ["width_m", "Width m", "WIDTH (M)", " Width [m] ", "width-m"])
def test_headers_without_regard_to_dress(header, write):
    text = f"Mark,LEVEL,X m,Y (m),{header}\n101,L1,3,4,1.2\n"
    assert read_site(write({"openings.csv": text})).openings[0].width_m == 1.2


@pytest.mark.parametrize(
    ("header", "cell", "expected_m"),
    # factors exact: NIST SP 811 B.8 (ft 0.3048 m, in 0.0254 m)
    [
        ("width_ft", "3", 0.9144),
        ("Width (in)", "36", 0.9144),
        ("width mm", "915", 0.915),
        ("width_ft", "36 in", 0.9144),
        ("width_ft", "3'-0\"", 0.9144),
        ("width_cm", "9.15e1", 0.915),
    ],
)
def test_a_unit_in_the_header_is_that_of_bare_numbers(header, cell, expected_m, write):
    quoted = '"' + cell.replace('"', '""') + '"'
    text = f"{OPENINGS},{header}\n101,L1,3,4,{quoted}\n"
    assert read_site(write({"openings.csv": text})).openings[0].width_m == pytest.approx(expected_m, rel=1e-15)


def test_units_in_headers_of_other_quantities(write):
    changes = {
        "parts.csv": "id,kind,rated_mv,hold_ma,inductance_mh\nP1,strike,12000,250,300\n",
        "site.csv": "key,value\nPathway F,104\ndoor_slack_ft,10\n",
    }
    site = read_site(write(changes))
    part = site.part["P1"]
    assert (part.rated_v, part.hold_a, part.inductance_h) == pytest.approx((12.0, 0.25, 0.3), rel=1e-15)
    # 104 °F = 40 °C; 10 ft = 3.048 m
    assert (site.info.pathway_c, site.info.door_slack_m) == pytest.approx((40.0, 3.048), rel=1e-15)


def test_what_was_seen_is_the_cell_not_what_became_of_it(write, problems_of):
    text = "mark;level;x_m;y_m;width_ft\n101;L1;3;4;900,5\n"
    (problem,) = problems_of(write({"openings.csv": text}))
    assert (problem.column, problem.seen, problem.accepted) == ("width_ft", "900,5", "expected at most 20 m")


@pytest.mark.parametrize("word", ["yes", "TRUE", "1", "x", "X", "y"])
def test_yes(word, write):
    assert read_site(write({"openings.csv": f"{OPENINGS},outdoor\n101,L1,3,4,{word}\n"})).openings[0].outdoor


@pytest.mark.parametrize("word", ["no", "False", "0", "n"])
def test_no(word, write):
    assert not read_site(write({"openings.csv": f"{OPENINGS},back_box\n101,L1,3,4,{word}\n"})).openings[0].back_box


def test_blank_rows_comments_and_trailing_empty_columns(write):
    text = f'# a list, with "quotes\n\n{OPENINGS},,\n,,,,,\n  # more\n101,L1,3,4,,\n'
    site = read_site(write({"openings.csv": text}))
    assert [o.mark for o in site.openings] == ["101"]


def test_a_quoted_hash_is_no_comment(write):
    text = 'name,mark,level,x_m,y_m\n"#1, north",101,L1,3,4\n#2,102,L1,3,4\n'
    assert [o.name for o in read_site(write({"openings.csv": text})).openings] == ["#1, north"]


def test_rows_are_numbered_as_a_spreadsheet_shows_them(write):
    text = f'# c\n\n{OPENINGS},name\n101,L1,3,4,"a\nb"\n\n102,L1,3,4,d\n'
    raw = read_raw(write({"openings.csv": text}))
    assert [record.where.row for record in raw.tables["openings"]] == [4, 6]


def test_whole_numbers_as_spreadsheets_write_them(write):
    site = read_site(write({"switches.csv": "id,closet,ports\nSW1,TR1,24.0\n"}))
    assert site.switches[0].ports == 24


def test_an_empty_cell_is_the_default(write):
    text = f"{OPENINGS},width_m,fail_mode,port\n101,L1,3,4,,,\n"
    opening = read_site(write({"openings.csv": text})).openings[0]
    assert (opening.width_m, opening.fail_mode, opening.port) == (None, None, None)


def test_guarded_text_loses_its_apostrophe_and_other_text_keeps_it(write):
    text = f"{OPENINGS},name,secured_side,unsecured_side\n101,L1,3,4,'=1+1,'s Gate,'\n"
    opening = read_site(write({"openings.csv": text})).openings[0]
    assert (opening.name, opening.secured_side, opening.unsecured_side) == ("=1+1", "'s Gate", "")


def test_a_sign_before_a_number_is_no_formula(write):
    text = f"{OPENINGS},name\n101,L1,-3,+4,-12 stairs\n"
    opening = read_site(write({"openings.csv": text})).openings[0]
    assert (opening.x_m, opening.y_m, opening.name) == (-3.0, 4.0, "-12 stairs")


def test_own_parts_take_the_place_of_shipped_ones(write):
    site = read_site(write({"parts.csv": "id,kind,rated_v\nstrike-12-secure,strike,12\n"}))
    assert site.part["strike-12-secure"].hold_a is None
    assert sum(part.id == "strike-12-secure" for part in site.parts) == 1


def test_reading_twice_gives_the_same(write):
    folder = write()
    assert read_site(folder) == read_site(folder)
