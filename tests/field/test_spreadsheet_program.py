"""The workbook saved by a real spreadsheet program (LibreOffice, Debian: libreoffice-calc) says what it said before.

It takes ten seconds to start, so it runs with the sweep.
"""

from __future__ import annotations

import datetime
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest

from riserkit.record.returns import as_built_of, read_returns
from riserkit.results.return_site import return_site
from tests.field.test_round_trip import SITE, fill

pytestmark = pytest.mark.sweep


def saved_by_the_program(path: Path, kind: str, folder: Path) -> Path:
    program = shutil.which("soffice")
    if program is None:
        pytest.skip("soffice is not installed (Debian: libreoffice-calc)")
    own = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = [program, own, "--headless", "--convert-to", kind, "--outdir", str(folder / "saved"), str(path)]
    subprocess.run(command, check=True, capture_output=True, timeout=300)
    return folder / "saved" / f"{path.stem}.{kind}"


@pytest.mark.parametrize("kind", ["xlsx", "ods"])
def test_what_the_program_saves_is_taken(papers: Path, tmp_path: Path, kind: str) -> None:
    book = openpyxl.load_workbook(papers / "schedules.xlsx")
    book["field crew"]["A4"], book["field crew"]["B4"] = "J. Rivers", datetime.date(2026, 5, 4)
    book["field crew"]["C4"] = "=1+1"  # a formula that the program works out
    fill(book["field doors"], {"opening": "1"}, done="yes")
    fill(book["field landings"], {"opening": "2", "from_terminal": "K2.NC"}, as_drawn="no", landed_from="K2.NO")
    fill(book["field lengths"], {"cable": "1A-A02"}, length_m=23.4)
    fill(book["field devices"], {"opening": "2", "device": "K1"}, serial="00123", mac="02:00:5E:10:00:0A")
    fill(book["field equipment"], {"equipment": "SW-1"}, serial="1E5")
    book.save(tmp_path / "filled.xlsx")
    site = Path(shutil.copytree(SITE, tmp_path / "site"))
    taken = return_site(site, [saved_by_the_program(tmp_path / "filled.xlsx", kind, tmp_path)])
    assert taken.rows == {"doors": 1, "landings": 1, "lengths": 1, "devices": 1, "equipment": 1}
    found = as_built_of(read_returns(site))
    assert (found.doors[0].by, found.doors[0].date, found.doors[0].instrument) == (
        "J. Rivers",
        datetime.date(2026, 5, 4),
        "2",
    )
    assert found.lengths[0].length_m == pytest.approx(23.4)
    assert (found.devices[0].serial, found.equipment[0].serial) == ("00123", "1E5"), "text stays text"
