"""The command that finds a fault, as it is typed."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Final

from riserkit.record.returns import returns_folder
from tests.command import run

SITE = str(Path(__file__).resolve().parents[2] / "sample_drawings" / "first-look" / "site")


def test_candidates_and_the_next_reading_are_printed() -> None:
    done = run("diagnose", SITE, "1", "--sees", "card no effect", "--reading", "M1+ M1- 3.0 V released")
    assert done.exit_code == 1, done.output
    assert "a single fault explains the readings" in done.output
    assert "poor joint" in done.output
    assert "Next reading: " in done.output
    assert "see that people can get out" in done.output
    assert max(map(len, done.output.splitlines())) < 130


def test_why_a_fault_allows_anything_is_told_once_where_one_does() -> None:
    why = "anything: a source or a relay would be at its limit"
    told = {mark: run("diagnose", SITE, mark, "--reading", "M1+ M1- 3.0 V idle").output for mark in ("1", "2")}
    assert told["2"].count(why) == 1 and told["2"].count(": anything\n") > 1
    assert why not in told["1"] and ": anything" not in told["1"]


def test_what_is_seen_is_told_in_words_and_with_no_voltage() -> None:
    done = run("diagnose", SITE, "2", "--sees", "REX always on")
    lines = done.output.splitlines()
    assert lines[1] == "  REX always on (not healthy)", (
        "the controller answers, which is healthy; what it reports is not"
    )
    assert "predicts" not in done.output
    look = lines.index("Look first, without a meter, and state which it is:")
    assert all(line.startswith("  --sees '") and len(line.split("'  ")) == 2 for line in lines[look + 1 : look + 3])
    one = run("diagnose", SITE, "1", "--sees", "card no effect", "--reading", "M1+ M1- 12.0 V released")
    assert "  1. coil of M1 open (43%)" in one.output and "tells these apart" not in one.output


def test_json_has_the_same(tmp_path: Path) -> None:
    done = run("diagnose", SITE, "1", "--reading", "M1+ M1- 3.0 V released", "--json")
    found = json.loads(done.output)
    assert found["verdict"] == "single"
    assert found["observed"][0]["odd"] is True
    shares = [c["share"] for c in found["candidates"]]
    assert shares == sorted(shares, reverse=True)
    assert found["next"]["left_bits"] < found["next"]["open_bits"]


def test_a_wiring_that_fails_as_designed_is_said_to(tmp_path: Path) -> None:
    """The controller gives too little for a relay module and the strike: that the door stays locked needs no fault."""
    folder = tmp_path / "site"
    assert run("new", folder).exit_code == 0
    table = folder / "openings.csv"
    lines = table.read_text("utf-8").splitlines()
    more = {"mark": "arrangement", "101": "relay-module", "102": ""}
    lines = [f"{x},{more[mark]}" if (mark := x.partition(",")[0]) in more else x for x in lines]
    table.write_text("\n".join(lines) + "\n", "utf-8")
    done = run("diagnose", folder, "101", "--sees", "REX no effect")
    said = " ".join(done.output.split())
    assert (
        "As designed its wiring fails: auxiliary output gives 0.35 A, at most 0.20 A. What is seen may be that" in said
    )
    found = json.loads(run("diagnose", folder, "101", "--json").output)
    assert found["unsuitable"] == ["auxiliary output gives 0.35 A, at most 0.20 A"]
    assert "As designed" not in run("diagnose", SITE, "1").output


def _site_with_returned(folder: Path, rows: list[dict[str, str]]) -> Path:
    site = folder / "site"
    shutil.copytree(SITE, site)
    kept = returns_folder(site)
    kept.mkdir(parents=True)
    who = {"opening": "1", "by": "T. Reyes", "date": "2026-03-02", "file": "door-1.csv"}
    document = {
        "riserkit_return": 1,
        "number": 1,
        "files": {},
        "tables": {"readings": [{**who, **row} for row in rows]},
    }
    (kept / "0001.json").write_text(json.dumps(document), "utf-8")
    return site


FED: Final = {"what": "where lock power comes from", "red_lead": "K1.L+", "black_lead": "K1.L-",
              "state": "controller releases, lock energised", "reading": "12.0 V"}  # fmt: skip
FAR: Final = {**FED, "what": "lock M1, far end", "red_lead": "M1.+", "black_lead": "M1.-", "reading": "0.0 V"}
SEEN: Final = {"what": "K1 online", "red_lead": "K1", "black_lead": "", "state": "power on", "reading": "yes"}


def test_readings_that_came_back_are_used_unless_told_otherwise(tmp_path: Path) -> None:
    site = str(_site_with_returned(tmp_path, [FED, FAR, SEEN]))
    with_them = run("diagnose", site, "1")
    assert with_them.exit_code == 1, with_them.output
    assert "2 of the 3 readings that came back of this door are used" in with_them.output
    assert "M1.+ M1.- 0.0 V" in with_them.output and "(returned, T. Reyes, 2026-03-02)" in with_them.output
    assert "K1.L+ to M1.+, broken or not connected" in with_them.output
    without = run("diagnose", site, "1", "--ignore-returned")
    assert without.exit_code == 0 and "came back" not in without.output


def test_a_reading_stated_anew_takes_the_place_of_one_that_came_back(tmp_path: Path) -> None:
    site = str(_site_with_returned(tmp_path, [FED, FAR]))
    done = run("diagnose", site, "1", "--reading", "M1- M1+ -11.9 V released", "--json")
    found = json.loads(done.output)
    assert found["returned"] == {"came_back": 2, "used": 1}
    assert found["verdict"] == "healthy" and done.exit_code == 0


def test_a_terminal_that_is_not_there_is_wrong_use() -> None:
    done = run("diagnose", SITE, "1", "--reading", "M1+ Q9- 3.0 V")
    assert done.exit_code == 2
    assert "no terminal 'Q9-'" in done.output
