"""The command that finds a fault, as it is typed."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from riserkit.commands.main import main

SITE = str(Path(__file__).resolve().parents[2] / "sample_drawings" / "first-look" / "site")


def test_candidates_and_the_next_reading_are_printed() -> None:
    done = CliRunner().invoke(
        main, ["diagnose", SITE, "1", "--sees", "card no effect", "--reading", "M1+ M1- 3.0 V released"]
    )
    assert done.exit_code == 1, done.output
    assert "a single fault explains the readings" in done.output
    assert "poor joint" in done.output
    assert "Next reading: " in done.output
    assert "see that people can get out" in done.output
    assert max(map(len, done.output.splitlines())) < 130


def test_json_has_the_same(tmp_path: Path) -> None:
    done = CliRunner().invoke(main, ["diagnose", SITE, "1", "--reading", "M1+ M1- 3.0 V released", "--json"])
    found = json.loads(done.output)
    assert found["verdict"] == "single"
    assert found["observed"][0]["odd"] is True
    shares = [c["share"] for c in found["candidates"]]
    assert shares == sorted(shares, reverse=True)
    assert found["next"]["left_bits"] < found["next"]["open_bits"]


def test_a_terminal_that_is_not_there_is_wrong_use() -> None:
    done = CliRunner().invoke(main, ["diagnose", SITE, "1", "--reading", "M1+ Q9- 3.0 V"])
    assert done.exit_code == 2
    assert "no terminal 'Q9-'" in done.output
