"""A thickness that counts, held against its limit; its thinnest place with what that is unsure by."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.bench import last_look
from sim.files.dial_readings import UNSAID_UM, Readings, Trace
from sim.files.thickness_turns import shaky_hand_um
from sim.parts.case import Limits
from sim.parts.dial import COVERAGE
from sim.parts.middle_turn import as_many
from sim.parts.thickness import SHAKY, SHAKY_SPAN, Uneven, micrometer_sd_um, scatter_um, uneven


def thinnest_half_mm(readings: Readings, limits: Limits) -> float:
    """Uncertainty (k = 2) of the thinnest place that counts; nought where nobody read it. [mm].

    By `sim.parts.thickness.thick_half_mm` (JCGM 100:2008).

    Parameters
    ----------
    readings : Readings
    limits : Limits
    """
    thickness = readings.thickness
    return 0.0 if thickness is None else judged_thickness(readings, thickness, limits).thick_half_mm


def judged_thickness(readings: Readings, thickness: Trace, limits: Limits) -> Uneven:
    """Hold the thickness that counts against its limit.

    Parameters
    ----------
    readings : Readings
    thickness : Trace
        Of them.
    limits : Limits

    Notes
    -----
    The rule of `sim.parts.thickness.uneven` (JCGM 100:2008); a shaky hand is as unsure as it scatters;
    turns that were read out and mostly read over the limit count as over (`sim.bench.last_look`). [um]
    """
    division = readings.micrometer_um(readings.of("thickness")[-1])  # a middle's own digits say nothing
    sd_um = micrometer_sd_um(division) if thickness.noise_um is None else thickness.noise_um
    taken_um = 0.0 if thickness.dial_um else division
    scatter = scatter_um(thickness.angle_deg, thickness.value_um) if thickness.turns == 1 else 0.0
    hand_um = shaky_hand_um(readings.with_parts_of("thickness"), division)
    shaky = scatter > SHAKY * sd_um or hand_um > 0.0
    if scatter > SHAKY * sd_um:
        sd_um = scatter * SHAKY_SPAN / (COVERAGE * np.sqrt(2.0))  # so that its span is its doubt
    sd_um = max(sd_um, hand_um / np.sqrt(as_many(thickness.turns)))
    read = uneven(thickness.value_um, sd_um, limits.dtv_um, thickness.turns, taken_um)
    read = replace(read, shaky=shaky, division_um=division)
    look = last_look.of_thickness(readings, limits)
    if look.overrules(read.value_um) and not shaky:  # a span of one turn is then mostly its scatter
        return replace(read, value_um=look.middle_um, turns=len(look.each_um))
    return replace(read, mostly_over=look.read_on)


def even_um(limits: Limits) -> float:
    """Largest variation of whole micrometres that one reading clears.

    Parameters
    ----------
    limits : Limits

    Notes
    -----
    See `sim.parts.thickness.Uneven.state` (JCGM 100:2008). [um]
    """
    return float(max(np.floor(limits.dtv_um - COVERAGE * micrometer_sd_um(UNSAID_UM)), 0.0))
