"""What the state on the spigot is, in the trade's words: one source for picture, film, table, page one and appendix."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from scenes.words import words
from sim.parts.materials import CRUSHED_MPA, tensile_strength_mpa
from sim.parts.spigot_room import hindrance, uncentred

if TYPE_CHECKING:
    from sim.parts.case import Case

MM_FROM_UM = 1000.0  # from here on a distance is told in millimetres: nobody reads 2 325 µm off a gap
TAKE_OFF = "Take it off and clean it; never draw it home with the nuts."
NOT_BY_NUTS = "It must not be drawn home by the nuts: that is damage, not a method."
FATIGUE = "A static criterion: fatigue is not covered."
# Notes of the state that the lines above the table, the steps and the cautions say already.
SAID_ABOVE = (
    "take the rotor off",
    "it must not be drawn home",
    "the vehicle maker's instructions",
)
ON_IT = "There is scale on the spigot: clean it; it takes the room on its side, and the rotor sits off centre."
#: Of scale that by geometry alone has a say in the seating, whatever its nuts pull.
OFF_WITH_IT = (
    "The spigot first: {why}; the rotor jams off the hub face, or nuts drew it home over it, which is damage. Rotor "
    "off by hand, jacking threads or a puller; spigot and bore clean, down into the root; look for cracks at bore, "
    "holes and hat: cracked is scrap. Never draw it home with the nuts."
)
NO_ROAD = "No road is forecast: nobody drives so."


def wrong(state: Mapping[str, Any] | None) -> bool:
    """Whether the state is one to take the rotor off for: not home, or drawn home over scale."""
    return state is not None and (state["home"] != "home" or bool(state["wedged"]))


def scale_first(case: Case) -> str:
    """Say that scale on the spigot, as given, comes off before all else; empty where none is."""
    if not case.spigot_scale:
        return ""
    why = hindrance(case)
    return OFF_WITH_IT.format(why=why) if why else ON_IT


def part_first(case: Any) -> str:
    """Say that nothing centres the rotor as given; empty where its spigot does."""
    part = uncentred(case)
    return f"The part first: {part}." if part else ""


def off_the_face(state: Mapping[str, Any] | None) -> bool:
    """Whether the faces do not meet: what is said of the contact of a rotor that is home is not of this one."""
    return state is not None and state["home"] != "home"


def worst_hoop_mpa(state: Mapping[str, Any]) -> float:
    """Hoop stress at the bore, of the wedge alone or of all loads: the larger, as the warning of a crack has it.

    [MPa]. By definition; a run of an earlier version knows the wedge's alone.
    """
    wedge = float(state["hoop_stress_mpa"])
    return max(wedge, float(state.get("total_hoop_stress_mpa") or wedge))


def distance(low_um: float, high_um: float | None = None) -> str:
    r"""Write a gap or its range, in mm from a millimetre on.

    Examples
    --------
    >>> distance(2325.3, 3906.7), distance(41.0, 52.4), distance(2062.0)
    ('2.3 to 3.9\xa0mm', '41 to 52\xa0µm', '2.1\xa0mm')
    """
    high = low_um if high_um is None else high_um
    if high >= MM_FROM_UM:
        return words.span(low_um / 1000.0, high / 1000.0, "mm", 2)
    return words.span(low_um, high, "µm", 2)


def nuts(torque_nm: Any) -> str:
    """Torque of every nut that forces the rotor home, over friction; ``None`` at an end where the bore binds."""
    low, high = torque_nm
    if high is None:
        return "it binds" if low is None else f"{words.with_unit(low, 'N m')}, or it binds"
    return words.span(low, high, "N m", 2)


def title(state: Mapping[str, Any], case: Any) -> str:
    """What the state is, with its figure, short enough to stand over a picture."""
    if state["home"] == "home" and state["wedged"]:
        stress, strength = worst_hoop_mpa(state), tensile_strength_mpa(case.rotor)
        at = "the bore" if stress > strength else "at the bore"
        return f"Drawn home over scale: damage; {at} {strained(stress, strength)}"
    if state["home"] == "home":
        return f"Off centre: radial runout {distance(*state['radial_runout_um'])}; it adds no lateral runout"
    return f"Not home: take it off, clean it. It stands off {distance(*state['stand_off_um'])}"


def plain(run: Any) -> tuple[str, ...]:
    """One or two lines for page one; empty where nothing is known of the spigot.

    Parameters
    ----------
    run : Run

    Returns
    -------
    tuple of str
        What it is; then what to do, or what follows.
    """
    state = run.spigot
    if state is None:
        return ()
    home, wedged = state["home"], state["wedged"]
    if home == "home" and not wedged:
        aside = (
            f"Home on the hub, free on its spigot: radial runout {distance(*state['radial_runout_um'])}, depending on"
        )
        first = f"{aside} where it sits within its play of {play(state)}; that makes no lateral runout."
        if not run.case.spigot_scale:
            return (first,)
        dirty = ON_IT
        if state["free_play_um"] < TIGHT_UM:
            dirty += (
                f" Only {play(state)} of play is left: scale a hair thicker than written holds the rotor or cracks it."
            )
        return first, dirty
    if home == "home":
        stress, strength = worst_hoop_mpa(state), tensile_strength_mpa(run.case.rotor)
        breaks = f"of {_strength(run.case)} at which this iron breaks"
        told = f"The stress at the bore reaches {strained(stress, strength)}, {breaks}."
        if stress > strength:
            told = f"The bore {strained(stress, strength)}, as an elastic bore is computed."
        first = f"Damage: the nuts drew it home over scale on the spigot. {told} {FATIGUE}"
        return first, "Take it off, clean spigot and bore, look for cracks at bore, holes and hat: cracked is scrap."
    off = distance(*state["stand_off_um"])
    lean = f" and leans {distance(*state['lateral_range_um'])} at the dial" if state["lean_um"] > 0 else ""
    by = "jammed on scale on the spigot" if home == "jammed" else "held off by scale in the root of the spigot"
    return f"Not home: {by}. It stands {off} off the hub face{lean}. {TAKE_OFF}", NO_ROAD


#: Less play than this is no play for scale, whose thickness nobody knows better. Judgement, 10 .. 30 µm.
TIGHT_UM = 20.0


def play(state: Mapping[str, Any]) -> str:
    """Free play from stop to stop; a range where a fit stands for the diameters."""
    given = state.get("free_play_range_um")
    return distance(*given) if given else words.micrometres(state["free_play_um"])


def strained(stress_mpa: float, strength_mpa: float) -> str:
    r"""Say a stress of the elastic solution; past the strength it is no stress any more, the iron cracks.

    Examples
    --------
    >>> strained(120.0, 250.0), strained(348.0, 250.0)
    ('120\xa0MPa', 'cracks: 1.4 times its strength')
    """
    if stress_mpa <= strength_mpa:
        return words.with_unit(stress_mpa, "MPa", 3)
    return f"cracks: {stress_mpa / strength_mpa:.1f} times its strength"


def pressed(pressure_mpa: float) -> str:
    r"""Say a pressure on iron; past what iron bears it is no pressure any more.

    Examples
    --------
    >>> pressed(126.0), pressed(1001.0)
    ('126\xa0MPa', 'crushed or scored: 1.2 times what iron bears')
    """
    if pressure_mpa <= CRUSHED_MPA:
        return words.with_unit(pressure_mpa, "MPa", 3)
    return f"crushed or scored: {pressure_mpa / CRUSHED_MPA:.1f} times what iron bears"


def _strength(case: Any) -> str:
    return words.with_unit(tensile_strength_mpa(case.rotor), "MPa", 3)


def rows(run: Any, engineer: bool = False) -> list[tuple[str, str, str]]:
    """Everything that is known of the state: what, the figure, a note.

    Parameters
    ----------
    run : Run
        With a state on the spigot.
    engineer : bool
        Add the torques that would force it home, which a technician may take for an instruction.

    Returns
    -------
    list of tuple of str
    """
    state, case = run.spigot, run.case
    over = "home, drawn over the scale" if state["wedged"] and state["home"] == "home" else state["home"]
    told = [("the rotor is", over, "")]
    if "fit" in state:
        fit = state["fit"]
        tightest, loosest = fit["clearance_um"]
        note = f"{fit['name']} at {fit['nominal_mm']:g} mm; computed with its middle, {fit['taken_um']:g} µm"
        told.append(("clearance of the fit", words.span(tightest, loosest, "µm"), note))
    if state["stand_off_um"][1] > 0:
        told += _off_the_face(state)
    worst = max(state["checks"].values(), default=0.0)
    proof = ("proof", f"{worst:.0e}", "worst of balance and contact, relative")
    told.append(("radial runout", distance(*state["radial_runout_um"]), "of the rim about the spigot's axis"))
    if not state["wedged"]:
        hung = f"hung on the spigot while tightened: {distance(*state['hung_radial_runout_um'])}; no lateral runout"
        return [*told, ("free play", play(state), hung), proof]
    return [*told, *_wedged(state, case), *(_forces_home(state, case) if engineer else []), proof]


def _off_the_face(state: Mapping[str, Any]) -> list[tuple[str, str, str]]:
    by_hand = f"where two hands leave it: {distance(*state['hand_stand_off_um'])}"
    rows = [("stands off the hub face", distance(*state["stand_off_um"]), f"middle of the mounting face; {by_hand}")]
    if state["lean_um"] > 0:
        span = distance(*state["lateral_range_um"])
        note = f"low side at {words.degrees(state['low_side_deg'])} on the hub; over what friction allows {span}"
        rows.append(("lean at the dial", distance(state["lean_um"]), note))
    return rows


def _wedged(state: Mapping[str, Any], case: Any) -> list[tuple[str, str, str]]:
    strength = _strength(case)
    rows = [
        ("pressure on the bore", pressed(state["bore_pressure_mpa"]), "highest; scale taken as hard"),
        (
            "hoop stress at the bore",
            strained(state["hoop_stress_mpa"], tensile_strength_mpa(case.rotor)),
            f"from the wedge alone; by all loads {strained(worst_hoop_mpa(state), tensile_strength_mpa(case.rotor))}, "
            f"which leads; warned of from half of {strength}, the iron's tensile strength: static, fatigue is not "
            "covered",
        ),
        (
            "stress by the hat's corner",
            strained(state["hat_corner_stress_mpa"], tensile_strength_mpa(case.rotor)),
            "all loads, principal",
        ),
    ]
    if state["home"] == "home" and state.get("lateral_range_um"):
        rows.append(("lateral runout, drawn home", distance(*state["lateral_range_um"]), "over what friction locks in"))
    if state["bore_stretch_um"][0] > 0:
        rows.append(
            ("the bore gave way by", distance(*sorted(state["bore_stretch_um"])), "mean, hub side and outboard")
        )
    return rows


def _forces_home(state: Mapping[str, Any], case: Any) -> list[tuple[str, str, str]]:
    rows = []
    forced = nuts(state["torque_to_force_home_nm"])
    low, high = state["bore_friction_range"]
    friction = f"every nut, evenly, friction {low:g} to {high:g}: damage, no method"
    rows.append(("would be forced home at", forced, friction))
    for nut in state["one_nut_first"]:
        bore = strained(nut["hoop_mpa"], tensile_strength_mpa(case.rotor))
        note = f"askew, runs out {distance(nut['lean_um'])} over a turn, damage; the bore: {bore}"
        drawn = "binds" if nut["torque_nm"] is None else words.with_unit(nut["torque_nm"], "N m")
        rows.append((f"nut {nut['stud']} run up first", drawn, note))
    return rows


def notes(state: Mapping[str, Any]) -> list[str]:
    """Sentences that belong to the state: the warning of a crack first."""
    warned = [state["crack_warning"]] if state["crack_warning"] else []
    new = [note for note in state["notes"] if not note.startswith(SAID_ABOVE)]
    every = [words.clean(note, 400) for note in (*warned, *new)]
    return [words.capital(note) + ("" if note.endswith(".") else ".") for note in every]
