"""The file that the chalk page saves: one line a mark, and back to the sweeps that it was made of."""

from __future__ import annotations

from sim.bench import mountings
from sim.bench.chalk import LEAST_LIMIT_UM, MOST_SWEEPS, MOST_UM, ROTOR, STUD, Sweep, check
from sim.errors import BadInput, Fault
from sim.files.table_text import cells_of, plain_number
from sim.units import printable

HEADER = "trace,mount,studs_turned,angle_deg,reading_um,state"
STATES = {"as found": False, "cleaned": True}
MOST_CHARACTERS = 20_000  # a card of sweeps takes a few hundred


def is_one(text: str) -> bool:
    """Whether a text says of itself that it is a file of sweeps; whether it is a good one, `parse` says."""
    heads = (line.lstrip("# ").partition(":") for line in text[:MOST_CHARACTERS].splitlines() if line.startswith("#"))
    return any(key.strip().lower() == "sweep" for key, _, _ in heads)


def left_open(stays_with: str, cleaned: bool) -> tuple[str, ...]:
    """Causes that high and low spots cannot tell from each other, once they told hub from rotor or did not.

    By name, as `sim.bench.mountings` counts them: a sweep has no second order, no bare face and no thickness.
    """
    hub = (mountings.HUB_FACE, *(() if cleaned else (mountings.HUB_DIRT, mountings.SPIGOT)), mountings.TORQUE)
    rotor = (mountings.ROTOR_RUNOUT, *(() if cleaned else (mountings.ROTOR_DIRT,)), mountings.WORN, mountings.WARP)
    if stays_with == STUD:
        return hub
    return rotor if stays_with == ROTOR else (*hub, *rotor)


def parse(text: str, name: str = "", of_case: int | None = None) -> tuple[int, tuple[Sweep, ...], bool]:
    """Read studs, sweeps and whether the faces were clean; angles are counter-clockwise from stud 1.

    Parameters
    ----------
    text : str
        Of the file: two lines a sweep, the high spot with the runout, the low spot with nought.
    name : str
        Of the file, for what is wrong with it.
    of_case : int, optional
        Studs that the case says.

    Raises
    ------
    BadInput
        If it is not such a file, with the line.

    Notes
    -----
    Runouts in um, angles in deg; the format stands in the header, sources of its bounds at `sim.bench.chalk`.
    """
    if len(text) > MOST_CHARACTERS:
        raise BadInput(Fault("too long for a few sweeps", name, allowed=f"{MOST_CHARACTERS} characters"))
    lines = [(number, line.strip()) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    said = [line.lstrip("# ").partition(":") for _, line in lines if line.startswith("#")]
    heads = {key.strip(): value.strip(" ,;") for key, _, value in said}
    name = printable(name, 200)
    lines = [(number, line.rstrip(",;").replace(";", ",")) for number, line in lines]  # a spreadsheet's semicolons
    rows = [(number, line) for number, line in lines if not line.startswith("#")]
    studs = plain_number(heads.get("studs", ""))
    if heads.get("sweep") != "high and low spot" or studs is None or studs != int(studs):
        raise BadInput(Fault("not a file of the chalk page", name, allowed="# studs: 5, # sweep: high and low spot"))
    if not rows or rows[0][1] != HEADER:
        raise BadInput(Fault("other columns", name, allowed=HEADER))
    marks = [_mark(number, line, name) for number, line in rows[1:]]
    if not marks or len(marks) % 2 or len(marks) > 2 * MOST_SWEEPS:
        raise BadInput(Fault(f"{len(marks)} lines", name, allowed=f"two a sweep, up to {MOST_SWEEPS} sweeps"))
    sweeps = []
    for (mount, holes, high, tir, state), (again, also, low, nought, same) in zip(marks[::2], marks[1::2], strict=True):
        if (mount, holes, state) != (again, also, same) or nought != 0.0 or state != marks[0][4]:
            raise BadInput(
                Fault(f"the lines of mount {mount:g} do not belong together", name, allowed="high, then low")
            )
        sweeps.append(Sweep(int(holes), tir, (-high / 30.0) % 12.0, (-low / 30.0) % 12.0))
    check(int(studs), sweeps)
    if of_case is not None and of_case != studs:
        raise BadInput(Fault(f"{studs:g} in these sweeps, but {of_case} in the case", name, key="studs"))
    return int(studs), tuple(sweeps), STATES[marks[0][4]]


def limit_um(text: str, name: str = "") -> float | None:
    """Limit of the mounted runout that the page was given and saved; None where it had none. [um TIR].

    Raises
    ------
    BadInput
        If it cannot be one.
    """
    heads = (line.lstrip("# ").partition(":") for line in text.splitlines() if line.startswith("#"))
    said = {key.strip(): value.strip(" ,;") for key, _, value in heads}.get("limit_um")
    if said is None:
        return None
    value = plain_number(said)
    if value is None or not LEAST_LIMIT_UM <= value <= MOST_UM:
        allowed = f"{LEAST_LIMIT_UM:g} to {MOST_UM:g} µm"
        raise BadInput(
            Fault(f"{printable(said, 40)!r} is no limit", printable(name, 200), key="limit_um", allowed=allowed)
        )
    return value


def _mark(number: int, line: str, name: str) -> tuple[float, float, float, float, str]:
    cells = cells_of(line, ",", 6)
    values = [plain_number(cell) for cell in cells[1:5]] if cells and len(cells) == 6 else []
    if not cells or None in values or len(values) != 4 or cells[0] != "mounted" or cells[5] not in STATES:
        raise BadInput(Fault(f"{printable(line, 60)!r} is no mark", name, number, allowed=HEADER))
    mount, holes, angle, reading = (float(value) for value in values if value is not None)
    if holes != int(holes) or not 0.0 <= angle <= 360.0:
        raise BadInput(Fault(f"{printable(line, 60)!r} is no mark", name, number, allowed="whole holes, 0 .. 360 deg"))
    return mount, holes, angle, reading, cells[5]
