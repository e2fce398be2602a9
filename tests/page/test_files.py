"""The files of a page, without a browser: what each may load, that links lead somewhere, that numbers are the solver's."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote

import pytest

from riserkit.circuits.errors import CircuitError
from riserkit.drawings.prints.areas import areas_of
from riserkit.drawings.prints.svg import TENTHS_PER_MM, svg_body
from riserkit.drawings.set.plan import SetOptions
from riserkit.page.acceptance import acceptance_data
from riserkit.page.alternatives import alternatives
from riserkit.page.calculation import calculation
from riserkit.page.door import door_page
from riserkit.page.findings import door_status, finding_views, margins
from riserkit.page.loop import loop_of
from riserkit.page.render import POLICY, door_html, sheet_anchor, sheet_html
from riserkit.page.sheets import page_jobs
from riserkit.page.values import (
    ACCEPTED,
    ERROR,
    NOT_EVALUATED,
    NOTHING_OPEN,
    WARNING,
    Bench,
    DoorPage,
    FindingView,
    PageFrame,
    SheetView,
)
from riserkit.page.work import PageWork
from riserkit.page.write import write_page
from riserkit.pipeline import no_progress
from riserkit.reports.explained import wiring_of
from riserkit.standards.copper import at_temperature
from tests.command import run


class _Seen(HTMLParser):
    """Policy, scripts, links, identifiers and attributes of one file."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.policies: list[str] = []
        self.before_policy: list[str] = []
        self.inline: list[str] = []
        self.targets: list[str] = []
        self.ids: list[str] = []
        self.forbidden: list[str] = []
        self._data = True

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if given.get("http-equiv") == "Content-Security-Policy":
            self.policies.append(given["content"])
        elif not self.policies and tag in ("script", "link", "style", "base"):
            self.before_policy.append(tag)
        self.forbidden += [name for name in given if name == "style" or name.startswith("on")]
        self.forbidden += [tag] if tag in ("style", "iframe", "object", "embed", "base") else []
        if tag == "script" and "src" not in given and given.get("type") != "application/json":
            self.inline.append(tag)
        self.targets += [given[name] for name in ("href", "src") if name in given]
        self.ids += [given["id"]] if "id" in given else []


@pytest.fixture(scope="module")
def seen(page_folder: Path) -> dict[Path, _Seen]:
    found = {}
    for path in page_folder.rglob("*.html"):
        found[path] = _Seen()
        found[path].feed(path.read_text("utf-8"))
    return found


def test_every_file_has_the_policy_and_nothing_it_forbids(seen):
    assert "default-src 'none'" in POLICY
    assert "unsafe" not in POLICY
    assert "http" not in POLICY
    assert len(seen) == 5
    for path, one in seen.items():
        assert one.policies == [POLICY], path
        assert (one.before_policy, one.inline, one.forbidden) == ([], [], []), path


def test_every_link_leads_to_something_in_the_folder(seen, page_folder):
    for path, one in seen.items():
        assert len(one.ids) == len(set(one.ids)), path
        for target in one.targets:
            if target == "data:,":
                continue
            name, _, anchor = target.partition("#")
            file = (path.parent / unquote(name)).resolve() if name else path
            assert file.is_relative_to(page_folder.resolve()), target
            assert file.is_file(), f"{path}: {target}"
            if anchor:
                assert unquote(anchor) in seen[file].ids or file.name == "acceptance.html", f"{path}: {target}"


def test_the_folder_appears_with_a_list_of_its_files_and_is_replaced(page_folder):
    assert (page_folder / "contents.json").is_file()
    assert (page_folder / "assets" / "LICENSE-lettering.txt").is_file()


def test_a_page_needs_no_site():
    """As for an arrangement by itself: a part that is left out leaves nothing behind."""
    bench = Bench("t1", "", {"mark": "</script><script>x</script>"})
    html = door_html(DoorPage("Relay module", "strike, 12 V", bench=bench), PageFrame("Reference", "", ("Caution.",)))
    assert '<section id="bench" data-topology="t1">' in html
    assert (
        html.index('src="../assets/page.js"')
        < html.index('src="../bench/t1.js"')
        < html.index('src="../assets/bench.js"')
    )
    assert "</script><script>x" not in html
    assert "\\u003c/script\\u003e" in html
    for left_out in ("Findings", "Margins", "Alternatives", 'class="badge'):
        assert left_out not in html
    assert '<section id="bench" hidden>' in door_html(DoorPage("a", "b"), PageFrame("", "", ()))


def test_a_sheet_that_shows_a_door_on_hold_says_so():
    sheet = SheetView("T-511", "Typical", 100, 100, "<path d='M0 0'/>", held=(("1<b>", "HOLD: release-by-hand"),))
    html = sheet_html(sheet, PageFrame("", "", ()))
    assert "HOLD - DO NOT BUILD" in html
    assert "HOLD: release-by-hand" in html
    assert 'href="../doors/1%3Cb%3E.html"' in html
    assert "<b>" not in html
    assert "HOLD" not in sheet_html(replace(sheet, held=()), PageFrame("", "", ()))


