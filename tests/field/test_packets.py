"""Packets of doors and closets, read back from their PDF: all that a crew needs is on them, and nothing that misleads it."""

from __future__ import annotations

import datetime
import re
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from riserkit.checked import Checked
from riserkit.drawings.dxf.text import text_width_mm
from riserkit.drawings.prints.pdf import CAP_HEIGHT, POINTS_PER_MM, Words
from riserkit.drawings.prints.pdf_file import pdf_bytes
from riserkit.field.about import FieldWork
from riserkit.field.blocks import PaperHeading, Paragraph, Signature
from riserkit.field.closet import closet_paper
from riserkit.field.door import door_paper
from riserkit.field.form import A4, LETTER, TELEPHONE, PaperForm, paper_form
from riserkit.field.paper import pages_of
from riserkit.field.table import NO_BOX, WorkTable
from riserkit.pipeline import design_site
from riserkit.record.issue import Issue
from riserkit.reports.materials.facts import design_facts
from riserkit.reports.table import drawn_text
from riserkit.results.field import write_field

Pages = Callable[[Path | bytes], list[str]]
FORMS = ("door-{}.pdf", "telephone/door-{}.pdf")


def pdf_of(work: FieldWork, mark: str, form: PaperForm = A4) -> bytes:
    return pdf_bytes(pages_of(door_paper(work, work.design.door[mark], form), form))


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("mark", ["1", "2"])
def test_every_conductor_stands_in_the_packet_with_both_its_ends(
    work: FieldWork, papers: Path, pages: Pages, mark: str, form: str
) -> None:
    text = " ".join(pages(papers / "field" / form.format(mark)))
    netlist = work.design.door[mark].wiring.netlist
    assert netlist is not None
    for c in netlist.conductors:
        colour = " ".join(filter(None, (c.colour, c.gauge)))
        start = re.escape(f"{c.ref} ") + r".{0,20}" + re.escape(colour)
        assert re.search(start + r".{0,60}?" + re.escape(str(c.a)) + r".{0,10}?" + re.escape(str(c.b)), text), c.ref
        assert c.note in text
    for spare in netlist.spares:
        assert f"{mark}-{spare.cable} {spare.colour}" in text


def test_a_packet_says_which_supply_is_switched_off(checked_sample: Callable[[str], Checked], pages: Pages) -> None:
    """A closet may hold several, of one kind: the wrong one off leaves the lock's wires live."""
    checked = checked_sample("seed-archive")
    work = FieldWork(checked.design, (), {})
    fed = [d for d in checked.design.doors if d.wiring.drawn and d.wiring.drawn.supply_id == "PS-1"]
    assert fed
    for door in fed[:2]:
        text = " ".join(pages(pdf_of(work, door.mark)))
        label = checked.design.labels.closet["TR-1"]
        assert f"(PS-1, closet {label}). Batteries off." in text


@pytest.mark.parametrize("form", FORMS)
def test_every_reading_stands_there_under_its_number_on_the_test_sheet(
    work: FieldWork, papers: Path, pages: Pages, form: str
) -> None:
    text = " ".join(pages(papers / "field" / form.format("2")))
    readings = work.tests["2"].readings
    assert len(readings) > 30
    for n, reading in enumerate(readings, 1):
        assert f"{n} {' '.join(reading.what.split()[:2])}" in text
        assert reading.plus in text
    band = next(r for r in readings if r.what == "lock M1, far end")
    assert band.low is not None
    assert "12.9 to 13.5" in text
    assert "hold time of S1" in text
    assert "30 (at least 30) s" in text
    assert "stays free for 30 s or more by the stopwatch" in text


@pytest.mark.parametrize("form", FORMS)
def test_each_page_says_its_door_its_revision_and_how_many_pages_there_are(
    papers: Path, pages: Pages, form: str
) -> None:
    read = pages(papers / "field" / form.format("2"))
    assert len(read) > 3
    for n, text in enumerate(read, 1):
        assert text.startswith("Door 2")
        assert "Not issued, dated 2026-02-10" in text
        assert f"page {n} of {len(read)}" in text


