"""One averaged revolution of wear, compiled: pads that tap with the brake released, pads that press on the brake.

Each pad is a stiff plate on a compliant bed that can only push. Released, it hangs on a holder (piston seal or guide
pins) at the place where the last stop left it; braking, both pads carry the same force and a thicker spot adds to it.
Wear is Archard's law (J. F. Archard, J. Appl. Phys. 24, 981, 1953): depth per distance slid = coefficient x pressure.

Everything here is mm, N, MPa, radians and revolutions. Faces are heights in their own outward direction, index 0
outboard and 1 inboard; arguments are never changed except the last ones.

Compiled code is kept on disk and made anew when the file that holds it changes, and by nothing else. So the named
tuples that it reads by place stand here too: a field moved in another file would be read from its old place.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: A pad that keeps slipping is followed this many revolutions after a release before its wear is counted.
SETTLE_TURNS = 3
#: Moves of a slipping seat at one angle: the first leaves a twentieth of the excess pull, each further one far less.
SLIPS = 8
#: An excess pull of this share of the slip force is none.
LEAST_SLIP = 1.0e-12
#: Newton steps of one contact; 2 to 4 are usual. From the seventh on a step that does not lower the elastic energy is
#: halved: the energy is convex, so that always ends.
NEWTON_STEPS = 80
CAREFUL_FROM = 6
#: Only ``rates`` is called from Python: the others need no door of their own, which halves the time to compile. All
#: room is made by ``scratch``, and whoever calls holds it: nothing is counted in here, which saves a tenth more.
_BARE: dict[str, Any] = {"no_cfunc_wrapper": True, "error_model": "numpy", "_nrt": False}
_INNER: dict[str, Any] = {**_BARE, "no_cpython_wrapper": True}
_DOOR: dict[str, Any] = {**_BARE, "cache": True, "nogil": True}
#: What is short or called from one place becomes part of its caller: machine code of its own, that nobody enters, costs
#: a third of the time to compile. Faces are counted by variables for that too: a 0 and a 1 written out compile twice.
_INLINED: dict[str, Any] = {**_INNER, "inline": "always"}


class Grid(NamedTuple):
    """The grid on the disc and the window of a pad on it; a named tuple so that compiled code reads it by name."""

    angles: int
    rings: int
    half: int
    step_rad: float
    area_mm2: float
    radius_mm: Floats
    share: Floats
    weight_mm2: Floats
    along_mm: Floats
    across_mm: Floats
    along_square: float
    across_square: float


#: What ``rates`` reports beside the rates: peak tap force [N], contacts that did not settle, lowest pressure on the
#: brake [MPa], share of released contact positions that touch, largest shift by slip [mm].
NOTES = 5


class View(NamedTuple):
    """What the pads see: faces (wrapped by half a pad), pad profiles, plate through each window, rest tilts, tops.

    ``safe`` (2, angles): resting at this or farther out, the pad does not pull its seat loose at that angle. The last
    three are room: where the pads hang, the highest tops, and shift and tilts found last.
    """

    faces: Floats
    profile: Floats
    mean: Floats
    slope: Floats
    rest: Floats
    top: Floats
    safe: Floats
    under: Floats
    flat: Floats
    hung: Floats
    highest: Floats
    found: Floats


class Tally(NamedTuple):
    """What one kind of driving leaves in a revolution: sums of pressure on disc and pads, friction work, notes."""

    disc: Floats
    square: Floats
    pad: Floats
    flat: Floats
    work: Floats
    notes: Floats


class Law(NamedTuple):
    """The numbers of the wear laws, in mm, N, MPa; read by name in compiled code."""

    fixed: bool
    spring: float
    tilt_spring: float
    slip: float
    gap_out: float
    gap_in: float
    push_out: float
    push_in: float
    bed_released: float
    bed_braking: float
    clamp: float
    clamp_spring: float
    disc_wear: float
    pad_wear: float
    deposit: float
    adherence: float
    film: float
    pressure: float
    brake_share: float
    releases: int
    has_film: bool
    has_profile: bool


def scratch(grid: Grid) -> tuple[View, Tally, Tally]:
    """Empty room for one call of ``rates``.

    Parameters
    ----------
    grid : Grid

    Returns
    -------
    tuple
        What the pads see, what the released revolution leaves, what the braked one leaves.

    Notes
    -----
    Lengths in mm, work in N mm; room only, nothing is computed (by definition zeros).
    """
    rings, angles, count = grid.rings, grid.angles, grid.share.size
    wide, flat = (2, rings, angles + 2 * grid.half), (2, rings, angles)
    view = View(
        faces=np.empty(wide),
        profile=np.zeros((2, rings, count)),
        mean=np.empty((2, angles)),
        slope=np.empty((2, angles, 2)),
        rest=np.zeros((2, 2)),
        top=np.empty((2, angles)),
        safe=np.empty((2, angles)),
        under=np.empty((rings, count)),
        flat=np.empty(flat),
        hung=np.empty(2),
        highest=np.empty(2),
        found=np.empty((2, 3)),
    )
    off, on = (
        Tally(np.zeros(wide), np.zeros(wide), np.zeros((2, rings, count)), np.zeros(flat), np.zeros(2), np.zeros(NOTES))
        for _ in range(2)
    )
    return view, off, on


@njit(**_INNER)
def _settle_line(height, weight, along, holder, position, begin):  # type: ignore[no-untyped-def]
    """Shift and tilt of a one-ring pad against its holder; ``holder`` = bed, spring, tilt spring, rest tilt.

    ``begin`` is where to look first (the answer of the neighbouring angle): it changes the number of steps, not the
    answer, which follows from the set of touching cells alone.
    """
    bed, spring, tilt_spring, rest = holder
    shift, tilt = begin[0], begin[1]
    old_shift, old_tilt = shift, tilt
    lowest = last_s = last_q = last_t = -1.0
    whole = False
    for step in range(NEWTON_STEPS):
        s = st = stt = q = qt = pressed = 0.0
        for j in range(height.size):
            x = along[j]
            above = height[j] - position - rest * x
            deep = above - shift - tilt * x
            if deep <= 0.0:
                continue
            w = weight[j]
            s += w
            st += w * x
            stt += w * x * x
            q += w * above
            qt += w * above * x
            pressed += w * deep * deep
        # The same sums, heights and all, are the same set of touching cells: the answer is exact.
        if whole and s == last_s and q == last_q and qt == last_t:
            return shift, tilt, True
        energy = bed * pressed + spring * shift * shift + tilt_spring * tilt * tilt
        if step >= CAREFUL_FROM and energy > lowest * (1.0 + 1e-13):
            shift, tilt, whole = 0.5 * (shift + old_shift), 0.5 * (tilt + old_tilt), False
            continue
        lowest, old_shift, old_tilt, whole = energy, shift, tilt, True
        last_s, last_q, last_t = s, q, qt
        a, b, d = bed * s + spring, bed * st, bed * stt + tilt_spring
        det = a * d - b * b
        shift = bed * (q * d - qt * b) / det
        tilt = bed * (qt * a - q * b) / det
    return shift, tilt, False


@njit(**_INNER)
def _solve_area(sums, right, spring, tilt_spring):  # type: ignore[no-untyped-def]
    """Shift and both tilts of a pad on its three springs, by elimination (the matrix is positive definite)."""
    s, st, sr, tt, tr, rr = sums
    q, qt, qr = right
    a = s + spring
    d, e = tt + tilt_spring - st * st / a, tr - st * sr / a
    f = rr + tilt_spring - sr * sr / a - e * e / d
    second = qt - st / a * q
    across = (qr - sr / a * q - e / d * second) / f
    along = (second - e * across) / d
    return (q - st * along - sr * across) / a, along, across


@njit(**_INNER)
def _settle_area(height, grid, holder, position, begin):  # type: ignore[no-untyped-def]
    """Shift and both tilts of a pad of several rings; ``holder`` = bed, spring, tilt spring, two rest tilts."""
    bed, spring, tilt_spring, rest, rest_across = holder
    shift, along, across = begin
    old_shift, old_along, old_across = begin
    lowest = last_s = last_q = last_t = -1.0
    whole = False
    for step in range(NEWTON_STEPS):
        s = st = sr = tt = tr = rr = q = qt = qr = pressed = 0.0
        for m in range(grid.rings):
            for j in range(grid.share.size):
                t, r = grid.along_mm[m, j], grid.across_mm[m, j]
                above = height[m, j] - position - rest * t - rest_across * r
                deep = above - shift - along * t - across * r
                if deep <= 0.0:
                    continue
                w = bed * grid.weight_mm2[m, j]
                s += w
                st += w * t
                sr += w * r
                tt += w * t * t
                tr += w * t * r
                rr += w * r * r
                q += w * above
                qt += w * above * t
                qr += w * above * r
                pressed += w * deep * deep
        if whole and s == last_s and q == last_q and qt + qr == last_t:
            return shift, along, across, True
        energy = pressed + spring * shift * shift + tilt_spring * (along * along + across * across)
        if step >= CAREFUL_FROM and energy > lowest * (1.0 + 1e-13):
            shift, along, across = 0.5 * (shift + old_shift), 0.5 * (along + old_along), 0.5 * (across + old_across)
            whole = False
            continue
        lowest, old_shift, old_along, old_across, whole = energy, shift, along, across, True
        last_s, last_q, last_t = s, q, qt + qr
        shift, along, across = _solve_area((s, st, sr, tt, tr, rr), (q, qt, qr), spring, tilt_spring)
    return shift, along, across, False


@njit(**_INNER)
def _wrap(faces, half, out):  # type: ignore[no-untyped-def]
    """Lay each face out with one pad window repeated at both ends, so that windows need no wrapping."""
    rings, angles = faces.shape[1], faces.shape[2]
    for f in range(2):
        for m in range(rings):
            for k in range(angles + 2 * half):
                out[f, m, k] = faces[f, m, (k - half) % angles]


@njit(**_INNER)
def _unwrap(out, half, faces):  # type: ignore[no-untyped-def]
    """Add what was gathered on the repeated ends to the cells they stand for."""
    rings, angles = faces.shape[1], faces.shape[2]
    for f in range(2):
        for m in range(rings):
            for k in range(angles):
                faces[f, m, k] = 0.0
            for k in range(angles + 2 * half):
                faces[f, m, (k - half) % angles] += out[f, m, k]


@njit(**_INNER)
def _plates(view, grid):  # type: ignore[no-untyped-def]
    """Best plate through what each pad sees at each angle: fills ``mean`` (2, N) and ``slope`` (2, N, 2)."""
    for f in range(2):
        for k in range(grid.angles):
            q = qt = qr = 0.0
            for m in range(grid.rings):
                for j in range(grid.share.size):
                    a = grid.weight_mm2[m, j] * (view.faces[f, m, k + j] - view.profile[f, m, j])
                    q += a
                    qt += a * grid.along_mm[m, j]
                    qr += a * grid.across_mm[m, j]
            view.mean[f, k] = q / grid.area_mm2
            view.slope[f, k, 0] = qt / grid.along_square
            view.slope[f, k, 1] = qr / grid.across_square if grid.rings > 1 else 0.0


@njit(**_INNER)
def _rest(view, grid):  # type: ignore[no-untyped-def]
    """Fill rest tilts and tops: a pad keeps the mean tilt it had on the brake; resting above its top it is free."""
    for f in range(2):
        for k in range(grid.angles):
            view.rest[f, 0] += view.slope[f, k, 0] / grid.angles
            view.rest[f, 1] += view.slope[f, k, 1] / grid.angles
        for k in range(grid.angles):
            highest = -1e300
            for m in range(grid.rings):
                for j in range(grid.share.size):
                    tilt = view.rest[f, 0] * grid.along_mm[m, j]
                    if grid.rings > 1:
                        tilt += view.rest[f, 1] * grid.across_mm[m, j]
                    highest = max(highest, view.faces[f, m, k + j] - view.profile[f, m, j] - tilt)
            view.top[f, k] = highest


@njit(**_INNER)
def _first_release(mean, releases):  # type: ignore[no-untyped-def]
    """First release angle, in cells: locked to the wobble of the disc, so that turning the disc changes nothing."""
    angles = mean.shape[1]
    best, phase = 0.0, 0.0
    for n in range(1, 5):
        c = s = 0.0
        for k in range(angles):
            wobble = 0.5 * (mean[0, k] - mean[1, k])
            c += wobble * np.cos(2.0 * np.pi * n * k / angles)
            s += wobble * np.sin(2.0 * np.pi * n * k / angles)
        size = np.sqrt(c * c + s * s)
        # A higher order takes over only where the first has all but vanished: its phase would be noise.
        if size > (best if n == 1 else 1000.0 * best):
            best, phase = size, np.arctan2(s, c) / n
    # A quarter of a step off the crest: nodes at 0 or 1/2 would be mirror twins of each other.
    return (phase / (2.0 * np.pi) + 0.25 / releases) * angles


@njit(**_INNER)
def _hang(mean, law, at, positions):  # type: ignore[no-untyped-def]
    """Fill in where the two pads hang after the brake was let go at rotor cell ``at`` (a float)."""
    if law.fixed:
        # The piston slipped through its seal down to the lowest part of the wobbling face, then only sheared the seal.
        for f in range(2):
            lowest = mean[f, 0]
            for k in range(mean.shape[1]):
                lowest = min(lowest, mean[f, k])
            positions[f] = lowest + (law.gap_out if f == 0 else law.gap_in)
        return
    angles = mean.shape[1]
    at %= angles
    low = int(np.floor(at))
    part = at - low
    low %= angles
    high = (low + 1) % angles
    positions[0] = (1.0 - part) * mean[0, low] + part * mean[0, high] + law.gap_out
    positions[1] = (1.0 - part) * mean[1, low] + part * mean[1, high] + law.gap_in


@njit(**_INNER)
def _give(law, over, before, stiffness, moved):  # type: ignore[no-untyped-def]
    """How far a seat gives way under the pull ``over`` its slip force, and the stiffness with which that pull falls.

    The stiffness is the one just seen (``before`` fell to ``over`` in a move of ``moved``). A pad pulls the less
    steeply the less it touches, so this never gives way too far.
    """
    if over <= LEAST_SLIP * law.slip:
        return 0.0, stiffness
    if moved > 0.0:
        stiffness = min(max((before - over) / moved, 0.1 * law.spring), law.spring)
    return over / stiffness, stiffness


@njit(**_INNER)
def _tap(view, grid, law, position, f, k, begin):  # type: ignore[no-untyped-def]
    """Shift and both tilts of one pad at one angle, from its rest, and whether the contact settled."""
    for m in range(grid.rings):
        for j in range(grid.share.size):
            view.under[m, j] = view.faces[f, m, k + j] - view.profile[f, m, j]
    if grid.rings == 1:
        line = (law.bed_released, law.spring, law.tilt_spring, view.rest[f, 0])
        shift, along, fine = _settle_line(view.under[0], grid.weight_mm2[0], grid.along_mm[0], line, position, begin)
        return shift, along, 0.0, fine
    wide = (law.bed_released, law.spring, law.tilt_spring, view.rest[f, 0], view.rest[f, 1])
    return _settle_area(view.under, grid, wide, position, begin)


@njit(**_INLINED)
def _calm(law):  # type: ignore[no-untyped-def]
    """Pull of one pad that cannot move a seat, even if the other pushes with all its drag."""
    return law.slip * (1.0 + LEAST_SLIP) - max(law.push_out, law.push_in)


@njit(**_INNER)
def _slip_here(view, grid, law, seat, calm, k):  # type: ignore[no-untyped-def]
    """Let the pads slip at one angle until the seats carry them; True if anything moved.

    Fixed caliper: each piston alone. Floating: the body with both pads, in the direction of the harder pull. A pull of
    up to ``calm`` cannot move a seat whatever the other pad does; a pull changes by no more than the holder's stiffness
    times the way, so from every pull it is known down to which rest the pad is safe at this angle.
    """
    slipped, positions, found = False, view.hung, view.found
    before = moved = before_in = moved_in = 0.0
    stiffness = stiffness_in = law.spring
    for _ in range(SLIPS):
        pull_out = pull_in = 0.0
        for f in range(2):
            if view.top[f, k] > positions[f] - seat[f]:
                begin = (found[f, 0], found[f, 1], found[f, 2])
                shift, along, across, _ = _tap(view, grid, law, positions[f] - seat[f], f, k, begin)
                found[f, 0], found[f, 1], found[f, 2] = shift, along, across
                pull = law.spring * shift - (law.push_out if f == 0 else law.push_in)
                view.safe[f, k] = min(view.safe[f, k], positions[f] - (calm - pull) / law.spring)
                if f == 0:
                    pull_out = pull
                else:
                    pull_in = pull
        if law.fixed:
            step, stiffness = _give(law, pull_out - law.slip, before, stiffness, moved)
            step_in, stiffness_in = _give(law, pull_in - law.slip, before_in, stiffness_in, moved_in)
            before, moved, before_in, moved_in = pull_out - law.slip, step, pull_in - law.slip, step_in
        else:
            over = abs(pull_out - pull_in) - law.slip
            step, stiffness = _give(law, over, before, stiffness, moved)
            before, moved = over, step
            step = step if pull_out > pull_in else -step
            step_in = -step
        if step == 0.0 and step_in == 0.0:
            break
        positions[0] += step
        positions[1] += step_in
        slipped = True
    return slipped


@njit(**_INLINED)
def _slip_until_still(view, grid, law, seat, begin):  # type: ignore[no-untyped-def]
    """Let the pads slip for some revolutions from cell ``begin`` on, until they stay; ``seat``: free shift of each."""
    calm, positions = _calm(law), view.hung
    for f in range(2):
        for j in range(3):
            view.found[f, j] = 0.0
    for _ in range(SETTLE_TURNS):
        slipped = False
        for i in range(grid.angles):
            k = (begin + i) % grid.angles
            if positions[0] < view.safe[0, k] or positions[1] < view.safe[1, k]:
                slipped |= _slip_here(view, grid, law, seat, calm, k)
        if not slipped:
            return


@njit(**_INNER)
def _count_turn(view, grid, law, position, f, tally):  # type: ignore[no-untyped-def]
    """Gather the rubbing of one pad over one released revolution; returns the number of angles at which it touches."""
    touching, count = 0, grid.share.size
    shift = along = across = 0.0
    for k in range(grid.angles):
        if view.top[f, k] <= position:
            continue
        touching += 1
        shift, along, across, fine = _tap(view, grid, law, position, f, k, (shift, along, across))
        force = law.spring * shift
        tally.notes[0] = max(tally.notes[0], force)
        tally.notes[1] += 0.0 if fine else 1.0
        if grid.rings == 1:
            tally.work[f] += force * grid.radius_mm[0] * grid.step_rad
        for m in range(grid.rings):
            moment = 0.0
            for j in range(count):
                plate = position + shift + (view.rest[f, 0] + along) * grid.along_mm[m, j]
                if grid.rings > 1:
                    plate += (view.rest[f, 1] + across) * grid.across_mm[m, j]
                deep = view.under[m, j] - plate
                if not deep > 0.0:
                    continue
                pressure = law.bed_released * deep
                tally.disc[f, m, k + j] += pressure * grid.share[j]
                tally.pad[f, m, j] += pressure
                moment += pressure * grid.weight_mm2[m, j]
            if grid.rings > 1:
                tally.work[f] += moment * grid.radius_mm[m] * grid.step_rad
    return touching


@njit(**_INLINED)
def _highest(top, f):  # type: ignore[no-untyped-def]
    highest = top[f, 0]
    for k in range(top.shape[1]):
        highest = max(highest, top[f, k])
    return highest


@njit(**_INLINED)
def _released(view, grid, law, tally):  # type: ignore[no-untyped-def]
    """Gather one released revolution, averaged over the angles at which the brake may have been let go."""
    first = _first_release(view.mean, law.releases)
    seat = (law.push_out / law.spring, law.push_in / law.spring)
    positions, highest = view.hung, view.highest
    for f in range(2):
        highest[f] = _highest(view.top, f)
    for f in range(2):  # a tap can never pull harder than its whole reach
        for k in range(grid.angles):
            view.safe[f, k] = view.top[f, k] - _calm(law) / law.spring
    touching = 0
    for node in range(law.releases):
        at = first + node * grid.angles / law.releases
        _hang(view.mean, law, at, positions)
        start_out, start_in = positions[0], positions[1]
        if law.spring * max(highest[0] - positions[0], highest[1] - positions[1]) > _calm(law):
            _slip_until_still(view, grid, law, seat, int(np.floor(at + 0.3183)))
            tally.notes[4] = max(tally.notes[4], abs(positions[0] - start_out))
            tally.notes[4] = max(tally.notes[4], abs(positions[1] - start_in))
        for f in range(2):
            if highest[f] > positions[f] - seat[f]:
                touching += _count_turn(view, grid, law, positions[f] - seat[f], f, tally)
    tally.notes[3] = touching / (2.0 * law.releases * grid.angles)


@njit(**_INNER)
def _braked(view, grid, law, tally):  # type: ignore[no-untyped-def]
    """Gather one braked revolution: both pads carry the same force, which grows with the thickness between them."""
    middle = 0.0
    for k in range(grid.angles):
        middle += (view.mean[0, k] + view.mean[1, k]) / grid.angles
    lowest, count = 1e300, grid.share.size
    for k in range(grid.angles):
        force = max(0.0, law.clamp + law.clamp_spring * (view.mean[0, k] + view.mean[1, k] - middle))
        for f in range(2):
            lifted = False
            work = 0.0
            for m in range(grid.rings):
                moment = 0.0
                for j in range(count):
                    plate = view.mean[f, k] + view.slope[f, k, 0] * grid.along_mm[m, j]
                    if grid.rings > 1:
                        plate += view.slope[f, k, 1] * grid.across_mm[m, j]
                    rest = view.faces[f, m, k + j] - view.profile[f, m, j] - plate
                    pressure = force / grid.area_mm2 + law.bed_braking * rest
                    lowest = min(lowest, pressure)
                    if pressure < 0.0:
                        pressure, lifted = 0.0, True
                    tally.disc[f, m, k + j] += pressure * grid.share[j]
                    tally.square[f, m, k + j] += pressure * pressure * grid.share[j]
                    tally.pad[f, m, j] += pressure
                    moment += pressure * grid.weight_mm2[m, j]
                work += moment * grid.radius_mm[m]
            if grid.rings == 1 and not lifted:
                work = force * grid.radius_mm[0]
            tally.work[f] += work * grid.step_rad
    tally.notes[2] = lowest


@njit(**_INNER)
def _faces(state, base, grid, law, faces):  # type: ignore[no-untyped-def]
    """Fill in how high each face stands now, its mean taken off (nothing depends on it and the digits are kept)."""
    cells = grid.rings * grid.angles
    for f in range(2):
        mean = 0.0
        for m in range(grid.rings):
            for k in range(grid.angles):
                at = f * cells + m * grid.angles + k
                value = base[f, m, k] - state[at] - state[2 * cells + at]
                if law.has_film:
                    value += state[4 * cells + at]
                faces[f, m, k] = value
                mean += value
        for m in range(grid.rings):
            for k in range(grid.angles):
                faces[f, m, k] -= mean / cells


@njit(**_INLINED)
def _look(state, base, grid, law, view):  # type: ignore[no-untyped-def]
    """Set up what the pads see in this state."""
    _faces(state, base, grid, law, view.flat)
    _wrap(view.flat, grid.half, view.faces)
    if law.has_profile:
        start = (6 if law.has_film else 4) * grid.rings * grid.angles
        count = grid.share.size
        for f in range(2):
            for m in range(grid.rings):
                for j in range(count):
                    view.profile[f, m, j] = state[start + (f * grid.rings + m) * count + j]
    _plates(view, grid)
    _rest(view, grid)


@njit(**_DOOR)
def rates(state, base, grid, law, view, off, on, rate):  # type: ignore[no-untyped-def]
    """Fill in the change of the state per averaged revolution.

    Parameters
    ----------
    state : ndarray, shape (size,)
        Released depths (2, rings, angles), braked depths, film, pad profiles, released work (2,), braked work (2,).
    base : ndarray, shape (2, rings, angles)
        Face heights before wear. [mm]
    grid : Grid
    law : Law
    view, off, on : View, Tally, Tally
        Fresh room from ``scratch``; filled in.
    rate : ndarray, shape (size,)
        Filled in.

    Notes
    -----
    Archard: depth a turn = coefficient x pressure x r x angle; a holder with slip while released, a force law on the
    brake. How pads, holder and film are modelled is judgement; every value's source stands at its key.
    """
    _look(state, base, grid, law, view)
    if law.brake_share < 1.0:
        _released(view, grid, law, off)
    if law.brake_share > 0.0:
        _braked(view, grid, law, on)
    free = (1.0 - law.brake_share) / law.releases
    _unwrap(off.disc, grid.half, off.flat)
    _unwrap(on.disc, grid.half, on.flat)
    _disc(grid, free * law.disc_wear, off, rate)
    cells = 2 * grid.rings * grid.angles
    _disc(grid, law.brake_share * (1.0 - law.adherence) * law.disc_wear, on, rate[cells:])
    if law.has_film:
        _film(state, grid, law, on, view.flat, rate)
    if law.has_profile:
        _profiles(grid, law, off, on, rate)
    for f in range(2):
        rate[rate.size - 4 + f] = free * off.work[f]
        rate[rate.size - 2 + f] = law.brake_share * on.work[f]


@njit(**_INNER)
def _disc(grid, factor, tally, rate):  # type: ignore[no-untyped-def]
    """Archard's law on the disc, for the part of the state that ``rate`` begins with: the released or the braked."""
    for f in range(2):
        for m in range(grid.rings):
            scale = factor * grid.radius_mm[m] * grid.step_rad
            start = (f * grid.rings + m) * grid.angles
            for k in range(grid.angles):
                rate[start + k] = scale * tally.flat[f, m, k]


