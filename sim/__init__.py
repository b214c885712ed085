"""The numeric half of Trueseat: seating, runout, wear, judder, indexing; no renderer."""

import importlib as _importlib

# The few names that an engineer needs; each is loaded when it is first asked for, so that importing stays cheap.
_PUBLIC = {
    "load_case": "case",
    "case_from_text": "case",
    "Case": "parts",
    "Rotor": "parts",
    "Hub": "parts",
    "Studs": "parts",
    "Debris": "parts",
    "SpigotScale": "parts",
    "Wheel": "parts",
    "check_case": "contradictions",
    "seat": "seated:seat_corner",
    "Seat": "seating",
    "Seated": "seated",
    "rigid_runout_um": "exact",
    "spigot_state": "spigot",
    "drive": "forecast",
    "Forecast": "forecast",
    "compute": "run",
    "save": "run",
    "load": "run",
    "face_map": "face",
    "index_case": "indexing",
    "compare_clampings": "clampings:compare",
    "trusted_clampings": "trust",
    "driven_given_reading": "driven_from_reading",
    "stands_beside": "beside:beside",
    "seat_many": "batch",
    "random_debris": "batch",
    "duty_table": "outlook",
    "after_cleaning": "outlook",
    "remember": "memory",
    "findings": "sweeps",
    "closed_forms": "verification",
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