def test_both_forms_of_a_packet_have_one_check_number(work: FieldWork) -> None:
    door = work.design.door["2"]
    assert door_paper(work, door, A4).check == door_paper(work, door, TELEPHONE).check
    assert door_paper(work, door, A4).check != door_paper(work, work.design.door["1"], A4).check


def test_poppler_reads_the_same_words(papers: Path, pages: Pages) -> None:
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed (Debian: poppler-utils)")
    pdf = papers / "field" / "door-2.pdf"
    done = subprocess.run(["pdftotext", "-raw", pdf, "-"], capture_output=True, text=True, check=True)
    ours = sorted(" ".join(pages(pdf)).split())
    assert sorted(done.stdout.split()) == ours


@pytest.mark.parametrize(("name", "dpi"), [("door-2.pdf", 200), ("closet-TR-1.pdf", 200)])
def test_the_code_of_each_page_says_door_revision_and_check_number(
    work: FieldWork, papers: Path, pages: Pages, decoded: Callable[..., list[str]], tmp_path: Path, name: str, dpi: int
) -> None:
    pdf = papers / "field" / name
    paper = (
        door_paper(work, work.design.door["2"], A4)
        if "door" in name
        else closet_paper(work, work.design.site.closets[0])
    )
    # the head of the first two pages: the first has a large code, all others a small one
    head = ("-l", "2", "-x", "0", "-y", "0", "-W", str(round(210 / 25.4 * dpi)), "-H", str(round(45 / 25.4 * dpi)))
    assert len(pages(pdf)) >= 2
    assert decoded(pdf, tmp_path, dpi, *head) == [paper.coded] * 2
    assert paper.coded == f"{paper.subject}; not issued; PL-01; check {paper.check}"


def test_the_code_on_a_telephone_says_the_same(
    work: FieldWork, papers: Path, decoded: Callable[..., list[str]], tmp_path: Path
) -> None:
    """Its first page, 90 mm wide, as a screen of 1080 pixels shows it; the check number is that of the wide form."""
    pdf = papers / "field" / "telephone" / "door-2.pdf"
    code = door_paper(work, work.design.door["2"], A4).coded
    assert decoded(pdf, tmp_path, round(1080 / (90 / 25.4)), "-l", "1") == [code]


@pytest.mark.parametrize("form", [A4, LETTER, TELEPHONE])
def test_nothing_stands_outside_the_margins(held_work: FieldWork, form: PaperForm) -> None:
    papers = [door_paper(held_work, d, form) for d in held_work.design.doors]
    papers.append(closet_paper(held_work, held_work.design.site.closets[0]))
    words = 0
    for page in (page for paper in papers for page in pages_of(paper, form)):
        for item in page.drawn:
            if isinstance(item, Words):
                x, y = item.matrix[4] / POINTS_PER_MM, item.matrix[5] / POINTS_PER_MM
                cap = item.size / POINTS_PER_MM * CAP_HEIGHT
                assert form.margin_mm - 0.1 <= x, item.text
                assert x + text_width_mm(item.text, cap) <= form.width_mm - form.margin_mm + 0.1, item.text
                assert form.margin_mm <= y <= form.height_mm - form.margin_mm - cap + 0.1, item.text
                words += 1
    assert words > 300


def test_lettering_is_large_enough_to_read(work: FieldWork) -> None:
    """At least 1.8 mm on paper, as on the sheets; on a screen of 360 pixels words are 10 pixels high, in pictures 5."""
    for form, least_mm in ((A4, 1.8), (TELEPHONE, 5 / 360 * TELEPHONE.width_mm)):
        sizes = [
            item.size / POINTS_PER_MM * CAP_HEIGHT
            for page in pages_of(door_paper(work, work.design.door["2"], form), form)
            for item in page.drawn
            if isinstance(item, Words)
        ]
        assert min(sizes) >= least_mm - 1e-9
    assert TELEPHONE.text_mm / TELEPHONE.width_mm * 360 == pytest.approx(10)


