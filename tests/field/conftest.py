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

from riserkit.field.about import FieldWork
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.pipeline import Checked
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


@pytest.fixture(scope="session")
def held_work(work: FieldWork) -> FieldWork:
    """The same with an open error of life safety at door 2."""
    error = Finding(
        "release-by-hand", Verdict.FAIL, Severity.ERROR, "2", "opening", "The release leaves the lock's power on.",
        "common practice, no source", remedy="Wire the release into the lock's feed.", harm=Harm.LIFE_SAFETY,
    )  # fmt: skip
    return replace(work, findings=(error, *work.findings))


@pytest.fixture(scope="session")
def unfit_work(work: FieldWork) -> FieldWork:
    """The same with an open error against the code at door 2: a cable that may not run where it is drawn."""
    error = Finding(
        "jacket-fit", Verdict.FAIL, Severity.ERROR, "2", "opening", "CMR of cat6 may not run in the open in plenum.",
        "common practice, no source", remedy="Use cat6-plenum in place of cat6.", harm=Harm.CODE,
    )  # fmt: skip
    return replace(work, findings=(error, *work.findings))


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
