"""The one root of riserkit's own errors: whatever a user can mend is a `RiserkitError`, never a traceback."""

from __future__ import annotations


class RiserkitError(Exception):
    """Something that the user of riserkit can mend; its text says what and how."""
