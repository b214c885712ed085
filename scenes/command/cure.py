"""What the commands ``index`` and ``face`` say: tables for the terminal, the next thing to do."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from rich.box import SIMPLE_HEAD
from rich.console import Group
from rich.table import Table
from rich.text import Text

from scenes.command import no_studs, tables_causes
from scenes.command.tables import leading, marked, order_first
from scenes.words import acts, causes_first, cautions, left_on, stated_work, what_leads, with_play, words
from scenes.words.what_leads import Beside
from sim import answers
from sim.advice import with_stated
from sim.bench import studs_withheld
from sim.bench.after_indexing import Band
from sim.bench.cures import READ_AGAIN, READ_IT, second_best
from sim.causes import names
from sim.causes.answer import told as told_by
from sim.files import as_counted
from sim.files.readings_rows import CLEAN_STATES
from sim.files.seated_home import ask_home
from sim.parts.dial import span_against_limit
from sim.parts.stuck_caliper import stuck
from sim.parts.thickness import NO_MORE, UNEVEN_NEITHER
from sim.parts.worn_pads import worn_out

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

    from rich.console import RenderableType

    from scenes.words.cautions import Caution
    from sim.advice import Advice
    from sim.bench.cures import Cure
    from sim.causes.decision import Decision
    from sim.corner.face_map import FaceMap
    from sim.parts.case import Case

SAYS_IT = (READ_AGAIN, "check the part", "see to the bearing")  # their own sentence begins with what is done
#: Of a corner that is over its limit on every stud.
NOWHERE = (
    "no stud brings it under its limit of {limit}, the best, stud {best}, should read {reads} (80 % band {low} to "
    "{high}), a stopgap at most"
)
#: Beside a rotor that comes off for what is ordered.
ROTOR_OFF = ("hang the caliper", "no compressed air", "cracked is scrap", "pump the pedal")
#: The same beside one that is left on once a micrometer read it: wheel and caliper come off for that.
MEASURED_FIRST = tuple(key for key in ROTOR_OFF if key != "cracked is scrap")
APART_UM = 1.0  # less than that no dial shows
PARTS = ("replace the rotor", "shim", "cut")  # what costs a part or metal
WAITS = (
    "Everything else waits for that reading: no part, shim or cut is weighed on a dirty corner. Still over the limit, "
    "clean: ask again with what was read then."
)
NO_BETTER = "no stud is told to be better than where it sits"
NOT_DONE = "Leave it on for now: this is not done."
THICKNESS_AT_LIMIT = "Its thickness is too close to its limit to tell: {again}."
THICKNESS_STAYS = f" Its thickness is at its limit, and {NO_MORE}: {UNEVEN_NEITHER}."
#: Of a computed figure too close to its limit, as the fitting sheet has it.
COMPUTED_NEAR = (
    "Computed, it is too close to the limit to tell, and nothing was read: clean both faces, put it back where it is "
    "and read it, two turns, and its thickness by micrometer."
)
SEAT_FIRST = " Before a rotor is bought for its runout both faces are cleaned once more and it is read again."
NO_CUT = "No cut on the car is offered"
BAND_KEYS = ("low_um", "middle_um", "high_um")
MIDDLE_FIRST = ("middle_um", "low_um", "high_um")
CANCELS = (
    "As found hub, rotor and dirt may cancel: cleaned it may read more, and the other studs' figures hold only for the "
    "dirt as it lies."
)
#: Under the stud positions: two shares that cancel are read as what scatters, and no runout is less than nought.
OVER_THE_SUM = (
    "Should read: the middle of what a dial then shows. Putting it on anew and the dial scatter, which makes a small "
    "runout larger: it stands over the sum of the two shares."
)
#: Behind what is ordered: what the stud of the list should read, which the lead's own sentence does not know.
SHOULD_READ = " {counted}t should then read {expected} (80 % band {low} to {high})."
#: Beside a figure of the vectors alone.
COUNTED_IN = "With another mounting and the dial's own scatter counted in i"
LATER = " If it then reads the same: {face}{place}."
#: In it, of a bare face near its limit: which stud is best rests on its one turn or two.
FACE_READ_ON = "the bare hub face, near its limit, is read on first, and where its turns still say so "
TRY = "Whether it gains these readings do not tell"
#: The same of a corner that was cleaned and is to be cleaned once more.
STILL_CANCELS = "What cleaning left may cancel too: the other studs' figures hold only for it as it lies."
VERDICT = {
    "worth it": "Indexing gains more than its uncertainty",
    "too close to tell": "Indexing gains less than its uncertainty",
    "no gain": "No position gains",
}


def instruction(advice: Advice) -> str:
    """Say in one sentence what to do with the rotor; nobody can turn the wrong way.

    Of two tables it is the sentence of `causes`, with what the dial should read on the stud that it orders.
    """
    if advice.decided is not None:
        home = ask_home(advice.answer["now_um"])
        first = f"{words.capital(home)}, before any of this. " if home else ""
        return first + ordered(advice.decided) + _on_that_stud(advice, advice.decided)
    first = advice.cures[0].name if advice.cures else ""
    if first == READ_AGAIN:
        return f"{words.capital(advice.cures[0].why)}."
    unread = "" if _stays(advice) or _thickness_read(advice) else f" {acts.UNREAD_OFF}"
    return _goes(advice) or _move(advice, first) + unread


def _stays(advice: Advice) -> bool:
    """Whether nothing is taken off for what is ordered."""
    return bool(advice.cures) and advice.cures[0].name == "leave it on"


def _thickness_read(advice: Advice) -> bool:
    """Whether a micrometer read its thickness, against the discard thickness too."""
    return any(note.startswith("Thickness") and "NOT checked" not in note for note in advice.notes)


def stated(advice: Advice, case: Case | None, hub_read: bool) -> Beside:
    """What a case states that the instruction does not say itself, around what that is of, in the order of work."""
    decided = advice.decided
    if case is None:
        return Beside()
    if decided is not None and decided.found is not None:
        return causes_first.stated(decided.found, decided.read, case)
    told = what_leads.of_case(case, advice.answer["now_um"]).but(*(["hub"] if hub_read else []))
    instructed = instruction(advice).lower()

    def is_said(line: str) -> bool:
        return bool(line) and line.partition(":")[0].lower() in instructed

    held = next((name for name in what_leads.HELD[1:] if is_said(getattr(told, name))), "")
    if _goes(advice) and not held:
        told = told.but("rotor")
    around = told.but("scale").around(held)
    before, behind = (tuple(line for line in lines if not is_said(line)) for lines in (around.before, around.behind))
    return Beside((*filter(None, (told.scale,)), *before), behind)  # scale is off before any nut is touched


def ordered(decided: Decision) -> str:
    """Say what a table of readings orders: the first sentence of `causes` and of `index` alike."""
    read = decided.read
    if decided.found is not None and decided.case is not None:
        return tables_causes.lead(decided.found, read, decided.case)
    return left_on.ordered(decided)


def record(advice: Advice) -> dict[str, Any]:
    """What ``index --json`` answers; beside a case the act is named as `causes` names it, with what was weighed."""
    return _record(advice) | studs_withheld.withheld(no_studs.why(advice))


def _record(advice: Advice) -> dict[str, Any]:
    decided = advice.decided
    if decided is None or decided.found is None or decided.case is None:
        return advice.answer
    weighed = answers.plain(told_by(decided.found))
    causes = {**advice.answer["causes"], **{key: value for key, value in weighed.items() if key != "fitted"}}
    return advice.answer | causes_first.by_machine(decided) | {"causes": causes}


def _on_that_stud(advice: Advice, decided: Decision) -> str:
    """Say what it should read on the stud that is ordered, or will be; empty where none is."""
    if not advice.ordered or decided.back:
        return ""
    band, best = advice.answer["should_then_read_um"], advice.result.best
    low, high = (words.micrometres(band[key]) for key in ("low", "high"))
    face = FACE_READ_ON if names.MEASURE + names.BARE_HUB in decided.steps else ""
    place = f"painted hole on {acts.on_stud(best)}"
    later = "" if decided.steps[0] == names.INDEX else LATER.format(face=face, place=place)
    counted = COUNTED_IN if decided.found is None and decided.act.expected_um is not None else "I"
    reads = SHOULD_READ.format(counted=counted, expected=words.micrometres(band["expected"]), low=low, high=high)
    return f"{later}{reads}{_second(advice)}"


def _goes(advice: Advice) -> str:
    """Say that a rotor goes by its thickness; empty where it may stay."""
    goes = advice.answer.get("rotor_goes", "")
    if advice.answer.get("stamp_decides", False):
        return acts.STAMP_DECIDES.format(thin=goes)
    return goes and (
        f"The rotor goes by its thickness, whatever it runs out: {goes}. It is neither moved nor left on; both of the "
        "axle."
    )


def _sticks(advice: Advice) -> bool:
    """Whether the case gives a caliper that sticks."""
    return advice.case is not None and bool(stuck(advice.case))


def _move(advice: Advice, first: str) -> str:
    """Say what its runout orders."""
    if any(cure.name == "hub and bearing" for cure in advice.cures) and not advice.ordered:
        if first == "clean":  # one first step
            return "Clean both faces and read the bare hub again; still over its limit, no stud position cures it."
        return "See to the hub and its bearing first: no stud position cures them."
    if first == "leave it on":
        if again := advice.answer.get("thickness_again", ""):
            return f"{NOT_DONE} {THICKNESS_AT_LIMIT.format(again=again)}"
        unread = "" if _thickness_read(advice) else f" {acts.UNREAD}"
        unread += THICKNESS_STAYS if advice.answer.get("thickness_stays", False) else ""
        freed = ", once the caliper is freed and what ran hot is looked at" if _sticks(advice) else ""
        freed += ", once the pads are renewed" if advice.case is not None and worn_out(advice.case) else ""
        return f"Leave it on{freed}: nothing needs to be done to this corner's runout.{unread} {words.STILL_FELT}"
    band = advice.answer["should_then_read_um"]
    if not advice.ordered:
        if READ_IT in advice.cures[-1].why:
            return COMPUTED_NEAR
        if advice.cures[-1].name == "clean":
            return "Clean, put it back where it is and read again."
        why = "what that gains is less than its uncertainty"
        if advice.worth.verdict == "worth it":
            why = _nowhere(advice)
        elif advice.result.best == advice.now:
            why = NO_BETTER if len(advice.answer["either"]) > 1 else "by reckoning it sits best where it is"
        elif advice.worth.verdict == "no gain":
            why = "no position gains"
        clean = "Clean first and read again. " if first == "clean" else ""
        again = " Read hub face and rotor again before anything is renewed." if advice.cures[-1].again else ""
        by = "by these figures" if advice.result.by_vectors_um else "on these readings"
        seat = SEAT_FIRST if advice.cures[-1].name == "replace the rotor" else ""
        return f"{clean}Do not index it {by}: {why}.{again}{seat}"
    others = [turned for turned in advice.answer["alike"] if turned not in (advice.result.best, advice.now)]
    to = "".join(f" or stud {turned + 1}" for turned in (advice.result.best, *others)).removeprefix(" or ")
    either = f", {'either' if len(others) == 1 else 'any of them'} is as good" if others else ""
    low, high = (words.micrometres(band[key]) for key in ("low", "high"))
    clean = "" if first != "clean" else "Clean first and read again; if it reads the same: "
    return (
        f"{clean}{'t' if clean else 'T'}ake it off and put the hole that sits on stud {advice.now + 1} on {to}{either} "
        f"(studs numbered counter-clockwise, seen from outside). It should then read "
        f"{words.micrometres(band['expected'])} (80 % band {low} to {high})."
    ) + _second(advice)


def _nowhere(advice: Advice) -> str:
    """Say that no stud passes, and what the best one should read."""
    band, best = advice.answer["should_then_read_um"], advice.result.best + 1
    limit, reads = words.micrometres(advice.limit_um), words.micrometres(band["expected"])
    low, high = (words.micrometres(band[key]) for key in ("low", "high"))
    return NOWHERE.format(limit=limit, best=best, reads=reads, low=low, high=high)


def _second(advice: Advice) -> str:
    """Stud positions that may do as well, each with its own figure; empty where there is none."""
    later = [turned for turned in advice.answer["either"] if turned not in (*advice.answer["alike"], advice.now)]
    bands = {band["studs_turned"]: Band(*(band[key] for key in MIDDLE_FIRST)) for band in advice.answer["bands"]}
    return "".join(f" {words.capital(second_best(turned, bands[turned]))}." for turned in later)


def shares_table(advice: Advice) -> Table:
    """Show what is the hub's and what the rotor's: TIR, high spot, uncertainty; and what is in neither share."""
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    higher = advice.answer["higher_orders"]
    for column in ("share of the first order, at the rotor's dial", "runout (TIR)", "high spot, counter-clockwise"):
        table.add_column(column)
    for name, frame in (("hub", "on the hub, from stud 1"), ("rotor", "on the rotor, from the painted hole")):
        one = advice.answer["shares"][name]
        off, half = one["high_spot_uncertainty_deg"], one["uncertainty_um"]
        size = words.micrometres(one["runout_um"]) + (f" ± {words.micrometres(half)} (k = 2)" if half else ", computed")
        about = "" if not half else f" ± {words.degrees(off)}" if off is not None else ""
        where = f"{words.degrees(one['high_spot_deg'])}{about} {frame}"
        if one["runout_um"] < 0.05 or half and off is None:
            where = "less than its uncertainty" if half else "none"
        table.add_row(one.get("holds", name), size, where)
    if higher["material"]:
        # Alone, its highest less lowest may exceed that of the whole trace: orders cancel.
        table.add_row(
            "in neither: two humps a turn and more",
            f"about {words.micrometres(higher['runout_um'])}",
            "warped, or something between the faces",
        )
    return table


def _condition_first(cure: Cure) -> str:
    """Say what has to be true before what it orders: nobody buys a rotor on half a sentence."""
    if cure.name in SAYS_IT:
        return words.capital(cure.why)
    if not cure.conditions:
        return f"{cure.name}: {cure.why}"
    rest = cure.why.removeprefix("; ".join(cure.conditions)).removeprefix("; ")
    return f"{'; '.join(cure.conditions)}: only then {cure.name}" + (f"; {rest}" if rest else "")


def _mark(advice: Advice, studs_turned: int) -> str:
    """What a stud position is by reckoning; empty for one that is told to be worse."""
    alike = advice.answer["alike"]
    if studs_turned in alike:
        return "best" if len(alike) == 1 else "any of these"
    return "not told to be worse" if studs_turned in advice.answer["either"] else ""


def _there(advice: Advice, studs_turned: int) -> int:
    """How many holes the table, or the corner, counts to a stud position."""
    return as_counted.studs_on(studs_turned, advice.turned, advice.result.count)


def advice_table(advice: Advice, behind: Sequence[str] = ()) -> RenderableType:
    """Show stud positions, the instruction, whether it is worth it, and the cures in order."""
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    added = advice.result.by_vectors_um
    for column in ("painted hole on", "holes indexed", "should read", "ends", "against the limit", "by reckoning"):
        table.add_column(column)
    shown = reads(advice)
    hub_first = any(cure.name == "hub and bearing" for cure in advice.cures) and not advice.ordered
    for one in sorted(advice.result.positions, key=lambda at: _there(advice, at.studs_turned)):
        low, middle, high = shown[one.studs_turned]
        state = span_against_limit(low, high, advice.limit_um)
        here = one.studs_turned == advice.now
        read = "computed" if added else "as read"
        figure = f"{words.micrometres(middle)} {read}" if here else words.micrometres(middle)
        spread = f"{words.span(low, high, 'µm', 2)}, {'k = 2' if here else '80 % band'}"
        marks = ["" if hub_first else _mark(advice, one.studs_turned), "now" if here else ""]
        table.add_row(
            f"stud {one.studs_turned + 1}",
            str(_there(advice, one.studs_turned)),
            figure,
            spread,
            state,
            ", ".join(mark for mark in marks if mark),
        )
    played, again = no_studs.plays(advice), bool(no_studs.why(advice))
    lines = [*order_first(instruction(advice)), *leading(behind), *([] if again else [Text(_verdict(advice))])]
    if not again:
        lines.append(Text(OVER_THE_SUM))
    if played:
        lines.append(Text(with_play.NO_ROAD))
    if added and not again:
        apart = max(abs(value - one.runout_um) for value, one in zip(added, advice.result.positions, strict=True))
        text = f"Adding the traces of hub and rotor parts from seating anew by up to {words.micrometres(apart)}."
        if apart >= APART_UM:
            lines.append(Text(text))
    lines += [Text(""), Text("Cures in this order", style="bold")]
    weighed, waits = _weighed_now(advice.cures)
    weighed = list(with_stated(advice.case, weighed, advice.answer["now_um"]))
    for number, cure in enumerate(weighed, 1):
        said = cure.left_um is None or cure.name in ("index", "leave it on")  # these say it with its uncertainty
        left = "" if said else f"; expected {words.micrometres(cure.left_um)}"
        lines.append(Text(f"{number}. {_condition_first(cure)}{left}"))
    if waits:
        lines.append(Text(f"{len(weighed) + 1}. {WAITS}"))
    noted = [note for note in advice.notes if not (waits and note.startswith(NO_CUT))]
    if played:  # what the others say of turns and studs is of readings that do not count
        noted = [note for note in noted if note.startswith("Thickness")]
    lines += [Text(f"! {words.clean(note, 400)}") for note in noted]
    lines += marked(warned(advice))
    # Reckoned from readings that do not fit together, on a hub with play or for a rotor that goes it is no answer.
    tables = () if again else (table, Text(""), shares_table(advice), Text(""))
    return Group(*tables, *lines)


def warned(advice: Advice) -> tuple[Caution, ...]:
    """Cautions beside the cures: those of what the case states too, and of a wheel that comes off for it."""
    named, case = ["maker first", "never drawn home", "no impact gun"], advice.case
    if case is None:
        return cautions.named(*named)
    told = what_leads.of_case(case, advice.answer["now_um"])
    if _sticks(advice):
        named.append("service mode")  # whichever axle it says it is
    by_case, stays = advice.decided is None, _stays(advice)
    lifted = by_case and not (stays and _thickness_read(advice))
    off = () if not lifted or advice.cures[0].name == READ_AGAIN else MEASURED_FIRST if stays else ROTOR_OFF
    return stated_work.cautions_of(case, told, lifted=lifted, also=(*named, *off))


def _weighed_now(cures: Sequence[Cure]) -> tuple[list[Cure], bool]:
    """Cures that can be weighed yet: on a corner that is to be cleaned first no part, shim or cut is."""
    if not cures or cures[0].name != "clean":
        return list(cures), False
    now = [cure for cure in cures if cure.name not in PARTS]
    return now, len(now) < len(cures)


def reads(advice: Advice) -> dict[int, tuple[float, float, float]]:
    """What the dial shows at each stud position: low, middle, high; where it sits now, what was read or computed.

    Elsewhere the ends are those of the 80 % band, here of the reading's own uncertainty, as in every other command.
    """
    shown = {band["studs_turned"]: tuple(band[key] for key in BAND_KEYS) for band in advice.answer["bands"]}
    now, half = advice.answer["now_um"], advice.doubt_um
    return shown | {advice.now: (max(now - half, 0.0), now, now + half)}


def _verdict(advice: Advice) -> str:
    """Say what indexing gains, where that is the question, and what no stud position can beat."""
    floor = words.no_stud_beats(advice.result.floor_um, advice.answer["floor_uncertainty_um"])
    said = f"{floor}." if floor else ""
    if any(cure.name == "hub and bearing" for cure in advice.cures) and not advice.ordered:
        return said
    if advice.decided is not None and advice.decided.back:
        return said  # what it reads there is known
    if advice.cures and advice.cures[0].name == "clean" and not (advice.ordered or advice.result.by_vectors_um):
        clean = advice.decided is not None and advice.decided.told.states[-1].state in CLEAN_STATES
        return f"{STILL_CANCELS if clean else CANCELS} {said}".rstrip()
    gain = f" ({words.micrometres(advice.worth.gain_um)} ± {words.micrometres(advice.worth.doubt_um)}, k = 2)"
    if advice.worth.verdict == "worth it" and not advice.ordered:
        return f"Indexing would gain more than its uncertainty{gain}, but it is not asked for. {said}".rstrip()
    ties = len(advice.answer["either"]) > 1
    verdict = VERDICT[advice.worth.verdict]
    if advice.ordered and advice.worth.verdict != "worth it":
        verdict = TRY
    if advice.worth.verdict == "no gain":
        gain = ""
        if advice.result.best == advice.now:
            verdict = words.capital(NO_BETTER) if ties else "It sits best where it is"
    return f"{verdict}{gain}. {said}".rstrip()


#: The map is of the dial: inside, under the wheel's own pad, the road is worse than it says.
ON_THE_ROAD = (
    "Heights are for a dial, held for reading. With the wheel on, dirt near the spigot leans the rotor about as far as "
    "at the outer edge, or further: it is cleaned as hard there."
)
FACE_OVER = (
    "Without any dirt this corner runs out {clean}, over the limit of {limit}: no height of dirt is told. {first}"
)
#: Behind that figure: the heights hang on what is left under the limit.
UNSURE_SO = " (the heights are as unsure: read it first)"
#: What comes first there: what the case states, a hub over its own limit too; then a stud, which takes minutes, and a
#: part last.
STATED_FIRST = "What stands above comes first."
STUD_FIRST = (
    "On clean metal it is indexed first, `trueseat index` says to which stud; a part only where none is enough."
)
SEAT_COMES_FIRST = (
    "With no other hole to go to both faces are cleaned once more and it is read again first; then hub, bearing, "
    "rotors."
)


def face_over(case: Case, found: FaceMap) -> str:
    """Say that a corner is over its limit without any dirt, and what comes first; empty where it is not."""
    if found.clean_um <= found.limit_um:
        return ""
    first = STUD_FIRST if len(case.studs.positions) > 1 else SEAT_COMES_FIRST
    first = STATED_FIRST if what_leads.of_case(case, found.clean_um).lines else first
    clean, limit = _clean(found), words.micrometres(found.limit_um)
    return FACE_OVER.format(clean=clean, limit=limit, first=first)


def _clean(found: FaceMap) -> str:
    """Write what the corner runs out without dirt, as a dial will read it."""
    half = f" ± {found.clean_doubt_um:.0f}{words.GAP}µm (k = 2)" if found.clean_doubt_um else ""
    return f"{found.clean_um:.0f}{half}" if half else words.micrometres(found.clean_um)


def face_table(found: FaceMap) -> RenderableType:
    """List by zone how little dirt it takes, with the sentence that it is no leave."""
    from scenes.plots.cure import NO_LEAVE  # loads the drawing library, which only this table's command needs

    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for column in ("place on the hub face", "height that spoils it", "worst at"):
        table.add_column(column)
    for zone in found.zones:
        least = words.micrometres(zone.least_um)
        if zone.least_um == float("inf"):
            least = f"over {words.micrometres(found.highest_um)}"
        table.add_row(
            zone.name, least, f"{words.degrees(zone.angle_deg)}, radius {words.with_unit(zone.radius_mm, 'mm')}"
        )
    if found.clean_um > found.limit_um:
        return Text(NO_LEAVE, style="bold")
    told = (
        f"{found.kind} dirt {words.number(found.speck_mm)} mm across; clean, the corner runs {_clean(found)}, "
        f"{words.COMPUTED}{UNSURE_SO if found.clean_doubt_um else ''}"
    )
    head = Text(f"{told}, limit {words.micrometres(found.limit_um)}")
    return Group(head, table, Text(ON_THE_ROAD), Text(NO_LEAVE, style="bold"))


def face_csv(found: FaceMap) -> str:
    """Write the map as a table, one place a row; empty where even the highest dirt tried does not spoil the corner."""
    text = io.StringIO()
    text.write(f"# trueseat: height of {found.kind} dirt that alone brings the limit; hub angles from stud 1\n")
    table = csv.writer(text, lineterminator="\n")
    table.writerow(["radius_mm", "angle_deg", "spoil_um"])
    for row, radius in enumerate(found.radius_mm):
        for column, angle in enumerate(found.angle_deg):
            value = found.spoil_um[row, column]
            table.writerow([f"{radius:.2f}", f"{angle:.1f}", "" if value == float("inf") else f"{value:.3f}"])
    return text.getvalue()
