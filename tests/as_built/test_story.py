"""A set lives: issued, changed in seven things and issued again, taken to site, built differently, issued as built.

Everything is read from the files that were written, by readers of their own: csv, ezdxf, GDAL, pypdf. Three issues of two dozen doors take
two minutes of a processor, so it runs with the sweep; `test_written` is the same at two doors.
"""

from __future__ import annotations

import csv
import datetime
import io
import json
import shutil
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pypdf
import pytest

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.pipeline import design_site
from riserkit.plugin.read import read_site
from riserkit.results.build import BuildOptions, set_options
from riserkit.results.issue import Issued, NewIssue, Purpose, issue_site
from riserkit.results.return_site import return_site
from tests.folders import csv_rows

from .conftest import SITE
from .crews import Filled, filled, relanded, write_workbook

pytestmark = pytest.mark.sweep
DOORS = 24
MAGNETS = (2, 10, 18)
WRONG = {"2": "X1.1 to X1.2", "18": "K2.NO to B2.2C", "5": "B1.2 to K1.REQ", "6": "not landed"}
"""By opening how a conductor was landed."""
DIFFERENT = {
    ("7", "port"), ("8", "port"), ("9", "part"), ("11", "part"), ("10", "device"), ("14", "device"), ("15", "device"),
    ("16", "cable"), ("17", "length"),
}  # fmt: skip
OWN_SHEETS = ("2", "10")
"""Openings with sheets of their own; schedules, plans and findings are of all."""


@dataclass(frozen=True)
class Life:
    """A site with three issues, the last as built."""

    site: Path
    folders: dict[str, Path]
    """The results of each issue, the same folder copied as it was."""
    issued: dict[str, Issued]