def test_a_door_on_hold_says_so_on_each_page_and_has_no_approver(held_work: FieldWork, pages: Pages) -> None:
    for form in (A4, TELEPHONE):
        read = pages(pdf_of(held_work, "2", form))
        for text in read:
            assert "HOLD - DO NOT BUILD: release-by-hand" in text
            assert "Not approved" in text
            assert "M. Iyer" not in text
        assert "The release leaves the lock's power on." in read[0]
    for text in pages(pdf_of(held_work, "1", TELEPHONE)):
        assert "HOLD" not in text
        assert "Approved by: M. Iyer" in text


def test_an_error_against_the_code_stands_before_everything_else(unfit_work: FieldWork, pages: Pages) -> None:
    """The door may be built but for that one thing, so its packet has boxes to tick."""
    read = pages(pdf_of(unfit_work, "2", A4))
    told = "RESOLVE BEFORE WORK: JACKET-FIT CMR of cat6 may not run in the open in plenum. Use cat6-plenum in place of cat6."
    assert told in read[0]
    assert read[0].index(told) < read[0].index("Cautions")
    assert "Before work" in " ".join(read)
    assert "HOLD" not in " ".join(read)
    assert "RESOLVE" not in " ".join(pages(pdf_of(unfit_work, "1", A4)))


def test_a_door_on_hold_has_nothing_to_tick_to_write_or_to_sign(held_work: FieldWork) -> None:
    def filled_in(mark: str) -> list[str]:
        blocks = door_paper(held_work, held_work.design.door[mark], A4).blocks
        return [
            type(block).__name__ for block in blocks
            if isinstance(block, Signature) or (isinstance(block, Paragraph) and block.ticked)
            or (isinstance(block, WorkTable) and any(column.kind != "text" for column in block.columns))
        ]  # fmt: skip

    assert {"Signature", "Paragraph", "WorkTable"} == set(filled_in("1"))
    assert filled_in("2") == []
    read = list(door_paper(held_work, held_work.design.door["2"], A4).blocks)
    landings = next(b for b in read if isinstance(b, WorkTable) and b.title.startswith("Land"))
    assert [c.header for c in landings.columns] == ["No.", "Cable", "Colour, gauge", "Landed at", "and at", "Note"]
    assert not [b for b in read if isinstance(b, PaperHeading | WorkTable) and "Bring along" in "".join(b.words())]


@pytest.mark.parametrize("form", [A4, LETTER])
def test_no_page_ends_with_a_heading_of_what_is_on_the_next(
    held_work: FieldWork, pages: Pages, form: PaperForm
) -> None:
    """The band of a HOLD takes room of every page, and a picture of the wiring nearly fills one."""
    read = pages(pdf_of(held_work, "2", form))
    assert all(len(text) > 300 for text in read[:-1]), "a page with a heading alone"


def test_a_closet_has_no_box_for_the_port_of_a_door_on_hold(held_work: FieldWork) -> None:
    paper = closet_paper(held_work, held_work.design.site.closets[0])
    tables = {b.title: b for b in paper.blocks if isinstance(b, WorkTable)}
    boxes = {row[2]: row[4] for row in tables["Patching"].rows}
    assert (boxes["1"], boxes["2"]) == ("", NO_BOX)
    assert {row[1] for row in tables["At the switch, door by door"].rows} == {"1"}
    assert Paragraph("HOLD, nothing is measured at the ports of: 2.") in paper.blocks


