"""The public API: what its page says is so, and it is light to import."""

from __future__ import annotations

import doctest
import subprocess
import sys
from pathlib import Path

import pytest

import riserkit

ROOT = Path(__file__).resolve().parents[1]


def test_the_page_of_examples_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT / "sample_drawings")
    found = doctest.testfile(str(ROOT / "docs/api.md"), module_relative=False, optionflags=doctest.ELLIPSIS)
    assert found.attempted > 8
    assert found.failed == 0


def test_every_name_is_there_and_on_the_page() -> None:
    page = (ROOT / "docs/api.md").read_text("utf-8")
    for name in riserkit.__all__:
        assert getattr(riserkit, name).__doc__, name
        assert name in page, name
    with pytest.raises(AttributeError):
        _ = riserkit.no_such_name  # type: ignore[attr-defined]


def test_importing_loads_nothing_heavy() -> None:
    code = "import riserkit, sys; print(sorted({'ezdxf', 'numpy', 'pydantic', 'networkx'} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert found.stdout.strip() == "[]"


SITE = ROOT / "sample_drawings/first-look/site"


def test_a_changed_site_is_read_like_any_other() -> None:
    site = riserkit.read_site(SITE)
    changed = site.with_changes(
        openings={"2": None, "3": {"level": site.openings[0].level, "x_m": "12 ft", "y_m": 1}},
        parts={"contact-reed": {"contact_a": "250 mA"}},
        confirmations=[],
        info={"name": "Another"},
    )
    assert [o.mark for o in changed.openings] == ["1", "3"]
    assert changed.opening["3"].x_m == pytest.approx(3.6576)
    assert changed.part["contact-reed"].contact_a == 0.25
    assert changed.info.name == "Another"
    assert site == riserkit.read_site(SITE)


def test_nothing_changed_is_the_same_site() -> None:
    site = riserkit.read_site(SITE)
    assert site.with_changes() == site


def test_what_is_stated_as_it_would_be_assumed_stays_stated() -> None:
    """Else it would be asked for as an assumption."""
    site = riserkit.read_site(SITE)
    changed = site.with_changes(info={"name": "Another"})
    assert site.switches[0].poe_class == type(site.switches[0]).model_fields["poe_class"].default
    assert "poe_class" in changed.switches[0].model_fields_set


def test_a_field_is_taken_back() -> None:
    site = riserkit.read_site(SITE)
    rex = next(o.mark for o in site.openings if o.rex)
    assert not site.with_changes(openings={rex: {"rex": None}}).opening[rex].rex


def test_a_bad_change_says_where_and_what() -> None:
    site = riserkit.read_site(SITE)
    with pytest.raises(riserkit.InputError) as error:
        site.with_changes(openings={"1": {"width_m": "wide", "controller": "none-such"}})
    assert {p.column for p in error.value.problems} == {"width_m", "controller"}
    with pytest.raises(KeyError, match="no table"):
        site.with_changes(doors={})
    with pytest.raises(TypeError, match="list"):
        site.with_changes(acceptances={"1": {"reason": "none"}})