def _openings(text: str) -> str:
    """Twenty-four doors: three magnets with a manual release, some strikes with contact and sensor, the rest strikes alone."""
    strike, magnet = csv.DictReader(io.StringIO(text))
    bare = {**strike, "contact": "", "rex": ""}
    doors = []
    for n in range(1, DOORS + 1):
        row = magnet if n in MAGNETS else strike if n in (5, 6, 15) else bare
        doors.append(
            {**row, "mark": str(n), "name": f"Room {n}", "x_m": str(3 + 7 * (n % 6)), "y_m": str(1 + 7 * (n // 6))}
        )
    return _csv(doors)


def _csv(rows: list[dict[str, str]]) -> str:
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _confirmations(text: str) -> str:
    head, *rows = [line for line in text.splitlines() if not line.startswith("#")]
    return "\n".join([head, *(f"{n}{row[1:]}" for n in MAGNETS for row in rows)]) + "\n"


def _seven_changes(text: str) -> str:
    """A door gone, one new, and one thing each of five others."""
    rows = {row["mark"]: row for row in csv.DictReader(io.StringIO(text))}
    del rows["12"]
    rows["25"] = {**rows["1"], "mark": "25", "name": "Annexe", "x_m": "27"}
    rows["1"] |= {"lock": "strike-12-safe", "fail_mode": "fail-safe"}
    rows["3"]["name"] = "Store"
    rows["13"]["x_m"] = "12.5"
    rows["18"]["release_height_m"] = "1.15 m"
    rows["20"]["hinges"] = "right"
    return _csv(list(rows.values()))


def _as_built(rows: Filled) -> None:
    """What the crew did otherwise: four wrong landings, and nine other differences."""
    relanded(rows, "2", "18", landed_to="X1.2")
    relanded(rows, "18", "12", landed_from="K2.NO")
    relanded(rows, "5", "3", landed_to="K1.REQ")
    relanded(rows, "6", "8", landed_to="none")
    who = {"by": "B. Ode", "date": "2026-05-02"}
    rows["ports"] = [
        {"opening": "7", "used_port": "1A.R1-A:08", **who},
        {"opening": "8", "used_port": "1A.R1-A:07", **who},
    ]
    rows["devices"] = [
        {
            "opening": "9",
            "device": "K1",
            "fitted_part": "controller-c3",
            "serial": "C3-0009",
            "mac": "02-00-5e-10-00-09",
            **who,
        },
        {"opening": "11", "device": "M1", "fitted_part": "strike-12-safe", **who},
        {"opening": "10", "device": "S1", "fitted_height_m": "1.16 m", **who},
        {"opening": "14", "device": "K1", "fitted_height_m": "1.12 m", **who},
        {"opening": "15", "device": "B2", "fitted_place": "on the side wall", **who},
    ]
    by_cable = {row["cable"]: row for row in rows["lengths"]}
    by_cable["16-W2"] |= {"used_cable_type": "18-4"}
    by_cable["17-W2"] |= {"length_m": "11 m"}


@pytest.fixture(scope="module")
def monkeypatched() -> Iterator[pytest.MonkeyPatch]:
    with pytest.MonkeyPatch.context() as patched:
        yield patched


@pytest.fixture(scope="module")
def life(tmp_path_factory: pytest.TempPathFactory, monkeypatched: pytest.MonkeyPatch) -> Life:
    folder = tmp_path_factory.mktemp("life")
    site = Path(shutil.copytree(SITE, folder / "site"))
    for name, change in (("openings.csv", _openings), ("confirmations.csv", _confirmations)):
        (site / name).write_text(change((site / name).read_text("utf-8")), "utf-8")
    switches = site / "switches.csv"
    switches.write_text(switches.read_text("utf-8").replace("8,1,4,120", "48,2,4,900"), "utf-8")
    folders: dict[str, Path] = {}
    issued: dict[str, Issued] = {}
    # Legibility of sheets like these is looked at by tests of its own; here it would be half of the time.
    monkeypatched.setattr(
        "riserkit.results.issue.set_options", lambda *asked: replace(set_options(*asked), inspects=False)
    )

    def issue(letter: str, month: int, purpose: Purpose, prints: tuple[str, ...] = ()) -> None:
        new = NewIssue(letter, datetime.date(2026, month, 9), purpose, "A. Drafter", f"Issue {letter}")
        options = BuildOptions(details="each", doors=OWN_SHEETS, prints=prints)
        issued[letter] = issue_site(site, folder / "set", new, options)
        folders[letter] = Path(shutil.copytree(folder / "set", folder / letter))

    issue("A", 3, "for construction")
    openings = site / "openings.csv"
    openings.write_text(_seven_changes(openings.read_text("utf-8")), "utf-8")
    issue("B", 4, "for construction")
    rows = filled(design_site(read_site(site)))
    _as_built(rows)
    return_site(site, [write_workbook(folder / "papers.xlsx", rows)])
    issue("C", 5, "as built", ("overview",))
    return Life(site, folders, issued)


def _texts(folder: Path, sheet: str) -> str:
    """All that stands on a sheet, lines of one text joined."""
    doc = read_dxf(folder / "drawings" / f"{sheet}.dxf")
    spaces = [doc.modelspace(), doc.layouts.get(doc.layouts.names_in_taborder()[1])]
    found = [e.plain_text() for space in spaces for e in space.query("TEXT MTEXT")]
    return " ".join(" ".join(found).split())


def _errors(folder: Path) -> list[dict[str, str]]:
    said = json.loads((folder / "findings.json").read_text("utf-8"))["findings"]
    return [f for f in said if f["verdict"] != "pass" and f["severity"] == "error" and not f["accepted_by"]]


def _register(folder: Path) -> dict[str, dict[str, str]]:
    return {row["sheet"]: row for row in csv_rows(folder / "register.csv")}


def _clouds(folder: Path, sheet: str) -> int:
    """Revision clouds of a sheet: closed polylines of arcs on their layer."""
    doc = read_dxf(folder / "drawings" / f"{sheet}.dxf")
    spaces = [doc.modelspace(), doc.layouts.get(doc.layouts.names_in_taborder()[1])]
    found = (e for space in spaces for e in space.query("LWPOLYLINE") if e.dxf.layer == layers.REVISION)
    return sum(any(bulge for *_, bulge in e.get_points("xyb")) for e in found)


def _deltas(folder: Path, sheet: str) -> Counter[str]:
    """Letters of the deltas of a sheet."""
    doc = read_dxf(folder / "drawings" / f"{sheet}.dxf")
    spaces = [doc.modelspace(), doc.layouts.get(doc.layouts.names_in_taborder()[1])]
    inserts = (e for space in spaces for e in space.query("INSERT") if e.dxf.name == "revision_delta")
    return Counter(attrib.dxf.text for e in inserts for attrib in e.attribs if e.dxf.layer == layers.REVISION)


def test_seven_changes_are_told(life: Life) -> None:
    difference = life.issued["B"].difference
    openings = {s.subject: s.change for s in difference.subjects if s.kind == "openings"}
    assert openings == {
        "1": "changed", "3": "changed", "12": "removed", "13": "changed", "18": "changed", "20": "changed", "25": "added",
    }  # fmt: skip
    said = {
        (s.subject, f.field): (f.was, f.is_now) for s in difference.subjects if s.kind == "openings" for f in s.facts
    }
    assert said["3", "name"] == ("Room 3", "Store")
    assert said["18", "release_height_m"] == ("1.1", "1.15")


def test_numbers_keep_their_subject(life: Life) -> None:
    """Ports and cables of the openings that stay are what they were; what is gone is not given again."""
    labels = {letter: {(x.kind, x.subject): x.label for x in one.issue.labels} for letter, one in life.issued.items()}
    for key, label in labels["A"].items():
        assert labels["B"][key] == label
    assert labels["B"]["cable", "25"] not in labels["A"].values()


def test_nine_differences_and_four_landings_are_on_the_register(life: Life) -> None:
    rows = csv_rows(life.folders["C"] / "schedules" / "differences.csv")
    landed = {row["opening"]: row["is"] for row in rows if row["kind"] == "landing"}
    assert landed == WRONG
    assert {(row["opening"], row["kind"]) for row in rows if row["kind"] != "landing"} == DIFFERENT
    assert len(rows) == 13
    said = {(row["opening"], row["kind"]): (row["was"], row["is"], row["by"], row["date"]) for row in rows}
    assert said["7", "port"][1] == said["8", "port"][0]
    assert said["9", "part"] == ("controller-c4", "controller-c3", "B. Ode", "2026-05-02")
    assert said["10", "device"] == ("1.10 m", "1.16 m", "B. Ode", "2026-05-02")
    assert said["16", "cable"][:2] == ("18-2", "18-4")
    assert said["17", "length"] == ("6.4 m estimated", "11 m measured", "A. Lee", "2026-03-20")
    assert not (life.folders["B"] / "schedules" / "differences.csv").exists()


def test_wrong_landings_and_what_they_do_are_findings(life: Life) -> None:
    findings = _errors(life.folders["C"])
    wrong = {row["subject"] for row in findings if row["rule"] == "wrong-landing"}
    assert wrong == set(WRONG)
    assert {row["subject"] for row in findings if row["rule"] == "release-by-hand"} == {"2"}
    assert "18" in {row["subject"] for row in findings if row["rule"] == "lock-follows-controller"}
    # Everything came back: nothing is left unreturned, and no error stands at the openings that were built as drawn.
    assert not [row for row in findings if row["rule"] == "not-returned"]
    built_so = {*WRONG, *(mark for mark, _ in DIFFERENT)}
    before = {(row["rule"], row["subject"]) for row in _errors(life.folders["B"])}
    assert {row["subject"] for row in findings if (row["rule"], row["subject"]) not in before} <= built_so


def test_as_built_sheets_say_so_and_hold(life: Life) -> None:
    register = _register(life.folders["C"])
    assert {row["status"] for row in register.values()} <= {"as built", "VOID"}
    assert {row["revision"] for row in register.values() if row["status"] != "VOID"} == {"C"}
    (overview,) = life.folders["C"].rglob("overview.pdf")
    texts = [page.extract_text() for page in pypdf.PdfReader(overview).pages]
    assert all("as built" in text.lower() for text in texts)
    cover = " ".join(texts[0].split())
    for words in (
        "Openings returned as done 24 of 24", "Differences from the design 13", "of which conductors landed otherwise 4",
        "Last return 2026-05-02", "HOLD - NOT IN SERVICE",
    ):  # fmt: skip
        assert words in cover, words
    held = _texts(life.folders["C"], "T-501-2")
    assert "DO NOT BUILD" not in held
    for words in ("HOLD - NOT IN SERVICE", "release-by-hand", "Was and is", "X1.1 to X1.2", "X1.1 to S1.11", "A. Lee, 2026-03-20",
                  "Returned as done by A. Lee"):  # fmt: skip
        assert words in held, words
    moved = _texts(life.folders["C"], "T-501-10")
    assert "B. Ode, 2026-05-02" in moved
    assert "1160" in moved


def test_what_differs_from_the_last_issue_is_clouded(life: Life) -> None:
    """The sheets of two doors of which something was built otherwise; a delta of their letter stands beside."""
    for sheet in ("T-501-2", "T-501-10"):
        assert _clouds(life.folders["C"], sheet) >= 1
        assert _deltas(life.folders["C"], sheet)["C"] >= 1
        assert _clouds(life.folders["A"], sheet) == 0
    # The plan was clouded at B, where a door went and one came; at C its clouds are gone and its deltas stay.
    assert _clouds(life.folders["B"], "T-101") >= 1
    assert _deltas(life.folders["C"], "T-101")["B"] >= 1


def test_lengths_stand_with_their_basis(life: Life) -> None:
    for name in ("horizontal_cables", "device_cables"):
        rows = csv_rows(life.folders["C"] / "schedules" / f"{name}.csv")
        assert {row["basis"] for row in rows} == {"measured"}
        assert {row["basis"] for row in csv_rows(life.folders["B"] / "schedules" / f"{name}.csv")} <= {
            "routed",
            "estimated",
        }


def test_the_record_of_the_return_stands_beside_the_tables(life: Life) -> None:
    (record,) = (life.site / "as-built").glob("*.json")
    assert list(json.loads(record.read_text("utf-8"))["files"]) == ["papers.xlsx"]
    returned = csv_rows(life.folders["C"] / "schedules" / "returned.csv")
    assert sum(row["table"] == "doors" for row in returned) == DOORS
    assert {row["file"] for row in returned} == {"papers.xlsx"}
