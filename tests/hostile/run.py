"""One spoilt site through read, design and check; what counts as a failure, and the fewest changes that still fail."""

from __future__ import annotations

import math
import tempfile
import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from riserkit.errors import RiserkitError
from riserkit.model.problems import InputError
from riserkit.pipeline import work_out
from riserkit.plugin.read import read_site
from riserkit.rules._shared.evaluate import INTERNAL_ERROR

HANGS_S = 20.0
MOST_CHARS = 1500
"""Of one line that is told."""


@dataclass(frozen=True)
class Outcome:
    """What became of one case: `failure` is empty when all is as it has to be."""

    failure: str
    seconds: float
    was_read: bool = False


def run(files: dict[str, bytes]) -> Outcome:
    """Read a site, and design and check it where it reads."""
    start = time.monotonic()
    was_read, failure = False, ""
    with tempfile.TemporaryDirectory() as place:
        for name, data in files.items():
            (Path(place) / name).write_bytes(data)
        try:
            site = read_site(place)
            was_read = True
            failure = next(_wrong_findings(work_out(site).findings), "")
        except InputError as error:
            failure = next(_wrong_problems(error), "")
        except RiserkitError as error:
            failure = "" if str(error) else "an error without words"
        except Exception as error:
            last = traceback.extract_tb(error.__traceback__)[-1]
            failure = f"{type(error).__name__} in {Path(last.filename).name}:{last.name}"
    seconds = time.monotonic() - start
    return Outcome(failure or ("hangs" if seconds > HANGS_S else ""), seconds, was_read)


def _wrong_problems(error: InputError) -> Iterator[str]:
    for line in str(error).splitlines():
        if not line.isprintable():
            yield "a line that commands a terminal"
        if len(line) > MOST_CHARS:
            yield "a line without end"
    for problem in error.problems:
        if not problem.where.file:
            yield "a problem without a file"
        if problem.column and not (problem.where.row or problem.where.pointer):
            yield "a problem with a column and no row"


def _wrong_findings(findings: object) -> Iterator[str]:
    for finding in findings:  # type: ignore[attr-defined]
        if any(v is not None and not math.isfinite(v) for v in (finding.value, finding.limit, finding.margin)):
            yield f"a number that is none in {finding.rule}"
        if finding.about == INTERNAL_ERROR:
            yield f"rule {finding.rule} broke off"
        if not "".join((finding.message, finding.remedy)).replace("\u200d", "").isprintable():
            yield f"a finding of {finding.rule} that commands a terminal"
