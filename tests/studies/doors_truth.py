"""What is true of a bench beside what is said of it: unsafe to leave on, bought in vain, claimed too surely."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sim.parts.dial import Dial
from tests.studies import corners_at_fault as population
from tests.studies import doors_benches as benches
from tests.studies.corners_at_fault import CAUSES, CLEAN, HUB_FACE, Step
from tests.studies.doors_asked import Said, Tally
from tests.studies.doors_benches import Bench, Table

#: Beyond any ± of a micrometer reading. [um], [mm]
SURE_VARIES_UM, SURE_THICK_MM, SURE_HUB_UM = 9.0, 0.012, 12.0
#: So little over its stamp no rotor is fitted again: a judgement of the program's own.
NO_WEAR_LEFT_MM = 0.11
#: What is called sure counts as a claim.
CLAIMED = 0.95
MOST_WORDS = 60  # of a lead


def unsafe(table: Table, with_case: bool, hub_known: bool = False) -> str:
    """Why the rotor is not left on by the truth, beyond what its readings are sure to; empty where it may be."""
    bench, last = table.bench, table.last
    dial = Dial(last.step_um or bench.dial_um, 1).doubt_um
    runs = benches.mounted_um(bench, last.step)
    varies, face = benches.varies_at_places_um(bench), hub_face_um(bench)
    why = [f"runs out {runs:.0f} of {bench.limit_um:g} (± {dial:.0f})"] if runs > bench.limit_um + dial else []
    why += [f"varies {varies:.0f} of {bench.dtv_um:g}"] if varies > bench.dtv_um + SURE_VARIES_UM else []
    if with_case and bench.stated and bench.thinnest_mm < bench.stamp_mm - SURE_THICK_MM:
        why.append(f"{bench.thinnest_mm:.3f} mm, stamp {bench.stamp_mm:g}")
    known = with_case or hub_known or bench.hub_limit_um is None  # readings alone are not told a limit of the bare face
    if known and table.of("hub face") and face > bench.hub_allowed_um + SURE_HUB_UM:
        why.append(f"hub face {face:.0f} of {bench.hub_allowed_um:.0f}")
    return ", ".join(why)


def hub_face_um(bench: Bench) -> float:
    """Lean of the bare face where it is read. [um TIR]."""
    case = population.case_of(bench.corner.group)
    lean = 2.0 * abs(bench.corner.out[CAUSES.index(HUB_FACE), 1])
    return float(lean * case.hub.read_radius_mm / case.gauge_radius_mm)


def best_um(bench: Bench, without: tuple[str, ...] = ()) -> float:
    """What the best stud leaves on faces that are really clean. [um TIR]."""
    studs = range(bench.corner.studs)
    return min(bench.corner.left_um("cleaned again", stud, without) for stud in studs)


def innocent(table: Table, part: str) -> str:
    """Why buying that part was in vain by the truth; empty where there was reason, or it is near."""
    bench = table.bench
    if part == "hub":
        face, play = hub_face_um(bench), max(bench.play_um, bench.knock_um)
        left = best_um(bench)
        if face < bench.hub_allowed_um - 8.0 and not play and left < bench.limit_um - 10.0:
            return f"hub face {face:.0f} of {bench.hub_allowed_um:.0f}, best stud leaves {left:.0f}"
        return ""
    varies, left = benches.varies_um(bench), best_um(bench)
    thin = bench.thinnest_mm < bench.stamp_mm + NO_WEAR_LEFT_MM
    if thin or varies > bench.dtv_um - 6.0:
        return ""
    if left < bench.limit_um - 10.0:
        return f"varies {varies:.0f} of {bench.dtv_um:g}, best stud leaves {left:.0f} of {bench.limit_um:g}"
    perfect = best_um(
        bench, ("rotor's own runout", "warp", "worn-in DTV", "pad imprint", "parked-car rust", "DTV from new")
    )
    if perfect > bench.limit_um + 10.0:
        return f"with a perfect rotor the best stud leaves {perfect:.0f} of {bench.limit_um:g}"
    return ""


def claims(table: Table, said: Said) -> Iterator[tuple[str, bool]]:
    """What is claimed with `CLAIMED` and more, and whether it is so."""
    lead = (said.answer.get("leads") or [""])[0]
    if lead and said.door in ("causes", "causes --case", "index"):
        yield f"{said.door}: first lead of {MOST_WORDS} words or fewer", len(lead.split()) <= MOST_WORDS
    if said.door == "causes --case":
        yield from _of_causes(table, said.answer)
    if said.door.startswith("index") and said.answer.get("should_then_read_um"):
        yield from _of_index(table, said.answer["should_then_read_um"])


def _of_causes(table: Table, answer: dict[str, Any]) -> Iterator[tuple[str, bool]]:
    bench, last = table.bench, table.last.step
    first = answer["ranked"][0] if answer["ranked"] else None
    shares = dict(zip(CAUSES, bench.corner.shares_um(), strict=True))
    if first is not None and first["probability"] >= CLAIMED:
        most = max(shares.values())
        yield "largest share, 95 % and more", shares[first["cause"]] >= 0.8 * most
    if answer["finding"]:
        yield "a finding", shares[answer["finding"]] >= 0.8 * max(shares.values())
    states = {"as it is": (last.state, last.studs_turned), "cleaned": ("cleaned again", last.studs_turned)}
    for one in answer["after"]:
        stud = one["studs_turned"]
        state, at = states.get(one["what"], (last.state if one["what"] == "indexed" else "cleaned again", stud))
        stays = one["what"] == "as it is"  # of this mounting, which nobody touches
        true_um = benches.mounted_um(bench, last) if stays else bench.corner.left_um(state, at or 0)
        if one["below"] >= CLAIMED:
            yield f"{one['what']}: under the limit, 95 % and more", true_um < bench.limit_um
        if one["below"] <= 1.0 - CLAIMED:
            yield f"{one['what']}: under the limit, 5 % and less", true_um >= bench.limit_um
        low, _, high = one["runout_um"]
        yield f"{one['what']}: 80 % band", low <= true_um <= high


def _of_index(table: Table, then: dict[str, Any]) -> Iterator[tuple[str, bool]]:
    bench, last = table.bench, table.last.step
    if then.get("low") is None or bench.knock_um or then["studs_turned"] == last.studs_turned:
        return
    step = Step("mounted", last.state if last.state in CLEAN else "cleaned", then["studs_turned"], last.mount + 40)
    if last.state in CLEAN:
        yield "index: should then read, 80 % band", then["low"] <= benches.mounted_um(bench, step) <= then["high"]


def count(table: Table, answers: list[Said], tally: Tally) -> None:
    """Add what all answers claim to the tally."""
    by = {said.door: said.act for said in answers if not said.code}
    for other in ("index", "causes --case"):
        if "causes" in by and other in by:
            tally.claims[f"pair: causes {by['causes']}, {other} {by[other]}", by["causes"] == by[other]] += 1
    if not table.slipped:
        told = [one for said in answers if not said.code for one in claims(table, said)]
        tally.claims.update((what, bool(right)) for what, right in told)
