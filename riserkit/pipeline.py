"""Read, design, check, write: the stages as Python callers and the commands alike use them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from riserkit.as_built.site import as_built_site
from riserkit.checked import Checked
from riserkit.design import Design, design
from riserkit.findings import ACCEPTED_LIFE_SAFETY, Finding, Severity, by_harm, status
from riserkit.kept import NOTHING_KEPT, KeptWork
from riserkit.model.problems import InputError
from riserkit.model.returned import ReturnedPhoto
from riserkit.model.site import Site
from riserkit.plugin.arrangements import sound_arrangements
from riserkit.plugin.failures import failure_findings
from riserkit.plugin.manager import Plugins, installed_plugins
from riserkit.plugin.read import read_stated
from riserkit.record.history import with_issues
from riserkit.record.issue import Issue
from riserkit.record.returned_names import under_names_now
from riserkit.record.returns import as_built_of, in_order, read_returns
from riserkit.wiring.arrangement import Arrangement

if TYPE_CHECKING:
    from riserkit.rules._shared.base import Rule

Progress = Callable[[str, int, int], None]
BLOCKS: Final = "blocks"
"""The folder of a site's own blocks."""
AS_BUILT: Final = "as built"
"""The status of a set that shows what was built."""


def no_progress(_stage: str, _done: int, _total: int) -> None:
    """Tells nobody."""


def plugin_rules(plugins: Plugins | None = None) -> tuple[Rule, ...]:
    """Rules of plugins, guarded; of those installed when left out."""
    from riserkit.plugin.rules import sound_rules  # noqa: PLC0415 - loads every rule

    return sound_rules(plugins or installed_plugins())


def plugin_arrangements(plugins: Plugins | None = None) -> tuple[Arrangement, ...]:
    """Wiring arrangements of plugins, guarded; of those installed when left out."""
    return sound_arrangements(plugins or installed_plugins())


def design_site(site: Site, plugins: Plugins | None = None, kept: KeptWork = NOTHING_KEPT) -> Design:
    """Work out a site: routes, labels, wiring, power; with the arrangements of plugins.

    Args:
        site: what the user states.
        plugins: those installed when left out.
        kept: what an earlier build worked out, which need not be worked out again.

    Raises:
        RiserkitError: labels cannot name all there is.
    """
    return design(site, plugin_arrangements(plugins), kept)


def check_design(made: Design, plugins: Plugins | None = None, progress: Progress = no_progress) -> tuple[Finding, ...]:
    """What the rules say of a design, passes included, the worst first; with the rules of plugins.

    What was left out of a plugin so far is a warning among them.

    Args:
        made: the design.
        plugins: those installed when left out.
        progress: told of every rule.
    """
    from riserkit.rules._shared.evaluate import check  # noqa: PLC0415 - loads every rule

    asked = plugins or installed_plugins()
    found = check(made, plugin_rules(asked), progress)
    left_out = failure_findings(asked.log)
    return tuple(sorted((*found, *left_out), key=by_harm)) if left_out else found


def work_out(
    site: Site, plugins: Plugins | None = None, progress: Progress = no_progress, kept: KeptWork = NOTHING_KEPT
) -> Checked:
    """Design a site and check it; what an earlier build has worked out is taken from it."""
    progress("working out", 0, 1)
    made = design_site(site, plugins, kept)
    progress("working out", 1, 1)
    return Checked(made, check_design(made, plugins, progress))


def read_to_work(
    path: Path | str,
    options: Mapping[str, str] | None = None,
    plugins: Plugins | None = None,
    *,
    as_built: bool = False,
) -> tuple[Site, tuple[Issue, ...]]:
    """A site as it is to be worked out, and its issues.

    As it was built where that is asked for, or where its status is `as built`: a set that says so shows what came back.

    Args:
        path: where it stands.
        options: settings of the input format, such as `mapping`.
        plugins: those installed when left out.
        as_built: as it was built, whatever its status.

    Raises:
        RiserkitError: the input has problems, or what is on record cannot be read or cannot all be so.
    """
    stated, issues = read_stated(path, options, plugins)
    _look_at_blocks(Path(path) / BLOCKS)
    site = with_issues(stated, issues)
    if as_built or site.info.status == AS_BUILT:
        site = as_it_was_built(stated, issues, Path(path), plugins)
    return site, issues


def _look_at_blocks(folder: Path) -> None:
    """A site's own blocks are part of its input, though only drawings read them.

    Raises:
        InputError: one of them is none.
    """
    if folder.exists() or folder.is_symlink():
        from riserkit.drawings.dxf.blocks import own_block_problems  # noqa: PLC0415 - loads the drawing library

        if problems := list(own_block_problems(folder)):
            raise InputError(problems)


def as_it_was_built(stated: Site, issues: Sequence[Issue], path: Path, plugins: Plugins | None = None) -> Site:
    """A site with everything that has come back of it; dated no earlier than the last of that.

    Args:
        stated: as its tables state it.
        issues: of it. What it differs from is the last that is no as-built set.
        path: where it stands.
        plugins: those installed when left out.

    Raises:
        RiserkitError: what is on record cannot be read, or cannot all be so.
    """
    from riserkit.record.photos import kept_photos  # noqa: PLC0415 - loads the library of pictures

    returns = under_names_now(read_returns(path), issues, stated)
    names = (row.photo for row in in_order(returns, "photos") if isinstance(row, ReturnedPhoto))
    facts = as_built_of(returns, tuple(kept_photos(path, names)))
    designed = with_issues(stated, [issue for issue in issues if issue.purpose != AS_BUILT])
    built = with_issues(as_built_site(design_site(designed, plugins), facts), issues)
    date = max(built.info.issue_date, facts.last_date or built.info.issue_date)
    return built.model_copy(update={"info": built.info.model_copy(update={"status": AS_BUILT, "issue_date": date})})


def check_site(
    site: Site | Path | str, options: Mapping[str, str] | None = None, plugins: Plugins | None = None,
    progress: Progress = no_progress, *, as_built: bool = False,
) -> Checked:  # fmt: skip
    """Read, where it is a path, design and check.

    Args:
        site: a site, or where it stands.
        options: settings of the input format, such as `mapping`.
        plugins: those installed when left out.
        progress: called for every step.
        as_built: a site that is read is checked as it was built.

    Raises:
        RiserkitError: the input has problems (`InputError` has all of them), or labels cannot name all there is.
    """
    progress("reading", 0, 1)
    found = site if isinstance(site, Site) else read_to_work(site, options, plugins, as_built=as_built)[0]
    progress("reading", 1, 1)
    return work_out(found, plugins, progress)


def counts(findings: Iterable[Finding]) -> Mapping[str, int]:
    """How many findings of each status: pass, accepted, accepted life-safety error, and each severity of those open."""
    found = {"pass": 0, "accepted": 0, ACCEPTED_LIFE_SAFETY: 0, **{str(s): 0 for s in Severity}}
    for finding in findings:
        found[status(finding)] += 1
    return found
