"""What can be wrong with a circuit, each with a name and a place."""

from __future__ import annotations

from riserkit.errors import RiserkitError


class CircuitError(RiserkitError):
    """A circuit that cannot be solved. `where` is the node or the `component.element` at fault."""

    def __init__(self, where: str, message: str) -> None:
        self.where = where
        super().__init__(f"{where}: {message}")


class UnknownNodeError(CircuitError):
    """A landing, an element or the reference names a terminal that is not there."""


class UnknownControlError(CircuitError):
    """A contact, a state or a fault names a coil, a state or an element that is not there."""


class CircuitValueError(CircuitError):
    """An element's value is missing, not a number, or outside what physics allows."""


class FloatingNodeError(CircuitError):
    """A node is driven with a current that has no way back, or has no path to the reference where one is asked for."""


class ShortedSourceError(CircuitError):
    """A source without resistance or limit is across a connection without resistance."""


class OscillationError(CircuitError):
    """A coil whose own contacts take away what holds it, and give back what pulls it in."""


class CollapseError(CircuitError):
    """A constant-power load asks for more than its supply and its conductors can carry."""


class ConvergenceError(CircuitError):
    """The segments of diodes, suppressors and current limits did not settle."""


FAILURES = (Exception,)
"""What goes wrong while one door is worked out: reported at that door as an error, and no reason to give up the others."""


def failure_words(error: Exception) -> str:
    """Why one door could not be worked out, in a phrase.

    Examples:
        >>> failure_words(ZeroDivisionError("float division by zero"))
        'float division by zero (ZeroDivisionError)'
        >>> failure_words(FloatingNodeError("K1.L+", "no path to 0 V"))
        'K1.L+: no path to 0 V'
    """
    return str(error) if isinstance(error, CircuitError) else f"{error} ({type(error).__name__})"
