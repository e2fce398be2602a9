"""The command line, run in this process."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner, Result

from riserkit.commands.main import main


def run(*words: str | Path) -> Result:
    """Run `riserkit` with these words."""
    return CliRunner().invoke(main, [str(word) for word in words])
