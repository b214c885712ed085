"""What its thickness orders of a rotor at a weighed corner: near its stamp, scrap, uneven; whether it goes by that."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import uneven_rotor
from scenes.words.causes import stays_on
from sim import turn
from sim.bench import cut_on_car
from sim.bench.judged_thickness import thinnest_half_mm
from sim.causes import names, one_act
from sim.parts.dial import ABOVE
from sim.parts.discard import discard_words, is_slim, is_stated, not_told, scrap_or_else, scrap_words, thinnest_words

if TYPE_CHECKING:
    from sim.causes.answer import Finding
    from sim.files.dial_readings import Readings
    from sim.parts.case import Case


def thickness(found: Finding) -> str:
    """Say how the thickness varies beside its limit; empty where nobody read it."""
    told = (names.MEASURE + names.FINER_MICROMETER, names.UNEVEN_COUNTED, names.GAUGE)
    ordered = found.do in told or stays_on(found)
    return uneven_rotor.beside_limit(found.varies, ordered=ordered)


def discard(found: Finding, read: Readings, case: Case) -> str:
    """Say how the rotor stands against its discard thickness; empty where nobody read it or the action says it."""
    least, half = _thinnest_mm(read), thinnest_half_mm(read, case.limits)
    if least is None and read.thinnest_mm is not None:  # a place in doubt must not hide the stamp from the others
        return f"Thickness as read, one place to be read again: {discard_words(case, read.thinnest_mm, half)}."
    told = least is None or is_slim(case, least)
    return "" if told else f"Thickness: {discard_words(case, least, half)}."


def no_cut(read: Readings, case: Case) -> str:
    """Say that no cut keeps the maker's least thickness; empty where one may, or that is not known."""
    thick = read.thickness
    return "" if thick is None else cut_on_car.no_cut(case, _thinnest_mm(read), turn.tir(thick.value_um))


def too_thin(read: Readings, case: Case) -> str:
    """Say that a rotor is so near its discard thickness that nothing is left to wear; empty where it is not."""
    least = _condemns_mm(read, case)
    if not is_slim(case, least):
        return ""
    half = thinnest_half_mm(read, case.limits)
    return scrap_or_else(case, least) or not_told(case, least, half) or discard_words(case, least, half)


def is_scrap(read: Readings, case: Case) -> bool:
    """Whether its own stamp, which the case file holds, makes it scrap, or it counts so."""
    least, half = _condemns_mm(read, case), thinnest_half_mm(read, case.limits)
    return is_stated(case) and bool(scrap_words(case, least) or not_told(case, least, half))


def thinnest(read: Readings, case: Case) -> str:
    """The thinnest place that was read, with its uncertainty; empty where it is still to be read."""
    least = _thinnest_mm(read)
    return "" if least is None else thinnest_words(least, thinnest_half_mm(read, case.limits))


def _thinnest_mm(read: Readings) -> float | None:
    """Thinnest place, where none is doubted; of turns that differ the thinner. [mm]."""
    return None if read.thickness_in_doubt else read.thinnest_mm


def _condemns_mm(read: Readings, case: Case) -> float | None:
    """The same where it may lead: turns that differ are read again first, unless each of them is under the stamp."""
    least, by_every_turn = _thinnest_mm(read), read.thinnest_by_every_turn_mm
    if least is None or by_every_turn is None or by_every_turn == least:
        return least
    return least if by_every_turn <= case.rotor.minimum_thickness_mm else None


def goes_uneven(found: Finding) -> bool:
    """Whether the rotor goes by how its thickness varies, or counts as if it did, whatever the hub is."""
    return found.varies is not None and (found.varies.state == ABOVE or found.varies.counts_over)


def goes_by_stamp(found: Finding, thin: str, stated: bool) -> bool:
    """Whether a stamp that the case file holds renews the rotor whatever it runs out; a hub that goes leads."""
    return bool(thin) and stated and found.do != names.HUB_AND_BEARING and not one_act.has_play(found.told)


def goes_by_thickness(found: Finding, read: Readings, case: Case) -> bool:
    """Whether the rotor goes by its thickness, uneven or thin: no reading of it tells more."""
    uneven = found.do == names.RENEW and found.varies is not None and found.varies.state == ABOVE
    by_stamp = goes_by_stamp(found, too_thin(read, case), is_stated(case))
    return uneven or found.do == names.UNEVEN_COUNTED or by_stamp or is_scrap(read, case)
