"""What every part has: an id, a title, and which of the values that its kind needs it lacks."""

from __future__ import annotations

from typing import ClassVar, Self

from pydantic import model_validator

from riserkit.model.base import Celsius, FieldError, Id, Record, Text


class PartBase(Record):
    """What every part has.

    `needs` names the values that the checks of its kind read; `solved_with` those of them without which no circuit that the
    part is in can be computed. `temperature_min_c` and `temperature_max_c`: the air that it is rated to work in, by its data
    sheet.
    """

    needs: ClassVar[tuple[str, ...]] = ()
    solved_with: ClassVar[tuple[str, ...]] = ()

    id: Id
    title: Text = ""
    temperature_min_c: Celsius | None = None
    temperature_max_c: Celsius | None = None

    @model_validator(mode="after")
    def _warmer_than_coldest(self) -> Self:
        low, high = self.temperature_min_c, self.temperature_max_c
        if low is not None and high is not None and high <= low:
            raise FieldError("temperature_max_c", f"expected more than temperature_min_c, {low:g} °C")
        return self

    @model_validator(mode="after")
    def _drops_out_below_pull_in(self) -> Self:
        drop_out_v, pull_in_v = getattr(self, "v_drop_out_v", None), getattr(self, "v_pull_in_v", None)
        rated_v = getattr(self, "rated_v", None) or getattr(self, "coil_v", None)
        low = getattr(self, "tolerance_low", None)
        if pull_in_v is None and rated_v is not None and low is not None:
            pull_in_v = rated_v * (1 - low)
        if drop_out_v is not None and pull_in_v is not None and drop_out_v > pull_in_v:
            raise FieldError(
                "v_drop_out_v", f"expected v_drop_out_v of at most {pull_in_v:g}, the voltage at which it pulls in"
            )
        return self

    def needed(self) -> tuple[str, ...]:
        """The values that the checks of a part like this one read."""
        return self.needs

    def lacks(self) -> tuple[str, ...]:
        """The needed values that this part does not state."""
        return tuple(name for name in self.needed() if getattr(self, name) is None)

    def lacks_for_circuit(self) -> tuple[str, ...]:
        """The values that its circuit cannot be solved without and that this part does not state."""
        return tuple(name for name in self.solved_with if getattr(self, name) is None)