def test_at_the_port_of_a_door_that_is_gone_there_is_nothing_to_tick(work: FieldWork) -> None:
    """The cord comes off; to tick that it is patched and labelled was asked."""
    site, issued_labels = work.design.site, work.design.labels.issued
    left = tuple(opening for opening in site.openings if opening.mark != "2")
    there = tuple(given for given in site.confirmations if given.opening != "2")
    made = design_site(
        site.model_copy(update={"openings": left, "confirmations": there, "issued_labels": issued_labels})
    )
    paper = closet_paper(FieldWork(made, (), {}), made.site.closets[0])
    patching = next(b for b in paper.blocks if isinstance(b, WorkTable) and b.title == "Patching")
    (row,) = [row for row in patching.rows if row[2] == "2 (not in the door list)"]
    cable = work.design.labels.cable["2"]
    assert row[4:] == (NO_BOX, f"take off the cord; cable {cable} may still be here")
    assert [row[4] for row in patching.rows if row[2] == "1"] == [""]


def issued(work: FieldWork, revision: str, month: int, facts: object = None) -> Issue:
    date = datetime.date(2026, month, 1)
    said = design_facts(work.design, work.findings) if facts is None else facts
    return Issue(revision, date, "for construction", "A. Drafter", "", (), said)  # type: ignore[arg-type]


def test_a_packet_bears_the_revision_that_changed_its_door(work: FieldWork, pages: Pages) -> None:
    facts = {kind: dict(rows) for kind, rows in design_facts(work.design, work.findings).items()}
    facts["cables"]["2-W9"] = {**facts["cables"]["2-W9"], "length_m": "99.0"}
    both = replace(work, issues=(issued(work, "A", 3, facts), issued(work, "B", 4)))
    assert "Revision B, 2026-04-01" in pages(pdf_of(both, "2", TELEPHONE))[0]
    assert "Revision A, 2026-03-01" in pages(pdf_of(both, "1", TELEPHONE))[0]


def test_a_packet_of_a_door_that_has_changed_since_does_not_pass_for_the_issued_one(
    work: FieldWork, pages: Pages
) -> None:
    facts = {kind: dict(rows) for kind, rows in design_facts(work.design, work.findings).items()}
    facts["conductors"]["2 W9 RD"] = {**facts["conductors"]["2 W9 RD"], "to": "M1.-"}
    since = replace(work, issues=(issued(work, "A", 3, facts),))
    read = pages(pdf_of(since, "2", TELEPHONE))
    for text in read:
        assert "CHANGED SINCE revision A of 2026-03-01, not issued" in text
        assert "Not approved" in text
    assert "Changed: conductor 2 W9 RD. Ask for an issued packet" in read[0]
    assert "Revision A, 2026-03-01" in pages(pdf_of(since, "1", TELEPHONE))[0]
    assert "changed since revision A" in door_paper(since, since.design.door["2"], A4).coded


def test_a_change_of_the_site_as_a_whole_changes_every_door(work: FieldWork) -> None:
    facts = {kind: dict(rows) for kind, rows in design_facts(work.design, work.findings).items()}
    facts["site"] = {"site": {**facts["site"]["site"], "pathway_c": "20"}}
    since = replace(work, issues=(issued(work, "A", 3, facts),))
    assert all(since.revision_of(door).changed == ("facts of the site",) for door in since.design.doors)


@pytest.mark.parametrize(
    ("table", "row", "changed", "told"),
    [
        ("supplies", "PS-1", {"part": "supply-24-4"}, {"1": (), "2": ("supply PS-1",)}),
        ("supplies", "PS-1", {"standby_hours": "1"}, {"1": (), "2": ()}),
        ("switches", "SW-1", {"poe_class": "3"}, {"1": ("switch SW-1",), "2": ("switch SW-1",)}),
    ],
)
def test_what_feeds_a_door_changes_its_packet(
    work: FieldWork, table: str, row: str, changed: dict[str, str], told: dict[str, tuple[str, ...]]
) -> None:
    """Parts, cables and conductors are the same: only the row of the supply or the switch says that it is another."""
    doors = [
        replace(
            door,
            wiring=replace(
                door.wiring, chosen=replace(door.wiring.chosen, supply_id="PS-1" if door.mark == "2" else "")
            ),
        )
        for door in work.design.doors
        if door.wiring.chosen is not None
    ]
    fed = replace(work, design=replace(work.design, doors=tuple(doors)))
    facts = {kind: dict(rows) for kind, rows in design_facts(fed.design, fed.findings).items()}
    facts[table] = {**facts[table], row: {**facts[table].get(row, {}), **changed}}
    since = replace(fed, issues=(issued(fed, "A", 3, facts),))
    assert {door.mark: since.revision_of(door).changed for door in since.design.doors} == told


