"""Findings for the building model, against the published schemas of BCF 3.0 (buildingSMART International)."""

from __future__ import annotations

import datetime
import math
import zipfile
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
import xmlschema

from riserkit.checked import Checked
from riserkit.findings import Finding, Severity, Verdict
from riserkit.importing.last import LastCell, LastImport, LastRow, last_text
from riserkit.model.records import Acceptance
from riserkit.reports.bcf import ModelLink, bcf_bytes
from tests.command import run

SAMPLE = Path(__file__).resolve().parents[2] / "sample_drawings" / "first-look" / "site"
GLOBAL_ID = "3ZcB5dQWr0Q9HnhvgAQ9Xy"
SCHEMA_OF = {
    "bcf.version": "version",
    "project.bcfp": "project",
    "extensions.xml": "extensions",
    ".bcf": "markup",
    ".bcfv": "visinfo",
}


@pytest.fixture(scope="module")
def checked(checked_sample: Callable[[str], Checked]) -> Checked:
    return checked_sample("first-look")


@pytest.fixture(scope="module")
def findings(checked: Checked) -> tuple[Finding, ...]:
    """What the rules say; one accepted, and one with words that XML would stumble over."""
    failing = [f for f in checked.findings if f.verdict is not Verdict.PASS]
    one = next(f for f in failing if f.severity is Severity.WARNING)
    given = Acceptance(
        rule=one.rule, subject=one.subject, reason="Reader <and> & box are potted", name="M. Iyer",
        date=datetime.date(2026, 3, 1), authority="City of Ashford", reference="26-114",
    )  # fmt: skip
    odd = replace(one, rule="odd-words", message='<script> & "quotes" \x07', about="x")
    return (*tuple(replace(f, acceptance=given) if f is one else f for f in failing), odd)


def _entries(archive: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(BytesIO(archive)) as file:
        return {name: file.read(name) for name in file.namelist()}


def _topics(entries: dict[str, bytes]) -> list[ET.Element]:
    found = [ET.fromstring(data).find("Topic") for name, data in entries.items() if name.endswith("markup.bcf")]
    return [topic for topic in found if topic is not None]


def test_every_file_is_valid_against_the_published_schema(
    shared_dir: Path, checked: Checked, findings: tuple[Finding, ...]
) -> None:
    link = ModelLink({"2": GLOBAL_ID}, ("house.ifc",))
    entries = _entries(bcf_bytes(checked.design.site, findings, link, Severity.NOTE))
    seen = set()
    for name, data in entries.items():
        kind = next(schema for ending, schema in SCHEMA_OF.items() if name.endswith(ending))
        seen.add(kind)
        xmlschema.XMLSchema(shared_dir / "reference" / "bcf-3.0" / f"{kind}.xsd").validate(data.decode())
    assert seen == set(SCHEMA_OF.values())


def test_each_finding_not_passed_is_a_topic_with_its_status(checked: Checked, findings: tuple[Finding, ...]) -> None:
    topics = _topics(_entries(bcf_bytes(checked.design.site, findings, least=Severity.NOTE)))
    assert len(topics) == len(findings)
    by_title = {topic.findtext("Title"): topic for topic in topics}
    for finding in findings:
        title = f"{finding.subject}: {finding.rule}{f', {finding.about}' if finding.about else ''}"
        assert by_title[title].get("TopicStatus") == ("Accepted" if finding.acceptance else "Open")
        assert by_title[title].get("TopicType") == finding.severity
    (accepted,) = (topic for topic in topics if topic.get("TopicStatus") == "Accepted")
    comment = accepted.find("Comments/Comment")
    assert comment is not None and comment.findtext("Author") == "M. Iyer"
    assert comment.findtext("Comment") == "Accepted: Reader <and> & box are potted (City of Ashford, 26-114)"
    assert comment.findtext("Date") == "2026-03-01T00:00:00Z"
    assert len(_topics(_entries(bcf_bytes(checked.design.site, findings, least=Severity.ERROR)))) == 0


def test_the_view_faces_the_door_from_the_unsecured_side_and_selects_it(
    checked: Checked, findings: tuple[Finding, ...]
) -> None:
    site = checked.design.site
    entries = _entries(bcf_bytes(site, findings, ModelLink({"1": GLOBAL_ID}), Severity.NOTE))
    facing = 0
    for topic in _topics(entries):
        view = ET.fromstring(entries[f"{topic.get('Guid')}/{topic.findtext('Viewpoints/ViewPoint/Viewpoint')}"])
        mark = (topic.findtext("Title") or "").partition(":")[0]
        if mark not in site.opening:
            assert view.find("OrthogonalCamera") is not None
            continue
        facing += 1
        opening = site.opening[mark]
        at, to = (
            [float(view.findtext(f"PerspectiveCamera/{p}/{a}") or "nan") for a in "XYZ"]
            for p in ("CameraViewPoint", "CameraDirection")
        )
        away = math.dist(at[:2], (opening.x_m, opening.y_m))
        # what is looked at lies straight ahead
        assert (at[0] + away * to[0], at[1] + away * to[1]) == pytest.approx((opening.x_m, opening.y_m), abs=1e-3)
        assert opening.secured_normal_deg is not None
        assert math.degrees(math.atan2(to[1], to[0])) == pytest.approx(opening.secured_normal_deg)
        selected = [c.get("IfcGuid") for c in view.iterfind("Components/Selection/Component")]
        assert selected == ([GLOBAL_ID] if mark == "1" else [])
    assert facing


def test_the_same_bytes_each_time_and_the_same_topic_while_a_value_changes(
    checked: Checked, findings: tuple[Finding, ...]
) -> None:
    site = checked.design.site
    assert bcf_bytes(site, findings) == bcf_bytes(site, findings)
    later = [replace(f, message="Now it is worse.", value=9.0) for f in findings]
    before, after = (_entries(bcf_bytes(site, few)) for few in (findings, later))
    assert list(before) == list(after) and before != after


def test_the_command_names_doors_by_the_record_of_the_import_and_loses_no_answers(tmp_path: Path) -> None:
    site = tmp_path / "site"
    (site / "import").mkdir(parents=True)
    for path in SAMPLE.glob("*.csv"):
        (site / path.name).write_bytes(path.read_bytes())
    rows = (LastRow("1", GLOBAL_ID, {"mark": LastCell("1", "drawn")}), LastRow("2", "2F3", {}))
    (site / "import" / "last.json").write_text(last_text(LastImport({"openings": rows}, {"house.ifc": "0"})), "utf-8")
    out = tmp_path / "open.bcf"

    def checked_again() -> tuple[int, str]:
        done = run("check", site, "--bcf", out, "--door", "1")
        return done.exit_code, done.output

    assert checked_again()[0] == 0
    first = out.read_bytes()
    selected = b"".join(data for name, data in _entries(first).items() if name.endswith(".bcfv"))
    assert GLOBAL_ID.encode() in selected and b"2F3" not in selected
    assert b"house.ifc" in b"".join(_entries(first).values())
    assert checked_again()[0] == 0 and out.read_bytes() == first
    with zipfile.ZipFile(out, "a") as file:
        file.writestr("answer.txt", "Moved the reader.")
    code, said = checked_again()
    assert code == 2 and "was changed since" in said
