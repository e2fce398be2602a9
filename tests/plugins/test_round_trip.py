"""Whatever a site states, writing and reading it gives the same site, through tables and through a document."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from riserkit_csv.cells import guard, unguard

from riserkit.model import catalogue
from riserkit.plugin.read import read_site
from riserkit.results.new_folder import FolderError
from tests.plugins.writers import table_texts, to_json, write_tables
from tests.sweep import tried

from .sites import TEXTS, sites

SAMPLES = sorted((Path(__file__).parents[2] / "sample_drawings").glob("*/site"))
SLOW = settings(max_examples=tried(30, 60), deadline=None, suppress_health_check=[HealthCheck.too_slow])


@SLOW
@given(sites())
def test_tables(site):
    with tempfile.TemporaryDirectory() as parent:
        folder = Path(parent) / "site"
        write_tables(site, folder)
        assert read_site(folder) == site


@SLOW
@given(sites())
def test_document(site):
    with tempfile.TemporaryDirectory() as parent:
        path = Path(parent) / "site.json"
        path.write_text(to_json(site), "utf-8", newline="")
        assert read_site(path) == site


@pytest.mark.parametrize("folder", SAMPLES, ids=lambda path: path.parent.name)
def test_the_sample_sites(folder, tmp_path):
    site = read_site(folder)
    write_tables(site, tmp_path / "tables")
    (tmp_path / "site.json").write_text(to_json(site), "utf-8", newline="")
    assert read_site(tmp_path / "tables") == site
    assert read_site(tmp_path / "site.json") == site


def test_there_are_sample_sites():
    assert len(SAMPLES) >= 2


@given(TEXTS)
def test_a_guard_is_taken_off_as_it_was_put_on(text):
    assert unguard(guard(text)) == text


@given(st.text(st.sampled_from("=+-@"), min_size=1, max_size=1), TEXTS)
def test_no_text_is_written_as_a_formula(sign, text):
    assert guard(sign + text)[0] == "'"


def test_only_what_is_stated_is_written(write):
    site = read_site(write())
    texts = table_texts(site)
    assert sorted(texts) == ["closets.csv", "levels.csv", "openings.csv", "site.csv", "switches.csv"]
    assert texts["openings.csv"] == "mark,level,x_m,y_m\n101,L1,3,4\n102,L1,5,6\n"
    assert catalogue.PARTS[0].id not in to_json(site)


def test_a_changed_catalogue_part_is_written(write, tmp_path):
    site = read_site(write({"parts.csv": "id,kind,rated_v\nstrike-12-secure,strike,11.5\n"}))
    write_tables(site, tmp_path / "again")
    assert (tmp_path / "again" / "parts.csv").read_text() == "id,kind,rated_v\nstrike-12-secure,strike,11.5\n"


def test_a_row_that_begins_like_a_comment_comes_back(write, tmp_path):
    row = '"#odd rule",101,because,R. Roe,2026-03-14'
    site = read_site(write({"acceptances.csv": f"rule,subject,reason,name,date\n{row}\n"}))
    write_tables(site, tmp_path / "again")
    assert read_site(tmp_path / "again") == site
    assert site.acceptances[0].rule == "#odd rule"


def test_the_same_site_gives_the_same_bytes(write):
    site = read_site(write())
    assert (to_json(site), table_texts(site)) == (to_json(site), table_texts(site))


def test_a_folder_with_something_in_it_is_left_alone(write):
    folder = write()
    site, before = read_site(folder), sorted(folder.iterdir())
    with pytest.raises(FolderError, match="not empty"):
        write_tables(site, folder)
    assert sorted(folder.iterdir()) == before
