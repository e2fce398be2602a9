"""`python -m riserkit`, for an environment whose scripts are not on the path."""

from __future__ import annotations

from riserkit.commands.main import main

if __name__ == "__main__":
    main(prog_name="python -m riserkit")
