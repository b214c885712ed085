"""How far a rotor's thickness varies as a micrometer read it, and how that stands against its limit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from sim.arrays import Floats
from sim.errors import BadInput, Fault
from sim.one_thread import one_thread
from sim.parts.dial import ABOVE, BELOW, COVERAGE, DITHERED, TOO_CLOSE, beside_limit
from sim.parts.middle_turn import as_many

#: Of thickness in the workshop, standard deviation; judgement. [um]
MICROMETER_REPEATABILITY_UM = 2.0
#: What a workshop micrometer may err by over its travel, its zero set, as a half-width: that counts for how thick a
#: rotor is, not for how it varies. ISO 3611 and what workshops check to, from memory. [um]
MICROMETER_ERROR_UM = 4.0
#: With divisions up to this the hand errs by more than the micrometer, and no finer one helps; judgement. [um]
FINE_UM = 2.0
#: Divisions of finer micrometers, coarsest first. Common practice, no source. [um]
DIVISIONS_UM = (5.0, FINE_UM, 1.0)
#: Of that, what does not average: screw and anvils err alike at one place, however often it is read; judgement,
#: 0.3 .. 1. The micrometer's zero moves every place alike and no variation. [um]
MICROMETER_LOCAL_UM = 0.5
#: Readings at every place whose middle counts: of two nobody can say which is odd. Judgement.
MEAN_OF = 3
#: Where the middle of those reads over the limit, by less than it is sure to: two turns more cost less than two rotors,
#: and errors of reading only widen highest less lowest. Judgement.
MOST_OF = 5
#: Places of a turn: with fewer two humps may hide more than readings leave open. Common practice, no source.
PLACES = 12
#: What a middle that does not read over the limit counts as, where its uncertainty reaches over it.
COUNTS_NEITHER = "it counts neither as over nor as under"
#: And what is done about it: said by every command alike.
NOT_ALONE = (
    "no rotor is bought for it alone: read it again at the next service; where the brake judders and nothing else is "
    "found, it counts as over (common practice, no source)"
)
UNEVEN_NEITHER = f"{COUNTS_NEITHER}, and {NOT_ALONE}"
NO_MORE = "no more reading by this micrometer is asked"
#: Why a figure counts as below whose uncertainty reaches over the limit.
SELDOM_LESS = "errors of reading widen it far oftener than they narrow it"
#: Said once, with the figure that it makes unsure.
TAKEN = (
    "taken as read with {division:g} µm a division, as no line says its own: where the micrometer is finer write that "
    "into those lines, column dial_um"
)
#: One turn whose places scatter by so many times its micrometer's standard deviation is a shaky hand's, or holds a
#: lump: of steady turns of twelve places one in two hundred does (chi-square of seven). Judgement, 1.5 .. 2.
SHAKY = 1.7
#: Highest less lowest of twelve readings of one thickness in their standard deviations, which 95 of 100 turns stay
#: under (tables of the studentized range, from memory): by so much a shaky hand makes an even rotor uneven.
SHAKY_SPAN = 4.6
LEAST_FREE = 5  # degrees of freedom of that scatter: with fewer it says nothing; judgement
#: Where neither side of the limit can be told.
NEAR = "too close to the limit of {limit:g} µm to tell"
#: Said with the uncertainty of such a turn.
SCATTERS = "its places scatter by more than a micrometer does: a shaky hand, or a lump"
TURNS_SCATTER = "its turns scatter by more than a micrometer does: a shaky hand"
STEADIER = (
    "have it read by a steadier hand, or with the micrometer held in a stand, until three turns agree: no rotor is "
    "bought by turns that scatter so"
)
NO_FINER = "no finer micrometer tells more: "
#: What the tops between the places may add is told from here on. [um]
LEAST_BETWEEN_UM = 0.5
#: A rotor thicker than new by more than this all round is another car's, or its case is: wear only takes away. A
#: new one is a tenth or two over its nominal figure, coat and rust are less, a workshop micrometer is a hundredth off
#: (from memory); the next rotor that a maker lists is half a millimetre thicker or more. Judgement, 0.2 .. 0.5. [mm]
OVER_NEW_MM = 0.3


def micrometer_sd_um(graduation_um: float) -> float:
    """Standard deviation of one reading: repeatability, and rounding to the graduation (JCGM 100:2008). [um].

    Examples
    --------
    >>> round(micrometer_sd_um(5.0), 2)
    2.47
    """
    return float(np.hypot(MICROMETER_REPEATABILITY_UM, graduation_um / math.sqrt(12.0)))


def thick_half_mm(one_sd_um: float) -> float:
    """Uncertainty (k = 2) of a thickness: what a reading or middle of several scatters, and the micrometer's own error.

    Parameters
    ----------
    one_sd_um : float
        Standard deviation of the reading, or of the middle. [um]

    Returns
    -------
    float
        [mm]

    Notes
    -----
    Independent, the error rectangular (JCGM 100:2008).

    Examples
    --------
    >>> round(thick_half_mm(micrometer_sd_um(1.0)), 4)
    0.0061
    """
    return 1e-3 * COVERAGE * math.hypot(one_sd_um, MICROMETER_ERROR_UM / math.sqrt(3.0))


def middle_of_turns(turns_um: Floats, graduation_um: float) -> tuple[Floats, float]:
    """Middle of several turns at the same places, and the standard deviation of one of its values.

    Parameters
    ----------
    turns_um : ndarray, shape (n, k)
        Readings of n turns at k places. [um]
    graduation_um : float
        Division of the micrometer. [um]

    Returns
    -------
    middle_um : ndarray, shape (k,)
    sd_um : float

    Notes
    -----
    The median at each place, of turns each about its own level; of two their mean. Readings are independent: what
    repeats of a hand and rounding give falls with the root of their number (JCGM 100:2008, 4.2), of which a median
    counts `sim.parts.middle_turn.as_many`; `MICROMETER_LOCAL_UM` does not fall. Never less than a
    workshop's hand is taken to repeat, more where these turns scatter more; rounding that the scatter does not carry
    stays as it is (4.3.7), but where the readings were estimated between the lines.

    Examples
    --------
    >>> one, three = (middle_of_turns(np.zeros((n, 12)), 1.0)[1] for n in (1, 3))
    >>> round(one, 2), round(three, 2)
    (2.02, 1.42)
    """
    count = len(turns_um)
    level = turns_um.mean(axis=1, keepdims=True)
    middle: Floats = np.median(turns_um - level, axis=0) + np.median(level)
    one = micrometer_sd_um(graduation_um)
    if count == 1:
        return middle, one
    about = turns_um - level
    freedom = (count - 1) * (about.shape[1] - 1)
    scatter = float(np.sqrt(((about - about.mean(axis=0)) ** 2).sum() / freedom))
    on_lines = bool(np.all(np.abs(turns_um - graduation_um * np.round(turns_um / graduation_um)) < 1e-6))
    alike = on_lines and scatter < DITHERED * graduation_um
    rounding = graduation_um / math.sqrt(12.0) if alike else 0.0
    independent = max(one, scatter) ** 2 - MICROMETER_LOCAL_UM**2 - rounding**2
    return middle, math.sqrt(independent / as_many(count) + MICROMETER_LOCAL_UM**2 + rounding**2)


def refuse_thicker(thinnest_mm: float | None, new_mm: float, file: str = "") -> None:
    """Stop at a rotor that was read thicker than this corner's when new: it is another car's.

    Parameters
    ----------
    thinnest_mm : float or None
        Thinnest place that was read: one place may be rust or misread; None for readings from any zero. [mm]
    new_mm : float
        [mm]
    file : str
        Of the readings.

    Raises
    ------
    BadInput
        Naming both thicknesses.
    """
    if thinnest_mm is not None and thinnest_mm > new_mm + OVER_NEW_MM:
        reason = (
            f"{thinnest_mm:.2f} mm at its thinnest does not lie on this corner, whose rotor is {new_mm:g} mm when new"
        )
        raise BadInput(
            Fault(reason, file=file, key="thickness", allowed=f"up to {new_mm + OVER_NEW_MM:g} mm, from the case")
        )


@dataclass(frozen=True)
class Uneven:
    """Thickness variation as read.

    Parameters
    ----------
    value_um : float
        Highest less lowest reading.
    doubt_um : float
        Its uncertainty (k = 2): two readings, or middles of several, so the root of two of one.
    limit_um : float
    between_um : float
        Of that uncertainty, what the tops of two humps a turn may stand over the places that were read; 0 for others.
    places : int
        That were read; 0 where that is not known.
    turns : int
        Readings at every place of which the middle counts.
    taken_um : float
        Division that the micrometer was taken to have, as no line says it; 0 where one does. [um]
    shaky : bool
        Whether the uncertainty is that of places, or turns, which scatter by more than a micrometer does.
    mostly_over : bool
        Whether its turns by themselves mostly read over the limit, or one stands off so, and are to be read on
        whatever their middle says: `sim.bench.last_look`.
    division_um : float
        Of the micrometer; 0 where that is not known, and the uncertainty tells what it hides. [um]
    """

    value_um: float
    doubt_um: float
    limit_um: float
    between_um: float = 0.0
    places: int = 0
    turns: int = 1
    taken_um: float = 0.0
    shaky: bool = False
    mostly_over: bool = False
    division_um: float = 0.0

    @property
    def printed_um(self) -> tuple[int, int, int]:
        """Least, value and most in whole micrometres, as `figure` prints them. By rule.

        It is judged by these alone: two rotors of one figure and one uncertainty have one verdict, however often they
        were read.
        """
        value, half = round(self.value_um), round(self.doubt_um)
        if self.between_um >= LEAST_BETWEEN_UM:
            return round(self.low_um), value, round(self.high_um)
        return value - half, value, value + half

    @property
    def state(self) -> str:
        """``below``, ``above`` or ``too close to tell``; what reads below by one reading's uncertainty is below.

        Errors spread highest less lowest and seldom shrink it: with a micrometer of 5 um a rotor just at a limit of
        15 um reads 10 um or less in about one turn of twenty, with others in fewer. Judgement, from simulation. What is
        read too `coarse` is below no limit. [um]
        """
        low, value, high = self.printed_um
        if not self.coarse and high - (value - low) * (1.0 - 1.0 / math.sqrt(2.0)) <= self.limit_um:
            return BELOW
        return ABOVE if low > self.limit_um else TOO_CLOSE

    @property
    def coarse(self) -> bool:
        """Whether it was read too coarsely for its limit: by a division of more than half of that, however often.

        Divisions up to `FINE_UM` are never too coarse, a shaky hand is read again first, and what with all that the
        division hides stays under the limit is told. A rotor that varies by its limit may read the same all round in a
        division as large, in every turn. Judgement, a third to the whole limit. [um]
        """
        most = max(self.limit_um / 2.0, FINE_UM)
        by_division = self.doubt_um - self.between_um
        hides = self.value_um + by_division > self.limit_um
        if self.division_um:
            large = self.division_um > most
        else:
            large = by_division > COVERAGE * math.sqrt(2.0) * micrometer_sd_um(most) * (1.0 + 1e-9)
        return hides and large and not self.shaky

    @property
    def wanted_division_um(self) -> float:
        """Coarsest usual division that is not too coarse for the limit. By `coarse`. [um].

        Examples
        --------
        >>> Uneven(0.0, 21.5, 15.0).wanted_division_um, Uneven(0.0, 21.5, 8.0).wanted_division_um
        (5.0, 2.0)
        """
        return next((one for one in DIVISIONS_UM if one <= self.limit_um / 2.0), FINE_UM)

    @property
    def reads_over(self) -> bool:
        """Whether it reads over its limit, as printed, whatever it is sure to. By rule."""
        return self.printed_um[1] > self.limit_um

    @property
    def low_um(self) -> float:
        """Least that it varies (k = 2): tops missed between the places only add to it. By definition. [um]."""
        return self.value_um - (self.doubt_um - self.between_um)

    @property
    def high_um(self) -> float:
        """Most that it varies (k = 2). By definition. [um]."""
        return self.value_um + self.doubt_um

    def may_be_um(self, count: int) -> Floats:
        """So many values that it may vary by as well as by any other of them, rising; none under 0. [um].

        Parameters
        ----------
        count : int

        Notes
        -----
        A normal law on either side of what was read, its 95 % from `low_um` to `high_um` (JCGM 100:2008).

        Examples
        --------
        >>> Uneven(9.0, 6.0, 15.0).may_be_um(3).round(1).tolist(), Uneven(2.0, 6.0, 15.0).may_be_um(3).round(1).tolist()
        ([6.1, 9.0, 11.9], [0.0, 2.0, 4.9])
        """
        away = np.array([NormalDist().inv_cdf((k + 0.5) / count) for k in range(count)]) / COVERAGE
        half = np.where(away < 0.0, self.value_um - self.low_um, self.high_um - self.value_um)
        found: Floats = np.maximum(self.value_um + away * half, 0.0)
        return found

    @property
    def one_sd_um(self) -> float:
        """Standard deviation of one of its values, a reading or a middle. By definition. [um]."""
        return (self.doubt_um - self.between_um) / (COVERAGE * math.sqrt(2.0))

    @property
    def thick_half_mm(self) -> float:
        """Uncertainty (k = 2) of how thick one place is: see `thick_half_mm` (JCGM 100:2008). [mm]."""
        return thick_half_mm(self.one_sd_um)

    @property
    def taken(self) -> str:
        """What was taken for the micrometer's division, where that makes it too close to tell; else empty."""
        return TAKEN.format(division=self.taken_um) if self.taken_um and self.state == TOO_CLOSE else ""

    @property
    def scatters(self) -> str:
        """What scatters by more than a micrometer does, of a `shaky` hand. By rule."""
        return SCATTERS if self.turns == 1 else TURNS_SCATTER

    @property
    def places_first(self) -> bool:
        """Whether places come first: tops missed between few leave more open than readings, or are all that is left."""
        if not 0 < self.places < PLACES:
            return False
        read_out = self.state == TOO_CLOSE and self.ended and not self.shaky and self.between_um >= LEAST_BETWEEN_UM
        return read_out or self.between_um > self.doubt_um - self.between_um

    @property
    def wants_finer(self) -> bool:
        """Whether it is read on by a finer micrometer, and not at more places, by a steadier hand or by more turns."""
        return not (self.places_first or self.shaky) and (self.coarse or not self.finest)

    @property
    def wanted_turns(self) -> int:
        """Readings a place that end it: `MEAN_OF`, or `MOST_OF` where their middle would cost two rotors; judgement."""
        near = self.state == TOO_CLOSE and (self.reads_over or self.mostly_over)
        return MOST_OF if near and self.turns >= MEAN_OF else MEAN_OF

    @property
    def ended(self) -> bool:
        """Whether every place was read so often: no more reading by this micrometer is asked, unless too `coarse`."""
        return self.turns >= self.wanted_turns and not self.coarse

    def _middle_sd_um(self, one_um: float, times: int) -> float:
        """Standard deviation of the middle of so many turns: as `middle_of_turns` has it (JCGM 100:2008). [um]."""
        apart = max(one_um**2 - MICROMETER_LOCAL_UM**2, 0.0)
        return math.sqrt(apart * as_many(self.turns) / as_many(times) + MICROMETER_LOCAL_UM**2)

    @property
    def seldom_over(self) -> bool:
        """Whether it is below its limit though its uncertainty (k = 2) reaches over it: see `state`. By definition."""
        return self.state == BELOW and self.high_um > self.limit_um

    @property
    def counts_over(self) -> bool:
        """Whether it counts as over its limit: too close to tell, read out, and its middle reads over.

        Not by a `shaky` hand: the highest middle less the lowest is its scatter, and widens it.
        """
        return self._at_last and self.reads_over and not self.shaky

    @property
    def counts_neither(self) -> bool:
        """Whether it counts neither as over nor as under: too close to tell at last, its middle not over."""
        return self._at_last and not self.reads_over

    @property
    def _at_last(self) -> bool:
        return self.state == TOO_CLOSE and self.ended and not self.places_first

    @property
    def finest(self) -> bool:
        """Whether it is as sure as one reading to `FINE_UM` or finer: no finer micrometer tells more of one turn.

        By definition. [um]
        """
        return self.one_sd_um <= micrometer_sd_um(FINE_UM) * (1.0 + 1e-9)  # the way there and back rounds

    @property
    def mean_doubt_um(self) -> float:
        """Its uncertainty (k = 2) where a fine micrometer reads every place so often and the middle counts. [um].

        Notes
        -----
        As `middle_of_turns` has it (JCGM 100:2008); what lies between the places stays.
        """
        one = min(self.one_sd_um, micrometer_sd_um(FINE_UM))
        if self.ended:
            return self.doubt_um
        return COVERAGE * math.sqrt(2.0) * self._middle_sd_um(one, self.wanted_turns) + self.between_um

    @property
    def again(self) -> str:
        """What is done where it is too close to its limit to tell.

        Examples
        --------
        >>> Uneven(14.9, 7.0, 15.0).again
        'measure again with a finer micrometer'
        >>> Uneven(14.9, 5.7, 15.0).again
        'no finer micrometer tells more: read every place 3 times, the middles are sure to ± 4 µm'
        >>> Uneven(15.9, 3.5, 15.0, turns=3).again
        'no finer micrometer tells more: read every place 5 times, the middles are sure to ± 3 µm'
        >>> Uneven(15.9, 2.7, 15.0, turns=5).again
        'no more reading by this micrometer is asked: count it as over the limit, or have it measured finer'
        >>> Uneven(0.0, 21.5, 15.0, turns=3).again
        'measure again with a finer micrometer'
        >>> Uneven(12.0, 12.0, 15.0, between_um=6.5, places=6).again
        'read it at 12 places first'
        """
        if self.places_first:
            return f"read it at {PLACES} places first"
        if self.shaky and self.turns > 1:
            return STEADIER
        if self.shaky:
            return "read every place once more, one turn that scatters so orders no part by itself"
        if self.coarse:
            return "measure again with a finer micrometer"
        if self.ended:
            over = "count it as over the limit, or have it measured finer"
            return f"{NO_MORE}: {over if self.reads_over else COUNTS_NEITHER}"
        if self.finest:
            return (
                f"{NO_FINER}read every place {self.wanted_turns} times, the middles are sure to "
                f"± {self.mean_doubt_um:.0f} µm"
            )
        return "measure again with a finer micrometer"

    @property
    def figure(self) -> str:
        """The value with its uncertainty, in whole micrometres; its ends where they are not even.

        Examples
        --------
        >>> Uneven(14.9, 7.0, 15.0).figure
        '15 ± 7 µm'
        >>> Uneven(28.0, 15.0, 15.0, between_um=9.0, places=6).figure
        '22 to 43 µm, read as 28 µm'
        """
        low, value, high = self.printed_um
        if self.between_um >= LEAST_BETWEEN_UM:
            return f"{max(low, 0)} to {high} µm, read as {value} µm"
        return f"{value} ± {high - value} µm"

    @property
    def said(self) -> str:
        """The verdict, with what to do where there is none.

        Examples
        --------
        >>> Uneven(14.9, 7.0, 15.0).said
        '15 ± 7 µm: too close to the limit of 15 µm to tell; measure again with a finer micrometer'
        >>> Uneven(0.0, 21.5, 15.0).said
        '0 ± 22 µm: read too coarsely for the limit of 15 µm; measure again with a finer micrometer'
        >>> Uneven(6.0, 7.0, 15.0).said
        '6 ± 7 µm: below the limit of 15 µm'
        >>> Uneven(9.0, 7.0, 15.0).said
        '9 ± 7 µm: below the limit of 15 µm (errors of reading widen it far oftener than they narrow it)'
        """
        humps = ""
        if self.between_um >= LEAST_BETWEEN_UM:
            humps = f" (two humps: {self.places} places may miss {self.between_um:.0f} µm of their tops)"
        if self.state == TOO_CLOSE:
            again = self.again
            if humps and not self.places_first:
                again += ", at more places" if not self.finest else "; more places tell more"
            taken = f"; {self.scatters}" if self.shaky else f"; {self.taken}" if self.taken else ""
            near = "read too coarsely for the limit of {limit:g} µm" if self.coarse else NEAR
            return f"{self.figure}{humps}: {near.format(limit=self.limit_um)}; {again}{taken}"
        where = beside_limit(self.value_um, self.limit_um, self.state)
        seldom = f" ({SELDOM_LESS})" if self.seldom_over else ""
        return f"{self.figure}{humps}: {where} the limit of {self.limit_um:g} µm{seldom}"


