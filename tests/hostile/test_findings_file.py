"""Findings for a building model: words stay words in its XML, and the file is whole or of before, whoever stops the command."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import textwrap
import zipfile
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from riserkit.checked import Checked
from riserkit.findings import Verdict
from riserkit.importing.last import RECORD
from riserkit.model.problems import InputError
from riserkit.reports.bcf import ModelLink, bcf_bytes
from riserkit.results.bcf_file import bcf_place, model_link, write_bcf
from riserkit.results.folder import OutputError
from riserkit.results.import_site import FOLDER
from tests.hostile.test_injection import NAMES


@pytest.fixture(scope="module")
def checked(checked_sample: Callable[[str], Checked]) -> Checked:
    return checked_sample("first-look")


@pytest.mark.parametrize("name", [*NAMES.values(), "\x1b[2J", '"/><Topic Guid="x">'])
def test_a_name_is_words_and_no_markup(checked: Checked, name: str) -> None:
    """Read with the parser of XML in Python's library, which knows nothing of ours."""
    site = checked.design.site
    site = site.model_copy(update={"info": site.info.model_copy(update={"name": name, "designer": name})})
    first = next(f for f in checked.findings if f.subject in site.opening and f.verdict is not Verdict.PASS)
    told = replace(first, message=name, remedy=name, about=name)
    link = ModelLink({first.subject: "0" * 22}, (name,))
    with zipfile.ZipFile(BytesIO(bcf_bytes(site, [told], link, told.severity))) as archive:
        roots = {entry: ET.fromstring(archive.read(entry)) for entry in archive.namelist()}
    assert all(".." not in entry and not entry.startswith("/") for entry in roots)
    markup = next(root for entry, root in roots.items() if entry.endswith("markup.bcf"))
    shown = "".join(ch if ch.isprintable() else "\ufffd" for ch in name)
    assert (markup.findtext("Topic/Description") or "").startswith(shown)
    assert markup.findtext("Header/Files/File/Filename") == shown
    assert len(markup.findall("Topic")) == 1


@pytest.mark.parametrize("what", ["pipe", "folder", "text", "another archive"])
def test_what_riserkit_did_not_write_is_neither_opened_for_long_nor_replaced(tmp_path: Path, what: str) -> None:
    path = tmp_path / "open.bcf"
    if what == "pipe":
        os.mkfifo(path)
    elif what == "folder":
        path.mkdir()
    elif what == "text":
        path.write_text("mine", "utf-8")
    else:
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("answer.txt", "mine")
    signal.alarm(20)
    try:
        with pytest.raises(OutputError, match="was not written by riserkit"):
            bcf_place(path)
    finally:
        signal.alarm(0)
    assert path.exists()


def test_a_link_is_followed_and_stays(tmp_path: Path, checked: Checked) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "open.bcf").symlink_to(tmp_path / "real" / "open.bcf")
    for _ in range(2):
        write_bcf(tmp_path / "open.bcf", checked.design.site, checked.findings, ModelLink())
    assert (tmp_path / "open.bcf").is_symlink()
    assert sorted(p.name for p in tmp_path.rglob("*")) == ["open.bcf", "open.bcf", "real"]


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
@pytest.mark.usefixtures("plain_signals")
def test_a_stop_just_before_the_end_leaves_the_file_of_before_and_nothing_for_long(
    tmp_path: Path, checked: Checked, number: signal.Signals
) -> None:
    path = tmp_path / "open.bcf"
    write_bcf(path, checked.design.site, (), ModelLink())
    before = path.read_bytes()
    code = f"""
        import os, time
        from pathlib import Path
        from riserkit.commands.frame import stoppable
        from riserkit.model.site import Site
        from riserkit.reports.bcf import ModelLink
        from riserkit.results import bcf_file
        bcf_file.bcf_bytes = lambda *_: b"PK" + bytes(100)
        os.replace = lambda *_: (os.kill(os.getpid(), {int(number)}), time.sleep(20))
        with stoppable():
            bcf_file.write_bcf(Path({str(path)!r}), None, (), ModelLink())
    """
    subprocess.run([sys.executable, "-c", textwrap.dedent(code)], capture_output=True, check=False, timeout=60)
    assert path.read_bytes() == before
    assert len(list(tmp_path.iterdir())) == (2 if number == signal.SIGKILL else 1)
    write_bcf(path, checked.design.site, checked.findings, ModelLink())
    assert [p.name for p in tmp_path.iterdir()] == ["open.bcf"]
    assert path.read_bytes() != before


SOUND = {"version": 1, "is_listed": False, "documents": {"a.ifc": "0"}, "tables": {"openings": []}}
RECORDS: dict[str, object] = {
    "an id that is a number": {**SOUND, "tables": {"openings": [{"key": "1", "identity": 7, "cells": {}}]}},
    "a key that is a list": {**SOUND, "tables": {"openings": [{"key": ["1"], "identity": "x", "cells": {}}]}},
    "a cell that is a list": {
        **SOUND, "tables": {"openings": [{"key": "1", "identity": "x", "cells": {"mark": [[1], "list"]}}]},
    },
    "a digest that is none": {**SOUND, "documents": {"a.ifc": {}}},
    "documents that are a list": {**SOUND, "documents": [["a.ifc", "0"]]},
}  # fmt: skip


@pytest.mark.parametrize("case", [*RECORDS, "bytes", "pipe"])
def test_a_record_of_the_import_that_is_none_is_refused_by_name(tmp_path: Path, checked: Checked, case: str) -> None:
    record = tmp_path / FOLDER / RECORD
    record.parent.mkdir()
    if case == "pipe":
        os.mkfifo(record)
    else:
        record.write_bytes(b"\xff\xfe" if case == "bytes" else json.dumps(RECORDS[case]).encode())
    signal.alarm(20)
    try:
        with pytest.raises(InputError, match=r"last\.json"):
            model_link(tmp_path, checked.design.site)
    finally:
        signal.alarm(0)
