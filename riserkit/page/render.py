"""HTML of values, by templates that take every text for text."""

from __future__ import annotations

from functools import cache
from urllib.parse import quote

from jinja2 import Environment, PackageLoader, StrictUndefined

from riserkit.page.values import DoorPage, PageFrame

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self' data:; img-src 'self' data:; "
    "base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'"
)
"""What a page may load: its own folder's scripts and styles. Chromium takes `'self'` of a file for files."""


@cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("riserkit.page"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    made.filters["link"] = lambda name: quote(str(name))
    made.globals["policy"] = POLICY
    return made


def door_html(page: DoorPage, frame: PageFrame) -> str:
    """The page of one door, to stand in a folder beside `assets`."""
    return _templates().get_template("door.html").render(page=page, frame=frame, root="../")