@one_thread
def scatter_um(angle_deg: Floats, thickness_um: Floats) -> float:
    """Standard deviation of what one turn leaves over once, twice a turn; nought for too few places to tell. [um].

    Parameters
    ----------
    angle_deg, thickness_um : ndarray, shape (n,)

    Notes
    -----
    Least squares of five columns; what is left has n - 5 degrees of freedom (closed form). [um, deg]
    """
    free = thickness_um.size - 5
    if free < LEAST_FREE:
        return 0.0
    turned = np.radians(angle_deg)
    columns = np.stack([np.ones_like(turned), *(wave(n * turned) for n in (1, 2) for wave in (np.cos, np.sin))], axis=1)
    left = thickness_um - columns @ np.linalg.lstsq(columns, thickness_um, rcond=None)[0]
    return math.sqrt(float(left @ left) / free)


def uneven(thickness_um: Floats, sd_um: float, limit_um: float, turns: int = 1, taken_um: float = 0.0) -> Uneven:
    """Judge readings of one turn, or the middle of several.

    Parameters
    ----------
    thickness_um : ndarray, shape (n,)
    sd_um : float
        Of one reading, or of one middle.
    limit_um : float
    turns : int
        Readings of which each is the middle.
    taken_um : float
        Division that was taken for the micrometer's; 0 where a line says it.

    Returns
    -------
    Uneven

    Notes
    -----
    All in um. The uncertainty is that of the difference of two readings, ``COVERAGE * sqrt(2) * sd_um``
    (JCGM 100:2008); where the
    second order is the larger of the first two, what even places can miss of it is added, as a bound.
    """
    value, places = float(np.ptp(thickness_um)), int(np.size(thickness_um))
    first, second = np.abs(np.fft.rfft(thickness_um))[1:3]
    between = value * (1.0 / two_hump_share(places) - 1.0) if second > first else 0.0
    return Uneven(value, COVERAGE * math.sqrt(2.0) * sd_um + between, limit_um, between, places, turns, taken_um)


def two_hump_share(places: int) -> float:
    """Least share of two humps a turn that even places show: highest less lowest, where they lie at their worst.

    Parameters
    ----------
    places : int
        Readings a turn, at least 5.

    Notes
    -----
    Closed form: both humps are read at the same k places of a hump, ``places / 2`` of them where that is whole, else
    ``places``. Then cos(pi / k) for even k, and cos(pi / 2k) squared for odd k, as ``sim.turn.sampling`` has it.

    Examples
    --------
    >>> round(two_hump_share(12), 3), round(two_hump_share(8), 3)
    (0.866, 0.707)
    """
    k = places // 2 if places % 2 == 0 else places
    return math.cos(math.pi / k) if k % 2 == 0 else math.cos(math.pi / (2 * k)) ** 2
