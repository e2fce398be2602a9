"""Tables of a real site, spoilt at random, through the whole check: a verdict or a readable error, never a traceback."""

from __future__ import annotations

import random
from pathlib import Path

from click.testing import CliRunner

from riserkit.commands.main import main
from tests.sweep import swept

SITE = Path(__file__).resolve().parents[1] / "sample_drawings" / "first-look" / "site"
CELLS = (
    "", "nan", "inf", "-0", "1e400", "-1", "1e-320", "=1+1", "'", '"', "#", "9" * 20, "x", "yes", "no", "L1", "L9",
    "2026-02-30", "9999-12-31", "   ", "\u202eabc", "e\u0301", "\ufeff", "1", "101", "strike-12-secure", "controller-c3",
    "fail-safe", "double", "sensor-release", "0.0001", "19.99", "mechanical", "18-2", "cat6", "magnet-12-600", "relay-volt",
    "rex-motion", "release-30", "splitter-12", "dry-trigger", "exit-device-motor", "1024", "4 ft", "TR-1/lock", "2/rex",
    "stair", "POLYGON ((0 0,1 1,0 1,1 0,0 0))", "100000", "fire-relay", "secured", "varistor-47",
)  # fmt: skip
SPOILT_EACH = 30


@swept("seed", range(4), [0])
def test_a_spoilt_site_has_a_verdict_or_a_readable_error(tmp_path, seed):
    rng, runner = random.Random(seed), CliRunner()
    sound = {path.name: path.read_bytes() for path in SITE.iterdir() if path.is_file()}
    codes = set()
    for number in range(SPOILT_EACH):
        folder = tmp_path / str(number)
        folder.mkdir()
        spoilt = rng.sample(sorted(sound), rng.choice((1, 1, 2)))
        for name, data in sound.items():
            (folder / name).write_bytes(_spoilt(data, rng) if name in spoilt else data)
        told = runner.invoke(main, ["check", str(folder)])
        assert isinstance(told.exception, (SystemExit, type(None))), (seed, number, spoilt)
        assert told.exit_code in {0, 1, 2}, (seed, number, spoilt)
        assert (told.exit_code == 2) == told.stderr.startswith("riserkit: "), (seed, number, spoilt)
        codes.add(told.exit_code)
    assert 2 in codes


def _spoilt(data: bytes, rng: random.Random) -> bytes:
    return _spoilt_bytes(data, rng) if rng.random() < 0.25 else _spoilt_cells(data, rng)


def _spoilt_bytes(data: bytes, rng: random.Random) -> bytes:
    made = bytearray(data)
    for _ in range(rng.choice((1, 2, 20))):
        at = rng.randrange(len(made) or 1)
        made[at : at + rng.choice((0, 1, 40))] = rng.randbytes(rng.choice((0, 1, 4)))
    return bytes(made)


def _spoilt_cells(data: bytes, rng: random.Random) -> bytes:
    lines = data.decode("utf-8").splitlines()
    for _ in range(rng.choice((1, 1, 2, 4))):
        row = rng.randrange(len(lines))
        cells = lines[row].split(",")
        at = rng.randrange(len(cells) or 1)
        way = rng.random()
        if not cells:
            cells = [rng.choice(CELLS)]
        elif way < 0.8:
            cells[at] = rng.choice(CELLS)
        elif way < 0.9:
            del cells[at]
        else:
            cells.insert(at, rng.choice(CELLS))
        lines[row] = ",".join(cells)
    return "\n".join(lines).encode()
