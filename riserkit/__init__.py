"""riserkit turns a list of doors and a building into checked drawings a field crew can build from.

    import riserkit

    site = riserkit.read_site("site")
    checked = riserkit.check_site(site)
    riserkit.build_site(site, "out")

Installed plugins take part in all of it. Names load when first used, so that importing this costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

from riserkit.version import __version__ as __version__

if TYPE_CHECKING:
    from riserkit.checked import Checked
    from riserkit.design import Design
    from riserkit.errors import RiserkitError
    from riserkit.findings import Finding, Severity, Verdict
    from riserkit.model.problems import InputError
    from riserkit.model.site import Site
    from riserkit.pipeline import check_design, check_site, design_site
    from riserkit.plugin.read import read_site
    from riserkit.results.build import BuildOptions, Built, build_site
    from riserkit.results.inspect import inspect_folder

__all__ = [
    "BuildOptions",
    "Built",
    "Checked",
    "Design",
    "Finding",
    "InputError",
    "RiserkitError",
    "Severity",
    "Site",
    "Verdict",
    "build_site",
    "check_design",
    "check_site",
    "design_site",
    "inspect_folder",
    "read_site",
]
_HOME: Final = {
    "BuildOptions": "riserkit.results.build",
    "Built": "riserkit.results.build",
    "Checked": "riserkit.checked",
    "Design": "riserkit.design",
    "Finding": "riserkit.findings",
    "InputError": "riserkit.model.problems",
    "RiserkitError": "riserkit.errors",
    "Severity": "riserkit.findings",
    "Site": "riserkit.model.site",
    "Verdict": "riserkit.findings",
    "build_site": "riserkit.results.build",
    "check_design": "riserkit.pipeline",
    "check_site": "riserkit.pipeline",
    "design_site": "riserkit.pipeline",
    "inspect_folder": "riserkit.results.inspect",
    "read_site": "riserkit.plugin.read",
}


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'riserkit' has no attribute {name!r}")
    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *_HOME})
