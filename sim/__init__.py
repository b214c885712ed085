"""The numeric half of Trueseat: seating, runout, wear, judder, indexing; no renderer."""

import importlib as _importlib

# The few names that an engineer needs; each is loaded when it is first asked for, so that importing stays cheap.
_PUBLIC = {
    "load_case": "files.case_file",
    "case_from_text": "files.case_file",
    "Case": "parts.case",
    "Rotor": "parts.case",
    "Hub": "parts.case",
    "Studs": "parts.case",
    "Debris": "parts.case",
    "SpigotScale": "parts.case",
    "Wheel": "parts.case",
    "check_case": "parts.contradictions",
    "seat": "corner.seated:seat_corner",
    "Seat": "seating.seat",
    "Seated": "corner.seated",
    "rigid_runout_um": "rigid.seat",
    "spigot_state": "spigot.state",
    "drive": "wear.forecast",
    "Forecast": "wear.forecast",
    "compute": "chain",
    "save": "chain",
    "load": "chain",
    "face_map": "corner.face_map",
    "index_case": "bench.stud_position",
    "compare_clampings": "corner.clampings:compare",
    "trusted_clampings": "corner.trust",
    "driven_given_reading": "corner.behind_reading",
    "stands_beside": "corner.what_if:beside",
    "seat_many": "corner.batch",
    "random_debris": "corner.batch",
    "duty_table": "bench.questions",
    "after_cleaning": "bench.questions",
    "remember": "bench.fitted_runout",
    "findings": "studies.findings",
    "closed_forms": "studies.closed_forms",
    "BadInput": "errors",
    "Refused": "errors",
}
__all__ = sorted(_PUBLIC)


def __getattr__(name: str) -> object:
    if name not in _PUBLIC:
        raise AttributeError(f"module 'sim' has no attribute {name!r}")
    module, _, other = _PUBLIC[name].partition(":")
    return getattr(_importlib.import_module(f"sim.{module}"), other or name)


def __dir__() -> list[str]:
    return __all__
