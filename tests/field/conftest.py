"""Papers of the first look, written once a session, and what reads them back."""

from __future__ import annotations

import io
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from riserkit.checked import Checked
from riserkit.field.about import FieldWork
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.reports.test_sheet import door_tests
from riserkit.results.field import write_field
from riserkit.results.site_tables import site_tables


@pytest.fixture(scope="session")
def work(checked_sample: Callable[[str], Checked]) -> FieldWork:
    checked = checked_sample("first-look")
    return FieldWork(checked.design, checked.findings, door_tests(checked.design))


@pytest.fixture(scope="session")
def papers(work: FieldWork, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("field")
    write_field(work, folder, site_tables(Checked(work.design, tuple(work.findings)), work.tests))
    return folder


def _with_error(work: FieldWork, rule: str, message: str, remedy: str, harm: Harm) -> FieldWork:
    """The same with an open error at door 2."""
    error = Finding(
        rule,
        Verdict.FAIL,
        Severity.ERROR,
        "2",
        "opening",
        message,
        "common practice, no source",
        remedy=remedy,
        harm=harm,
    )
    return replace(work, findings=(error, *work.findings))


@pytest.fixture(scope="session")
def held_work(work: FieldWork) -> FieldWork:
    """With an open error of life safety at door 2."""
    said = "The release leaves the lock's power on.", "Wire the release into the lock's feed."
    return _with_error(work, "release-by-hand", *said, Harm.LIFE_SAFETY)


@pytest.fixture(scope="session")
def unfit_work(work: FieldWork) -> FieldWork:
    """With an open error against the code at door 2: a cable that may not run where it is drawn."""
    said = "CMR of cat6 may not run in the open in plenum.", "Use cat6-plenum in place of cat6."
    return _with_error(work, "jacket-fit", *said, Harm.CODE)


@pytest.fixture(scope="session")
def pages() -> Callable[[Path | bytes], list[str]]:
    """The words of each page of a PDF, by pypdf."""

    @cache
    def read(pdf: Path | bytes) -> list[str]:
        source = io.BytesIO(pdf) if isinstance(pdf, bytes) else pdf
        return [" ".join(page.extract_text().split()) for page in PdfReader(source).pages]

    return read


@pytest.fixture(scope="session")
def decoded() -> Callable[..., list[str]]:
    """What the QR codes of a PDF say, rasterised by poppler and read by zbar."""
    for tool in ("pdftoppm", "zbarimg"):
        if shutil.which(tool) is None:
            pytest.skip(f"{tool} is not installed (Debian: poppler-utils, zbar-tools)")

    def read(pdf: Path, folder: Path, dpi: int, *only: str) -> list[str]:
        subprocess.run(["pdftoppm", "-r", str(dpi), "-gray", "-png", *only, pdf, folder / "page"], check=True)
        images = sorted(folder.glob("page*.png"))
        command = ["zbarimg", "-q", "--raw", "-Sdisable", "-Sqrcode.enable", *images]
        return subprocess.run(command, capture_output=True, text=True, check=False).stdout.splitlines()

    return read
