"""Turns of one corner as a table has them written down: found over its limit, then read clean."""

from __future__ import annotations

import numpy as np

from sim.causes.decision import decide
from sim.files.dial_readings import parse
from sim.parts.case import Limits

PLACES, LIMITS = np.arange(12) * 30.0, Limits(mounted_runout_um=50.0)
HEAD = (
    "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: 10\n# turned: counter-clockwise\n"
    "# dial: + towards\ntrace,mount,studs_turned,angle_deg,reading_um,state,clamped_by,dial_um\n"
)


def turn(kind, mount, tir_um, state="cleaned", held="nuts and spacers", stud=0):
    sign = -1.0 if kind == "inboard" else 1.0  # its dial stands behind the disc
    values = np.round(sign * tir_um / 2.0 * np.cos(np.radians(PLACES - 30.0)))
    at = f"{kind},{mount},{stud}"
    rows = "".join(f"{at},{a:g},{v:g},{state},{held},10\n" for a, v in zip(PLACES, values, strict=True))
    return f"{rows}{at},feeler,100,{state},{held},10\n"


def thickness(about_um=11_500.0):
    values = about_um + np.round(2.0 * np.cos(np.radians(PLACES)))
    rows = "".join(f"thickness,1,0,{a:g},{v:g},as found,,1\n" for a, v in zip(PLACES, values, strict=True))
    return 3 * rows


FOUND = turn("mounted", 1, 80.0, "as found") + thickness()


def quiet(mount, stud=0):
    return 2 * turn("mounted", mount, 25.0, stud=stud)


def decided(*turns):
    return decide(parse(HEAD + "".join(turns)), LIMITS)
