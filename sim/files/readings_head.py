"""The head of a readings file: which way angles count and dials show more, radii and studs; held against a case."""

from __future__ import annotations

from difflib import get_close_matches

from sim.files.feeler import ROW
from sim.files.readings_rows import OPTIONAL, REQUIRED, STEP_UM, UNITS, Sheet
from sim.files.table_text import plain_number
from sim.units import printable

# Half of the widest rotor of a car or van is 220 mm, of the widest hub face 95 mm; from memory. More is a diameter.
HEADS = {"studs": (3, 8), "gauge_radius_mm": (40, 220), "hub_face_radius_mm": (20, 95), "dial_um": STEP_UM}
CLOCKWISE, COUNTER = "clockwise", "counter-clockwise"
#: Other words for the same: a near miss of one sense must never be taken for the other.
SENSES = {"anticlockwise": COUNTER, "counterclockwise": COUNTER, "ccw": COUNTER, "cw": CLOCKWISE}
TOWARDS, AWAY = "+ towards", "+ away"
#: What was felt when the hub was rocked because of readings, or found of its bearing under load.
NO_PLAY, UNDER_LOAD, WITH_PLAY = "no play", "no play under load", "play"
#: Nothing that its bearing does makes turns part, by hand or beyond doubt.
WITHOUT_PLAY = (NO_PLAY, UNDER_LOAD)
WORDS = {"turned": (COUNTER, CLOCKWISE), "dial": (TOWARDS, AWAY), "bearing": (*WITHOUT_PLAY, WITH_PLAY)}
#: Heads of older tables: one word for all turns, those of the next week too.
SAID_OF_A_TURN = ("needle", "unit")
REMARK = "remark"
#: Readings that tell a turn, at least.
FEWEST = 6
# The dial stands at least this much further out on the rotor than on the hub face, and at most that. Judgement.
RADII = (1.15, 4.0)
# Readings this far off the radius of the case's dial are still taken as read there: a first order errs by 4 %. [mm]
RADIUS_SLACK_MM = 5.0


def lines_below(text: str, sheet: Sheet) -> list[tuple[int, str]]:
    """Take the header comments out; return the other lines with their numbers.

    Parameters
    ----------
    text : str
        Of the file.
    sheet : Sheet
        Its heads, words and faults grow.
    """
    rest = []
    said: dict[str, float] = {}
    for number, line in enumerate(text.splitlines(), 1):
        bare = line.strip().rstrip(",;").strip()
        if not bare.startswith("#"):
            if bare:
                rest.append((number, line))
            continue
        key, colon, value = (part.strip() for part in bare.lstrip("# ").partition(":"))
        key = key.lower()
        _no_colon(number, bare, sheet)
        if not colon or (key in (REMARK, *REQUIRED, *OPTIONAL, *UNITS) and key not in HEADS):
            continue  # a remark, or what a column means
        if key in WORDS:
            _head_word(number, key, value, sheet)
            continue
        if key in SAID_OF_A_TURN:
            sheet.fault(number, key, "a line of the head speaks for no turn", f"beside each turn that is asked: {ROW}")
            continue
        if key == "sweep":
            sheet.fault(
                number, key, "these are high and low spots only, as chalked", f"{FEWEST} readings or more a turn"
            )
            continue
        if key not in HEADS:
            _unknown_head(number, key, sheet)
            continue
        found = plain_number(value)
        low, high = HEADS[key]
        whole = key != "studs" or (found is not None and found == int(found))
        if found is None or not low <= found <= high or not whole:
            half = found is not None and key.endswith("radius_mm") and low <= found / 2 <= high
            about = "; is it the diameter?" if half else ""
            reason = f"{printable(value, 40)!r} is out of range or no number{about}"
            sheet.fault(number, key, reason, f"{low:g} .. {high:g}")
        elif said.setdefault(key, found) != found:
            sheet.fault(number, key, f"{found:g} here, but {said[key]:g} further up", "one of the two")
        else:
            sheet.heads[key] = found
    return rest


def _no_colon(line: int, bare: str, sheet: Sheet) -> None:
    """Refuse a header that is one of a few words and lacks its colon: as a remark it would count for nothing."""
    key, _, value = bare.lstrip("# ").lower().partition(" ")
    word = " ".join(value.split())
    if SENSES.get(word.replace("-", "").replace(" ", ""), word) in WORDS.get(key, ()):
        sheet.fault(line, key, "the colon is missing: as a remark it counts for nothing", f"'# {key}: {word}'")


def _head_word(line: int, key: str, value: str, sheet: Sheet) -> None:
    """Take a header that is one of a few words."""
    word = " ".join(value.lower().split())
    word = SENSES.get(word.replace("-", "").replace(" ", ""), word)
    if word not in WORDS[key]:
        near = get_close_matches(word, WORDS[key], 1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        sheet.fault(line, key, f"{printable(value, 40)!r} is not known{hint}", " | ".join(WORDS[key]))
    elif sheet.words.setdefault(key, word) != word:
        sheet.fault(line, key, f"{word!r} here, but {sheet.words[key]!r} further up", "one of the two")


def _unknown_head(line: int, key: str, sheet: Sheet) -> None:
    """Refuse a key that does not exist; a sentence with a colon in it is a remark."""
    known = (*HEADS, *WORDS)
    one_word = key.replace(" ", "_")
    near = get_close_matches(one_word, known, 1, 0.75 if " " in key else 0.5)
    if " " in key and not near:
        return
    hint = f"; did you mean {near[0]}?" if near else ""
    allowed = f"{', '.join(known)}; a remark begins with '# {REMARK}:' or has no colon"
    sheet.fault(line, printable(key, 40), f"unknown header{hint}", allowed)


def against_case(known: dict[str, float], sheet: Sheet) -> None:
    """Hold what the file says of itself against the case that it is read for. [mm].

    Parameters
    ----------
    known : dict of str to float
        What the case states, by header.
    sheet : Sheet
        Its faults grow; bounds of a case stand in it. By definition.
    """
    for key, slack in (("studs", 0.0), ("gauge_radius_mm", RADIUS_SLACK_MM), ("hub_face_radius_mm", RADIUS_SLACK_MM)):
        if key in known and abs(sheet.heads[key] - known[key]) > slack:
            reason = f"{sheet.heads[key]:g} in these readings, but {known[key]:g} in the case"
            sheet.fault(0, key, reason, "readings of this corner")
    for key, (low, high) in sheet.bounds.items():
        said = sheet.heads.get(key)
        if said is None or low <= said <= high:
            continue
        about = "; is it the diameter?" if key != "studs" and low <= said / 2 <= high else ""
        allowed = f"{low:g}" if low == high else f"{low:g} .. {high:g}, from the case"
        sheet.fault(0, key, f"{said:g} does not lie on this corner{about}", allowed)
    gauge, at_hub = sheet.heads.get("gauge_radius_mm"), sheet.heads.get("hub_face_radius_mm")
    if gauge is not None and at_hub is not None and not RADII[0] <= gauge / at_hub <= RADII[1]:
        reason = f"the dial at {gauge:g} mm on the rotor and at {at_hub:g} mm on the hub face: is one a diameter?"
        sheet.fault(0, "gauge_radius_mm, hub_face_radius_mm", reason, f"{RADII[0]:g} .. {RADII[1]:g} times as far out")
