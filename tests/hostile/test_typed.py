"""What is typed after a command in a hurry: temperatures that are none, readings with a slip, the same reading hundreds of times."""

from __future__ import annotations

import json
import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from riserkit.commands.main import main
from riserkit.starter.tables import write_starter


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("typed") / "site"
    write_starter(place)
    return place


@pytest.fixture(autouse=True)
def _no_warning() -> Iterator[None]:
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        yield


def _run(*words: str | Path) -> Result:
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exit_code in {0, 1, 2}, done.output
    assert "".join(done.output.split("\n")).isprintable()
    assert max(map(len, done.output.splitlines())) < 1600
    return done


@pytest.mark.parametrize("warm_c", ["nan", "inf", "-inf", "-273.15", "1e308", "1e5", "1085"])
def test_a_temperature_of_no_conductor_is_refused(site: Path, warm_c: str) -> None:
    done = _run("spice", site, "101", "--conductor-c", warm_c)
    assert done.exit_code == 2
    assert "is no temperature of a conductor" in done.output


@pytest.mark.parametrize(
    ("reading", "told"),
    [
        ("K1.L+ K1.L+ 0 V idle", "both leads at one terminal"), ("K1.L+ K1.L- nan V idle", "cannot be read"),
        ("K1.L+ K1.L- 1e400 V idle", "cannot be read"), (f"K1.L+ K1.L- {'9' * 400} V idle", "is over 120 V"),
        (f"K1.L+ K1.L- {'9' * 400} ohm power off", "is no resistance that a meter shows"), (f"{'9' * 400}: 3 V", "has readings 1 to"),
        ("K1.L+ K1.L- 12 V \x1b[2J", "has no state"), ("[red]x[/red] K1.L- 12 V idle", "no terminal '[red]x[/red]'"),
        ("", "cannot be read"), ("\u066b", "cannot be read"),
    ],
)  # fmt: skip
def test_a_reading_with_a_slip_is_refused_in_words(site: Path, reading: str, told: str) -> None:
    done = _run("diagnose", site, "101", "--reading", reading)
    assert done.exit_code == 2
    assert told in done.output


def test_one_reading_typed_hundreds_of_times_is_still_told_in_numbers(site: Path) -> None:
    typed = [word for _ in range(300) for word in ("--reading", "1: 3.0 V")]
    found = json.loads(
        _run("diagnose", site, "101", *typed, "--json").output,
        parse_constant=lambda name: pytest.fail(f"{name} in the answer"),
    )
    shares = [candidate["share"] for candidate in found["candidates"]]
    assert shares
    assert sum(shares) == pytest.approx(1.0)
