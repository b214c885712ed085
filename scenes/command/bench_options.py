"""Options of ``index``: the limits that two tables of readings are held against where no case gives them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from sim.errors import BadInput, Fault

if TYPE_CHECKING:
    from sim.parts.case import Case

MOST_LIMIT_UM = 1000.0  # of a mounted runout; more is no limit; judgement


@dataclass(frozen=True)
class BenchLimits:
    """Limits of the mounted runout and of the bare hub face; common practice, no source, unless given."""

    limit: Annotated[float, Parameter(help="Limit of the mounted runout, where no case gives it [µm].")] = 50.0
    hub_limit: Annotated[float, Parameter(help="Limit of the bare hub face, where no case gives it [µm].")] = 30.0

    def checked(self, case: Case | None) -> tuple[float, float]:
        """Both limits: of the case, where there is one. [um].

        Raises
        ------
        BadInput
            For limits that cannot be.
        """
        for key, value in (("--limit", self.limit), ("--hub-limit", self.hub_limit)):
            if not 0 < value < MOST_LIMIT_UM:
                raise BadInput(
                    Fault(f"{value:g} is out of range", key=key, allowed=f"above 0, up to {MOST_LIMIT_UM:g} µm")
                )
        if case is None:
            return self.limit, self.hub_limit
        return case.limits.mounted_runout_um, case.hub_face_limit_um
