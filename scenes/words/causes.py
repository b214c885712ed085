"""A weighed finding in a technician's words: what was found or cannot be told, shares, thickness, what to expect."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import acts, rocked, to_read_again, words, written
from sim.causes import names
from sim.causes.finding import LEAST_COLUMNS, SURE
from sim.causes.one_act import has_play
from sim.causes.ordered import LIKELIER, LIKELY
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.dial import ABOVE, BELOW

if TYPE_CHECKING:
    from sim.causes.answer import After, Finding, Ranked
    from sim.parts.case import Case

FOUND = "Found: {cause}. Probability that it has the largest share of the runout as found: {odds}; its share: {share}."
LEFT = " Cleaning may have left dirt{where} (probability {odds}), {share} of the last reading."
#: A hub that nobody saw: under a rotor its lean, dirt that stays there and uneven nuts read alike.
NOT_BARE = (
    "not called found before its bare clean face is read: dirt that stayed under the rotor and nuts that pull unevenly "
    "stay with the hub as well."
)
#: A rotor whose seat was cleaned once alone: by its dial dirt there reads as the rotor does.
NOT_SEATED = f"not called found before its seat was cleaned once more and it was read again: {acts.SEAT}."
NOT_PARTED = "not called found before it was read on a second stud: from one the hub reads alike."
LITTLE = 0.15  # a share whose low end is less of its high one is known by its high end alone; judgement
GONE = " The faces were cleaned before the last reading."
#: Two humps are what a warped rotor draws, and dirt on its seat as well.
HUMPS = "Two humps are a hint, no proof: dirt or rust on its seat draws them too; look there before a part is bought."
#: What no cause in the list makes but by coincidence.
HUMPS_STAY = (
    " Humps, two or three a turn, stay with the hub whatever the brush took: an uneven hub face, or something still "
    "between the faces or on the spigot (probability {})."
)
#: Said where the face's own reading orders the hub and the shares of the runout are open.
FACE_OVER = (
    "The hub {is_over} its limit by its bare face's own reading. Whose share of the mounted runout is the largest "
    "cannot be told apart: {told}{rest}; that changes nothing of it."
)
TOO_MANY = 3  # more than that are not worth a sentence
NOT_SAFE = (
    "A pass does not clear the fitting for good: as it wears, a rotor reads less. No reading says that the car is "
    "safe; the vehicle maker's limits stand above it."
)
WEIGHED = (
    "Probabilities rest on the prior assumptions that --json prints (judgement) and on traces computed for this "
    "geometry; shares are 80 % bands, of a cause if it is there at all (–: hardly), and so are the ± of angles."
)
#: While something is to be read again.
STILL_OPEN = "No cause is told, and nothing is blamed, before what is open was read again."
FELL_OFF = " Dirt that lay there was gone or had moved once the rotor was off, nothing cleaned ({odds})"
ON_BOTH = " Dirt {lies} on both faces, hub and rotor ({odds})"
#: How these go on, before anybody cleaned.
CLEAN_BOTH = {False: ": clean both.", True: "."}
#: Nothing that ranks first over such a face may be blamed: the list has hub faces that lean, none of two humps.
WAVY_HUB = (
    "The bare hub face has two humps a turn, which go on to the rotor and look like warp or dirt there: no cause in "
    "the list has them, so nothing is blamed before that face is even."
)


def whole(runout_um: tuple[float, float, float]) -> str:
    r"""Say a band of a runout in whole micrometres: less no dial shows.

    Examples
    --------
    >>> whole((0.03, 0.06, 0.1)), whole((0.4, 5.0, 10.2))
    ('0\xa0µm', '0 to 10\xa0µm')
    """
    low, high = (words.mark(round(end)) for end in (runout_um[0], runout_um[2]))
    return (high if low == high else f"{low} to {high}") + words.GAP + "µm"


def share_of(runout_um: tuple[float, float, float]) -> str:
    r"""Say a share of what was found: a band that begins near nought says how large it may be, not how large it is.

    Examples
    --------
    >>> share_of((0.0, 40.0, 79.0)), share_of((60.0, 70.0, 79.0))
    ('up to 79\xa0µm, how much of it is not known', '60 to 79\xa0µm')
    """
    if runout_um[0] >= LITTLE * runout_um[2]:
        return whole(runout_um)
    return f"up to {words.mark(round(runout_um[2]))}{words.GAP}µm, how much of it is not known"


def read_clean(found: Finding) -> bool:
    """Whether the last reading was taken on clean faces."""
    return found.told.states[-1].state in CLEAN_STATES


def limits(case: Case) -> str:
    """Say the limits that everything here is held against, and whose they are."""
    told = (("mounted runout", "mounted_runout_um"), ("thickness variation", "dtv_um"))
    each = [
        f"{name} {words.micrometres(getattr(case.limits, key))} ({words.limit_from(case, key)})" for name, key in told
    ]
    return f"Limits: {', '.join(each)}; {words.MAKER_RULES}."


def under(case: Case) -> str:
    """Head of a column: how often the runout is under the limit, with its figure."""
    return f"under {words.micrometres(case.limits.mounted_runout_um)}"


def where_now(found: Finding) -> int:
    """Stud pitches from stud 1 to the stud under the painted hole, as it was read last."""
    return found.told.states[-1].positions[-1]


def read_now(found: Finding) -> float:
    """Mounted runout of the rotor as it stands: the middle of its turns. [um TIR]."""
    return found.told.states[-1].read_um[-1] if found.read_um is None else found.read_um


def verdict(found: Finding, why: tuple[str, ...] = ()) -> str:
    """Say what was found, or what cannot be told apart, and what stands against the readings; nobody is blamed unduly.

    Parameters
    ----------
    found : Finding
    why : tuple of str
        What is to be read again, where the readings themselves are in doubt.
    """
    if has_play(found.told):
        return rocked.NOTHING_BLAMED
    lay = "" if found.do == names.READ_AGAIN else where_dirt_lay(found)
    return _blamed(found, why) + lay + written.sentences(found)


def where_dirt_lay(found: Finding) -> str:
    """Say that dirt fell off between mounts, or lay on both faces, where that is likelier than not."""
    if found.none_fits or max(found.fell_off, found.on_both) < LIKELIER:
        return ""
    clean = read_clean(found)
    if found.fell_off >= LIKELIER:
        return FELL_OFF.format(odds=words.chance(found.fell_off)) + CLEAN_BOTH[clean]
    lies = "lay" if clean else "lies"
    return ON_BOTH.format(lies=lies, odds=words.chance(found.on_both)) + CLEAN_BOTH[clean]


def _blamed(found: Finding, why: tuple[str, ...]) -> str:
    if found.none_fits and [*why, *to_read_again.contradictions(found.told)]:
        return "The readings contradict themselves. Nothing is blamed."
    if found.none_fits:
        stays = HUMPS_STAY.format(words.chance(found.something_else)) if found.something_else >= LIKELIER else ""
        return (
            "No cause in the list explains these readings: of corners with such causes fewer than one in twenty reads "
            f"so oddly (tests/studies/causes.md).{stays} Nothing is blamed."
        )
    if found.do == names.READ_AGAIN:
        return STILL_OPEN
    if found.hub_face is not None and found.hub_face.wavy:
        return WAVY_HUB + dirt_left(found)
    if found.finding is not None:
        one = next(one for one in found.ranked if one.cause == found.finding)
        share = share_of(one.if_there_um or one.runout_um)
        gone = GONE if one.cause in names.CLEANED_OFF and read_clean(found) else ""
        gone = dirt_left(found) or gone
        return (
            FOUND.format(cause=one.cause, odds=words.chance(one.probability), share=share) + _where(one, found) + gone
        )
    odds = {one.cause: one.probability for one in found.ranked}
    told = [f"{cause} ({words.chance(odds[cause])})" for cause in found.cannot_tell[:TOO_MANY]]
    more = len(found.cannot_tell) - len(told)
    rest = f" and {more} more" if more > 0 else ""
    if len(found.cannot_tell) == 1:
        return _not_found(found.cannot_tell[0], odds[found.cannot_tell[0]], found) + dirt_left(found)
    if found.do == names.HUB_AND_BEARING and found.hub_face is not None and found.hub_face.state != BELOW:
        is_over = "is over" if found.hub_face.state == ABOVE and not found.hub_face.counted else "counts as over"
        return FACE_OVER.format(is_over=is_over, told=", ".join(told), rest=rest) + dirt_left(found)
    return f"Cannot tell apart: {', '.join(told)}{rest}. None of them is blamed." + dirt_left(found)


def dirt_left(found: Finding) -> str:
    """Say that cleaning may have left dirt, and where; nothing where that is not likely."""
    left = found.dirt_left
    if left is None or not left.counts:
        return ""
    where = "" if left.stud is None else f" near stud {left.stud}"
    where = " (scale on the spigot)" if left.on_spigot > 0.5 else where
    return LEFT.format(where=where, odds=words.chance(left.probability), share=share_of(left.runout_um))


def _not_found(cause: str, odds: float, found: Finding) -> str:
    """Say what is likeliest and why it is not called found: too few traces near, a slip, or short of sure."""
    if found.more_than_read or sum(one.probability for one in found.otherwise) >= LIKELY:
        return f"Most likely {cause}, as the readings are written; not called found before that is checked."
    if found.effective_columns < LEAST_COLUMNS:
        return (
            f"Most likely {cause}; not called found: only about {found.effective_columns:.0f} of the patches computed "
            f"on this hub draw such traces, too few to say how sure ({LEAST_COLUMNS:.0f} are wanted)."
        )
    if odds >= SURE and cause == names.HUB_FACE and found.hub_face is None:
        return f"Most likely {cause} ({words.chance(odds)}); {NOT_BARE}"
    if odds >= SURE and cause in (names.ROTOR, names.WARP) and not (found.told.again and found.told.parted):
        why_not = NOT_SEATED if found.told.again is None else NOT_PARTED
        return f"Most likely {cause} ({words.chance(odds)}); {why_not}"
    if odds >= SURE:
        return f"Most likely {cause}; not called found: the readings fit it less well than such readings do."
    sure = words.percent(SURE)
    if words.chance(odds) == sure:
        return f"Most likely {cause} (just under the {sure} that are wanted to call it found)."
    return f"Most likely {cause} ({words.chance(odds)}; {sure} is wanted to call it found)."


def stays_on(found: Finding) -> bool:
    """Whether the rotor is left on as it reads, clean: see `acts.stays_on`."""
    done, at_limit = found.do == names.LEAVE, found.do == names.AT_LIMIT
    return read_clean(found) and acts.stays_on(done, at_limit, found.turns, read_now(found), found.limit_um)


def _where(one: Ranked, found: Finding) -> str:
    """Where the high spot stands, with the nearest stud."""
    if one.high_spot_deg is None:
        return ""
    half = "" if one.high_spot_half_deg is None else f" ± {one.high_spot_half_deg:.0f}°"
    if one.cause == names.WARP:
        return f" One of its two high spots at {one.high_spot_deg:.0f}°{half} from the painted hole. {HUMPS}"
    if one.frame != "hub":
        return f" High spot at {one.high_spot_deg:.0f}°{half} from the painted hole."
    where = words.by_stud(one.high_spot_deg, found.told.studs)
    return f" High spot at {one.high_spot_deg:.0f}°{half} on the hub, {where}."


def ranked_rows(found: Finding, most: int = 5) -> list[tuple[str, str, str, str]]:
    """Rows of causes: name, probability of the largest share, what it runs out if it is there, high spot.

    None where no cause fits, on a bearing with play, or while a reading that they rest on is in doubt.
    """
    rows: list[tuple[str, str, str, str]] = []
    if found.none_fits or has_play(found.told) or found.do == names.READ_AGAIN:
        return rows
    for one in found.ranked[:most]:
        spot = "–" if one.high_spot_deg is None else words.degrees(one.high_spot_deg)
        if one.high_spot_deg is not None and one.high_spot_half_deg is not None:
            spot = f"{spot} ± {one.high_spot_half_deg:.0f}° ({one.frame})"
        share = "–" if one.if_there_um is None else whole(one.if_there_um)
        rows.append((one.cause, words.chance(one.probability), share, spot))
    return rows


def after_rows(found: Finding) -> list[tuple[str, str, str]]:
    """Rows of what if: what is done, runout then, how often that is within the limit.

    None where no cause fits, a reading is to be taken again, or nothing more is read: no chance is told in doubt. Nor
    of an end by turns that show play.
    """
    if read_clean(found) and rocked.ends_so(found.told, found.do):
        return []
    if found.none_fits or found.do in (names.READ_AGAIN, names.OPEN, names.SCATTERS, names.GAUGE):
        return []
    return [(_after(one, found), whole(one.runout_um), words.chance(one.below))
            for one in found.after]  # fmt: skip


def _after(one: After, found: Finding) -> str:
    """What is done; beside what stands there now what the dial showed, which its steps may put outside the band."""
    if one.what == "as it is":
        between_um = found.told.states[-1].now.between_um
        shown = words.micrometres(read_now(found) - between_um)
        return f"as it is (the dial: {shown}{f' and {words.micrometres(between_um)} between' if between_um else ''})"
    if one.studs_turned is None:
        return one.what
    # Which stud, what is read clean says: named before, it is withdrawn then.
    stud = f"stud {one.studs_turned + 1}" if read_clean(found) or "indexed" not in one.what else "its best stud"
    return f"{one.what}, on {stud}"
