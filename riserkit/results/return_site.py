"""Takes what a crew brings back into the record of a site: checked, whole or not at all."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from riserkit.as_built.site import as_built_site
from riserkit.design import Design
from riserkit.model.problems import InputError, Problem, Where, shorten
from riserkit.model.returned import FIELD_TABLES, ReturnedPhoto
from riserkit.pipeline import AS_BUILT, Progress, design_site, no_progress
from riserkit.plugin.read import read_stated
from riserkit.plugin.sheets import read_sheets
from riserkit.record.disagree import TakenReturn, agree
from riserkit.record.history import with_issues
from riserkit.record.photos import FOLDER as PHOTOS
from riserkit.record.photos import keep, look_for, photos_folder, refusal
from riserkit.record.returned_check import ReturnCheck
from riserkit.record.returned_names import marks_now, row_now, under_names_now
from riserkit.record.returned_rows import FoundRow, Who, comments_of, rows_of
from riserkit.record.returns import FieldReturn, as_built_of, read_returns, write_return


@dataclass(frozen=True, slots=True)
class ReturnOptions:
    """How to take a return.

    Args:
        reading: settings of the input format of the site.
        who: has filled in the files, where they do not say.
        take: names of files that hold where files disagree.
        photos: folders in which photographs are looked for, after that of the file which names them and its `photos`.
    """

    reading: Mapping[str, str] = field(default_factory=dict)
    who: Who = field(default_factory=Who)
    take: tuple[str, ...] = ()
    photos: tuple[Path, ...] = ()


def return_site(
    site: Path, files: Sequence[Path], options: ReturnOptions | None = None, progress: Progress = no_progress
) -> TakenReturn:
    """Read what a crew brings back, check every row, and put it on record.

    Args:
        site: path of the site.
        files: workbooks and text tables.
        options: see there.
        progress: called for every step.

    Raises:
        InputError: with every problem of every file; nothing is on record then.
        RiserkitError: the site has problems, or the record cannot be read or written.
    """
    asked = options or ReturnOptions()
    stated, issues = read_stated(site, asked.reading)
    before = under_names_now(read_returns(site), issues, stated)
    progress("working out", 0, 1)
    made = design_site(with_issues(stated, [issue for issue in issues if issue.purpose != AS_BUILT]))
    progress("working out", 1, 1)
    on_record = as_built_of(before)
    found, digests, left, problems, comments = _read(files, asked.who)
    now = marks_now(issues, stated)
    found, renamed = _under_marks_now(found, now)
    problems += _unknown(asked.take, digests)
    problems += _no_date(asked.who.date)
    problems += ReturnCheck(made, on_record, [mark for mark, other in now.items() if not other]).problems(found)
    problems += _two_things(made, found)
    photos, missing = _photos(site, files, found, asked.photos, problems)
    if problems:
        raise InputError(problems)
    agreed = agree(found, {name: getattr(on_record, name) for name in FIELD_TABLES if name != "crew"}, asked.take)
    if agreed.questions:
        return TakenReturn(None, {}, agreed.questions, (), agreed.unchanged, left, renamed=renamed)
    if not agreed.rows:
        keep(site, photos)
        return TakenReturn(None, {}, (), (), agreed.unchanged, left, missing, renamed, comments)
    rows = {
        name: tuple(one.row for one in agreed.rows if one.table == name)
        for name in FIELD_TABLES
        if any(one.table == name for one in agreed.rows)
    }
    new = FieldReturn(
        max((one.number for one in before), default=0) + 1, digests, rows, issues[-1].revision if issues else ""
    )
    _ = as_built_site(made, as_built_of((*before, new)))  # what cannot all be so is refused here
    keep(site, photos)
    record = write_return(site, new)
    return TakenReturn(
        record, {n: len(r) for n, r in rows.items()}, (), agreed.replaced, agreed.unchanged, left, missing, renamed,
        comments,
    )  # fmt: skip


def _under_marks_now(found: Sequence[FoundRow], now: Mapping[str, str]) -> tuple[list[FoundRow], dict[str, str]]:
    """Rows about openings that a crew's papers call by an earlier mark, under the one of now; and which those are."""
    rows = [replace(one, row=row_now(one.row, now)) for one in found]
    renamed = {
        before: after
        for one, other in zip(found, rows, strict=True)
        if (before := getattr(one.row, "opening", "")) != (after := getattr(other.row, "opening", ""))
    }
    return rows, renamed


def _two_things(made: Design, found: Sequence[FoundRow]) -> Iterator[Problem]:
    """Closets called as an opening is: a length or a port that came back would not say which of them it is of."""
    if any(one.table in ("lengths", "cable_tests", "ports") for one in found):
        for closet in made.site.closets:
            if closet.id in made.door:
                wanted = "expected a closet of another name than an opening; rename it, then return this again"
                yield Problem(Where("closets"), "id", closet.id, wanted)


def _photos(
    site: Path, files: Sequence[Path], found: Sequence[FoundRow], folders: Sequence[Path], problems: list[Problem]
) -> tuple[dict[str, Path], tuple[str, ...]]:
    """By name the photographs that rows name and that are there; and the names of those that are not."""
    beside = {path.name: path.parent for path in files}
    problems += [
        Problem(Where("--photos"), "", str(folder), "expected a folder") for folder in folders if not folder.is_dir()
    ]
    there: dict[str, Path] = {}
    missing: list[str] = []
    for one in found:
        if not isinstance(one.row, ReturnedPhoto):
            continue
        own = beside[one.row.file]
        path = look_for(one.row.photo, (own, own / PHOTOS, *folders))
        if path is None:
            if not (photos_folder(site) / one.row.photo).is_file():
                missing.append(one.row.photo)
            continue
        wanted = refusal(site, path)
        if wanted:
            problems.append(one.problem("photo", wanted))
        there[one.row.photo] = path
    return there, tuple(dict.fromkeys(missing))


def _read(
    files: Sequence[Path], who: Who
) -> tuple[list[FoundRow], dict[str, str], dict[str, tuple[str, ...]], list[Problem], tuple[tuple[str, str], ...]]:
    found: list[FoundRow] = []
    comments: list[tuple[str, str]] = []
    problems: list[Problem] = []
    digests: dict[str, str] = {}
    left: dict[str, tuple[str, ...]] = {}
    for path in files:
        if path.name in digests:
            problems.append(Problem(Where(path.name), "", "", "expected files of different names; rename one"))
            continue
        try:
            sheets = read_sheets(path)
        except InputError as error:
            problems += error.problems
            continue
        digests[path.name] = hashlib.sha256(path.read_bytes()).hexdigest()
        rows, bad, alone = rows_of(path.name, sheets, who)
        found += rows
        problems += bad
        comments += comments_of(path.name, sheets)
        left[path.name] = tuple(alone)
    return found, digests, left, problems, tuple(comments)


def _no_date(text: str) -> list[Problem]:
    """A date of the command line that is none, also where every row states its own."""
    try:
        _ = date.fromisoformat(text or "2000-01-01")
    except ValueError:
        return [Problem(Where("--date"), "", shorten(text), "expected a date as YYYY-MM-DD, such as 2026-03-14")]
    return []


def _unknown(take: Sequence[str], files: Mapping[str, str]) -> list[Problem]:
    wanted = f"expected one of the files: {', '.join(files)}"
    return [Problem(Where("--take"), "", name, wanted) for name in take if name not in files]
