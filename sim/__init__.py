"""The numeric half of Trueseat: seating, runout, wear, judder, indexing; no renderer."""

import importlib as _importlib

TYPE_CHECKING = False  # editors and type checkers take it for true
if TYPE_CHECKING:
    from sim.bench.fitted_runout import WornDisc as WornDisc
    from sim.bench.fitted_runout import remember as remember
    from sim.bench.questions import after_cleaning as after_cleaning
    from sim.bench.questions import duty_table as duty_table
    from sim.bench.stud_position import index_case as index_case
    from sim.chain import Road as Road
    from sim.chain import Run as Run
    from sim.chain import compute as compute
    from sim.corner.batch import Outcome as Outcome
    from sim.corner.batch import random_debris as random_debris
    from sim.corner.batch import seat_many as seat_many
    from sim.corner.behind_reading import driven_given_reading as driven_given_reading
    from sim.corner.beside import beside as stands_beside
    from sim.corner.clampings import compare as compare_clampings
    from sim.corner.face_map import face_map as face_map
    from sim.corner.seated import Seated as Seated
    from sim.corner.seated import seat_corner as seat
    from sim.corner.trust import trusted_clampings as trusted_clampings
    from sim.errors import BadInput as BadInput
    from sim.errors import Refused as Refused
    from sim.files.case_file import case_from_text as case_from_text
    from sim.files.case_file import load_case as load_case
    from sim.many_roads import RoadRow as RoadRow
    from sim.many_roads import drive_many as drive_many
    from sim.parts.case import Caliper as Caliper
    from sim.parts.case import Case as Case
    from sim.parts.case import Contact as Contact
    from sim.parts.case import Debris as Debris
    from sim.parts.case import Drive as Drive
    from sim.parts.case import Gauge as Gauge
    from sim.parts.case import Hub as Hub
    from sim.parts.case import Judder as Judder
    from sim.parts.case import Limits as Limits
    from sim.parts.case import Pads as Pads
    from sim.parts.case import Rotor as Rotor
    from sim.parts.case import SpigotScale as SpigotScale
    from sim.parts.case import Studs as Studs
    from sim.parts.case import Wheel as Wheel
    from sim.parts.contradictions import check_case as check_case
    from sim.parts.measured_face import Topography as Topography
    from sim.processes import allow_all_cores as allow_all_cores
    from sim.rigid.seat import rigid_runout_um as rigid_runout_um
    from sim.run_folder import load as load
    from sim.run_folder import save as save
    from sim.seating.seat import Seat as Seat
    from sim.spigot.state import spigot_state as spigot_state
    from sim.studies.closed_forms import closed_forms as closed_forms
    from sim.studies.findings import findings as findings
    from sim.wear.asked import Settings as Settings
    from sim.wear.draws import Evidence as Evidence
    from sim.wear.forecast import Forecast as Forecast
    from sim.wear.forecast import drive as drive

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
    "save": "run_folder",
    "load": "run_folder",
    "face_map": "corner.face_map",
    "index_case": "bench.stud_position",
    "compare_clampings": "corner.clampings:compare",
    "trusted_clampings": "corner.trust",
    "driven_given_reading": "corner.behind_reading",
    "stands_beside": "corner.beside:beside",
    "seat_many": "corner.batch",
    "random_debris": "corner.batch",
    "duty_table": "bench.questions",
    "after_cleaning": "bench.questions",
    "remember": "bench.fitted_runout",
    "findings": "studies.findings",
    "closed_forms": "studies.closed_forms",
    "BadInput": "errors",
    "Refused": "errors",
    "Pads": "parts.case",
    "Caliper": "parts.case",
    "Drive": "parts.case",
    "Judder": "parts.case",
    "Contact": "parts.case",
    "Gauge": "parts.case",
    "Limits": "parts.case",
    "Outcome": "corner.batch",
    "drive_many": "many_roads",
    "RoadRow": "many_roads",
    "Run": "chain",
    "Road": "chain",
    "Evidence": "wear.draws",
    "allow_all_cores": "processes",
    "WornDisc": "bench.fitted_runout",
    "Topography": "parts.measured_face",
    "Settings": "wear.asked",
}
# Written out, because strict type checkers take no other list.
__all__ = [
    "BadInput", "Caliper", "Case", "Contact", "Debris", "Drive", "Evidence", "Forecast", "Gauge", "Hub", "Judder",
    "Limits", "Outcome", "Pads", "Refused", "Road", "RoadRow", "Rotor", "Run", "Seat", "Seated", "Settings",
    "SpigotScale", "Studs", "Topography", "Wheel", "WornDisc", "after_cleaning", "allow_all_cores",
    "case_from_text", "check_case", "closed_forms", "compare_clampings", "compute", "drive", "drive_many",
    "driven_given_reading", "duty_table", "face_map", "findings", "index_case", "load", "load_case",
    "random_debris", "remember", "rigid_runout_um", "save", "seat", "seat_many", "spigot_state", "stands_beside",
    "trusted_clampings",
]  # fmt: skip


def __getattr__(name: str) -> object:
    if name == "__version__":
        metadata = _importlib.import_module("importlib.metadata")
        return metadata.version("trueseat")
    if name not in _PUBLIC:
        raise AttributeError(f"module 'sim' has no attribute {name!r}")
    module, _, other = _PUBLIC[name].partition(":")
    return getattr(_importlib.import_module(f"sim.{module}"), other or name)


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