@pytest.fixture(scope="module")
def first_look(checked_sample):
    checked = checked_sample("first-look")
    return PageWork(checked.design, checked.findings, {}, SetOptions(), "")


def test_the_loop_of_a_lock_is_its_cable_and_what_closes_it(first_look):
    """Door 1: output, cable there, coil, cable back. Door 2: supply, module's contact, sensor, release, and back."""
    netlists = {mark: first_look.design.door[mark].wiring.netlist for mark in ("1", "2")}
    direct, relay = (loop_of(netlists[mark], "M1.+", "M1.-") for mark in ("1", "2"))
    assert direct is not None
    assert relay is not None
    assert (direct.source.component.ref, relay.source.component.ref) == ("K1", "G1")
    assert [c.gauge for c in direct.conductors] == ["18 AWG", "18 AWG"]
    passed = {ref for c in relay.conductors for ref in (c.a.component, c.b.component)}
    assert passed == {"G1", "K2", "B2", "S1", "X1", "M1"}
    assert loop_of(netlists["1"], "B1.1", "M1.-") is None or netlists["1"] is not None


def test_the_formula_with_the_inputs_shown_gives_the_result_shown(first_look):
    """Ohm's law on one loop, copper at its temperature: the least voltage at the strike of door 1 within a hundredth of a volt."""
    design = first_look.design
    step = next(s for s in calculation(design, design.door["1"]) if s.what.startswith("Lowest voltage at the lock"))
    shown = {what: value for what, value, _ in step.inputs}

    def number(start: str, place: int = 0) -> float:
        text = next(value for what, value in shown.items() if what.startswith(start))
        return float(re.findall(r"-?\d+(?:\.\d+)?", text)[place])

    assert "2 in the loop" in next(what for what in shown if what.startswith("R20"))
    copper = 2 * at_temperature(number("R20"), number("t, coldest", 1))
    around = number("R(source)") + copper + number("R(contacts)")
    coil = number("M1 Electric strike")
    source = number("U(source)")
    assert source * coil / (coil + around) == pytest.approx(float(step.result.split()[0]), abs=0.06)
    assert design.door["1"].wiring.voltages.lock_low_v == pytest.approx(source * coil / (coil + around), abs=0.01)


def test_the_formula_of_the_poe_cable_gives_what_is_shown(first_look):
    """Constant power over a resistance: the lesser root of R x I^2 - U x I + P = 0."""
    for door in first_look.design.doors:
        step = next(s for s in calculation(first_look.design, door) if s.what.startswith("Power over"))
        volts, ohms, _, watts = (float(re.findall(r"\d+(?:\.\d+)?", value)[0]) for _, value, _ in step.inputs)
        amps = (volts - math.sqrt(volts**2 - 4 * ohms * watts)) / (2 * ohms)
        assert step.result.startswith(
            f"I {amps:.3f} A, U(device) {volts - ohms * amps:.1f} V, P(port) {volts * amps:.2f} W"
        )


def test_doors_stand_on_the_plan_where_the_site_has_them(first_look):
    """From door 1 at (9, 0) to door 2 at (14, 6): 5 m and 6 m at the scale of the sheet, up being less y."""
    job = next(job for job in page_jobs(first_look) if job.kind == "plan")
    picture = areas_of(job.draw(), lambda name, _: name)
    first, second = (_symbol(picture.areas[f"opening:{mark}"]) for mark in ("1", "2"))
    ratio = 100
    assert second[0] - first[0] == pytest.approx(5000 / ratio, abs=6.0)
    assert second[1] - first[1] == pytest.approx(6000 / ratio, abs=6.0)


def _symbol(boxes):
    x0, y0, x1, y1 = boxes[0]
    return (x0 + x1) / 2, (y0 + y1) / 2


def test_all_words_of_a_sheet_are_text_of_its_picture(first_look):
    job = next(job for job in page_jobs(first_look) if job.kind == "riser")
    picture = areas_of(job.draw(), lambda _id, _kind: "")
    body = svg_body(picture.page)
    for words in ("Riser diagram", "Network cupboard", "Legend", "1A-A01"):
        assert f">{words}<" in body
    assert picture.areas == {}
    places = [tuple(map(int, one)) for one in re.findall(r'<text[^>]* x="(-?\d+)" y="(-?\d+)"', body)]
    assert all(0 <= x <= 10000 * TENTHS_PER_MM and y >= 0 for x, y in places)


@pytest.mark.parametrize("sample", ["first-look", pytest.param("seed-archive", marks=pytest.mark.sweep)])
def test_every_open_finding_of_the_samples_can_be_accepted_by_its_row(checked_sample, sample):
    checked = checked_sample(sample)
    work = PageWork(checked.design, checked.findings, {}, SetOptions(), "")
    failing = [f for f in checked.findings if str(f.verdict) != "pass"]
    views = finding_views(work)
    assert len(views) == len(failing) > 0
    told = [acceptance_data(f, v) for f, v in zip(failing, views, strict=True)]
    assert [one["uncovered"] for one in told if one["uncovered"]] == []
    assert {v.number for v in views} == set(range(1, len(views) + 1))


