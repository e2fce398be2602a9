"""What can be wrong with what is on record."""

from __future__ import annotations

from riserkit.errors import RiserkitError


class RecordError(RiserkitError):
    """A record cannot be read, or does not allow what is asked; the text says why and what would do."""