@njit(**_INNER)
def _film(state, grid, law, on, square, rate):  # type: ignore[no-untyped-def]
    """Growth of the adherent film: where it is pressed harder it settles thicker. ``square`` is room for a sum."""
    cells, rings, angles = grid.rings * grid.angles, grid.rings, grid.angles
    _unwrap(on.square, grid.half, square)
    for f in range(2):
        for m in range(rings):
            scale = law.brake_share * law.adherence * law.deposit * grid.radius_mm[m] * grid.step_rad
            for k in range(angles):
                at = 4 * cells + f * cells + m * angles + k
                fade = state[at] / law.film * on.flat[f, m, k]
                rate[at] = scale * (square[f, m, k] / law.pressure - fade)


@njit(**_INNER)
def _profiles(grid, law, off, on, rate):  # type: ignore[no-untyped-def]
    """Wear of each pad cell over a whole turn of the disc beneath it."""
    count = grid.share.size
    start = (6 if law.has_film else 4) * grid.rings * grid.angles
    free = (1.0 - law.brake_share) / law.releases
    for f in range(2):
        for m in range(grid.rings):
            scale = law.pad_wear * grid.radius_mm[m] * grid.step_rad
            for j in range(count):
                pressure = free * off.pad[f, m, j] + law.brake_share * on.pad[f, m, j]
                rate[start + (f * grid.rings + m) * count + j] = scale * pressure
