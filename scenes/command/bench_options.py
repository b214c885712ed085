"""Options of ``index`` and ``causes``: the limits that tables of readings are held against where no case gives them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from sim.errors import BadInput, Fault

if TYPE_CHECKING:
    from sim.parts.case import Case


@dataclass(frozen=True)
class BenchLimits:
    """Limits of the mounted runout and of the bare hub face; what is not given is common practice, no source."""

    limit: Annotated[
        float | None, Parameter(help="Limit of the mounted runout, where no case gives it [µm]; 50 unless given.")
    ] = None
    hub_limit: Annotated[
        float | None,
        Parameter(
            help="Limit of the bare hub face, where no case gives it [µm]; unless given 30, or what still meets the "
            "mounted limit: that times the radius on the hub face over that on the rotor."
        ),
    ] = None

    def checked(self, case: Case | None) -> tuple[float | None, float | None]:
        """Both limits as given: by the case, where there is one; None where nobody gave one. [um].

        Raises
        ------
        BadInput
            For limits that cannot be.
        """
        from sim.parts.keys import key as key_of

        for option, name, value in self._by_key():
            span = key_of("limits", name)
            if value is not None and not span.lowest <= value <= span.highest:
                allowed = f"{span.lowest:g} .. {span.highest:g} µm"
                raise BadInput(Fault(f"{value:g} is out of range", key=option, allowed=allowed))
        if case is None:
            return self.limit, self.hub_limit
        for key, name, value in self._by_key():
            stated = getattr(case.limits, name)
            if value not in (None, stated) and case.where_from("limits", name) == "the case file":
                raise BadInput(
                    Fault(f"{value:g} here, but {stated:g} in the case file", key=key, allowed="one of the two")
                )
        theirs: float | None = case.limits.mounted_runout_um
        whose, hub = case.where_from("limits", "mounted_runout_um"), case.limits.hub_face_runout_um
        if whose != "the case file" and self.limit is not None:
            theirs = self.limit
        elif whose == "default":  # nobody gave one: it is said to be common practice
            theirs = None
        return theirs, hub if self.hub_limit is None else self.hub_limit

    def _by_key(self) -> tuple[tuple[str, str, float | None], ...]:
        return ("--limit", "mounted_runout_um", self.limit), ("--hub-limit", "hub_face_runout_um", self.hub_limit)

    def counted(self, case: Case) -> Case:
        """Put the limits that were given into a case that states none of its own."""
        given = {name: value for _, name, value in self._by_key() if value is not None}
        return replace(case, limits=replace(case.limits, **given)) if given else case