def test_alternatives_say_which_number_decided(first_look):
    """The direct wiring comes first at door 1; what is not suitable says why, each way once."""
    door = first_look.design.door["1"]
    judged = wiring_of(first_look.design.site, "1", everything=True)
    found = alternatives(door.wiring, judged)
    assert (found[0].verdict, found[0].title) == ("selected", door.wiring.chosen.title)
    assert [one.verdict for one in found].count("selected") == 1
    refused = [one for one in found if one.verdict == "not suitable"]
    assert refused
    assert all(one.decided for one in refused)
    assert not any(one.decided for one in found if one.verdict == "suitable")
    shown = [(one.title, one.how.partition("lock power")[2].partition(";")[0], one.decided) for one in found]
    assert len(shown) == len(set(shown))


def test_a_value_on_its_limit_is_said_to_be_below_or_above_by_nobody(first_look):
    """A finding states value, limit and margin; of a margin of nothing neither side is known."""
    of = {one.what: one for mark in ("1", "2") for one in margins(first_look, mark)}
    assert of["release-by-hand: release time"].at_most is None
    assert of["channel-length"].at_most is True
    assert of["lock-voltage: lowest voltage"].at_most is False
    assert all(0 <= one.value_share <= 1 and 0 <= one.limit_share <= 1 for one in of.values())


def test_a_door_stands_as_its_gravest_finding(first_look):
    view = FindingView(1, "r", "", "life safety", "warning", "fail", "warning", "opening", "1", "m", "", "s")
    unknown = replace(view, verdict="not evaluated")
    error = replace(view, severity="error", status="error")
    accepted = replace(error, status="accepted life-safety error", accepted="ACCEPTED BY A. Engineer")
    note = replace(view, severity="note", status="note")
    for views, status in (
        ([unknown, view, error, accepted], ERROR), ([unknown, view, accepted], WARNING), ([unknown, accepted, note], NOT_EVALUATED),
        ([accepted, note], ACCEPTED), ([note], NOTHING_OPEN), ([], NOTHING_OPEN),
    ):  # fmt: skip
        assert door_status(first_look, "1", views) is status


def test_a_door_whose_page_cannot_be_made_says_so_and_leaves_the_others(first_look, monkeypatch, tmp_path):
    def failing(work, door, **named):
        if door.mark == "1":
            raise ValueError("<b>broken</b>")
        return door_page(work, door, **named)

    def unsolved(circuit):
        raise CircuitError("W2.1", "left out")

    monkeypatch.setattr("riserkit.page.write.door_page", failing)
    monkeypatch.setattr("riserkit.page.bench.topology_script", unsolved)  # it takes seconds, and is not asked
    riser = next(job for job in page_jobs(first_look) if job.kind == "riser")
    assert write_page(replace(first_look, sheets=(riser,)), tmp_path, no_progress) == 2
    broken, whole = ((tmp_path / "doors" / f"{mark}.html").read_text("utf-8") for mark in ("1", "2"))
    assert "HOLD - DO NOT BUILD: no page" in broken
    assert "&lt;b&gt;broken&lt;/b&gt;" in broken
    assert "no page" not in whole
    assert f'href="../index.html#{sheet_anchor(riser.sheet_id)}"' in whole


@pytest.mark.parametrize("held", ["drawings", "own file", "other"])
def test_nothing_of_the_users_is_written_over(tmp_path, held):
    """Asked before anything is read: the site need not even be there."""
    out = tmp_path / "out"
    (out / "drawings").mkdir(parents=True)
    name = {"drawings": "drawings/T-101.dxf", "own file": "notes.txt", "other": "drawings/x"}[held]
    (out / name).write_text("mine", "utf-8")
    if held != "other":
        (out / "contents.json").write_text('{"files": {}}', "utf-8")
    done = run("page", tmp_path / "site", "-o", out)
    assert done.exit_code == 2
    assert Path(name).name.split(".")[0] in done.output or "drawings" in done.output
    assert "choose another folder" in done.output or "name another folder" in done.output
    assert (out / name).read_text("utf-8") == "mine"


def test_results_to_take_proofs_from_are_results(tmp_path):
    done = run("page", "site", "-o", tmp_path / "out", "--results", tmp_path / "none")
    assert done.exit_code == 2
    assert "holds no results of a build" in done.output
    assert not (tmp_path / "out").exists()


def test_a_finding_of_many_doors_takes_the_same_room_on_each_doors_page():
    """Else the pages of a thousand doors would grow with the square of their number."""

    def size(doors: int) -> int:
        marks = tuple(f"D{n:04}" for n in range(doors))
        one = FindingView(1, "r", "", "code", "note", "fail", "note", "site", "s", "m", "", "s", marks=marks)
        page = DoorPage("D0000", "", status=NOTHING_OPEN, findings=(one,))
        return len(door_html(page, PageFrame("", "", ())))

    assert size(1000) - size(100) < 10
    assert size(100) > size(1)