def test_letters_of_any_script_are_shown_or_named(work: FieldWork, pages: Pages) -> None:
    """What the shipped font lacks is drawn in the other font where the machine has it, and else named; never a blank box."""
    site = work.design.site
    opening = site.openings[0].model_copy(update={"name": "門 Eingang Süd Дверь"})
    doors = (replace(work.design.doors[0], opening=opening), work.design.doors[1])
    named = replace(work, design=replace(work.design, doors=doors))
    paper = door_paper(named, doors[0], A4)
    text = " ".join(pages(pdf_bytes(pages_of(paper, A4))))
    assert "Eingang Süd Дверь" in text
    drawn = {item.text for page in pages_of(paper, A4) for item in page.drawn if isinstance(item, Words)}
    assert any("[9580] Eingang" in words or "門 Eingang" in words for words in drawn)


def test_the_closets_packet_has_every_port_and_what_its_cable_is(work: FieldWork, papers: Path, pages: Pages) -> None:
    for name in ("closet-TR-1.pdf", "telephone/closet-TR-1.pdf"):
        text = " ".join(pages(papers / "field" / name))
        for label in work.design.labels.port.values():
            assert label in text
        for door in work.design.doors:
            assert door.cable is not None
            assert f"{work.design.labels.port_of(door.placement)} {door.cable.label}" in text
        assert "no cord here" in text
        assert "UPS-1 18 Ah" in text
        assert "4.45 (at most 15.4) W" in text


def test_american_sheets_make_letter_pages(work: FieldWork) -> None:
    info = work.design.site.info
    assert paper_form(info) is A4
    assert paper_form(info.model_copy(update={"sheet_series": "ARCH"})) is LETTER


def test_the_same_site_gives_the_same_bytes(work: FieldWork, papers: Path, tmp_path: Path) -> None:
    write_field(work, tmp_path, ())
    ours = {p.relative_to(tmp_path): p.read_bytes() for p in sorted(tmp_path.rglob("*.*")) if p.suffix != ".xlsx"}
    assert len(ours) > 10
    assert ours == {name: (papers / name).read_bytes() for name in ours}


def test_a_packet_that_cannot_be_made_says_so_and_leaves_the_others(
    work: FieldWork, pages: Pages, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(one: FieldWork, door: object, form: PaperForm) -> object:
        if getattr(door, "mark", "") == "1":
            raise ZeroDivisionError("no such luck")
        return door_paper(one, door, form)  # type: ignore[arg-type]

    monkeypatch.setattr("riserkit.results.field.door_paper", fails)
    files = write_field(work, tmp_path, ())
    assert files.failed == ("door-1",)
    text = pages(tmp_path / "field" / "door-1.pdf")[0]
    assert "HOLD - DO NOT BUILD" in text
    assert "no such luck (ZeroDivisionError)" in text
    assert "Not approved" in text
    assert "Land, in this order" in " ".join(pages(tmp_path / "field" / "door-2.pdf"))


def test_parts_of_the_packet_and_of_the_materials_list_are_the_same(
    work: FieldWork, papers: Path, pages: Pages
) -> None:
    from riserkit.reports.materials.site import door_materials  # noqa: PLC0415

    text = " ".join(pages(papers / "field" / "telephone" / "door-2.pdf"))
    lines = door_materials(work.design, work.design.door["2"])
    assert len(lines) > 15
    for line, quantity in lines.items():
        amount = f"{drawn_text(round(quantity, 1))} m" if line.unit == "m" else f"{quantity:.0f}"
        assert f"{amount} {line.description}"[:30] in text
