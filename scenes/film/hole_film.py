"""The film "which hole?": chalk marks and two arrows over the stage, three causes and each hole below the dial."""

from __future__ import annotations

import cmath
import math

import numpy as np
from PIL import Image

from scenes import palette
from scenes.film import sweeps_film
from scenes.film.film import Reel
from scenes.film.hole_story import Holes
from scenes.film.photos import Photo
from scenes.film.sweeps import Moment, Telling, tir_um
from scenes.geometry import exaggeration, shapes
from scenes.stage.lettering import Sheet
from scenes.words import words
from sim.parts.case import Studs
from sim.parts.fastener import said

RINGS = ("rotor: chalk begins", "rotor: chalk ends", "rotor: label")
WHEEL = ("wheel: pad", "wheel: spokes end", "wheel: rim")
LONGEST = 0.86
"""Longest of both arrows together, as a share of the rotor's radius."""
APART_PX, FADED = 32.0, 0.62
"""Arrows along one line lie so far beside each other; the rotor under them is paler by this share."""
TURNS = palette.mix("part", "paper", 0.6)
"""Colour of the arrow that goes with the rotor: in grey it is told from the one that stays by its lightness."""
BOTH = palette.mix("pad", "ink", 0.3)
"""Colour of their sum: not the dial's, which reads smaller waves too and has its own bars."""
LETTERS = 34
WHEEL_SAID = (915.0, 640.0, 320.0)
"""Left, first base line and width of what is said beside the wheel. [pixels]"""
UNEVEN = 0.1
"""Torque of the road that differs by less of its highest is called even; judgement, 0.05 to 0.2."""
RIM_BEFORE_MM = 3.0
"""How far before the rotor's face the wheel's rim lies as drawn: a dish, so that the picture holds all of it."""
WHEEL_PAD_MM = 10.0
"""Thickness of the wheel where it bolts on, as drawn; a sign for a wheel, no wheel of the case."""


def more(sheet: Sheet, told: Telling, now: Moment, photo: Photo) -> None:
    """Draw what a step shows besides stage and dial."""
    shows = now.step.shows
    if shows == "causes":
        _causes(sheet, told, now.grown)
    elif shows in ("chalk", "second chalk"):
        _marks(sheet, told, now, photo)
    elif shows in ("as found", "cleaned"):
        known: Holes = told.facts["found" if shows == "as found" else "cleaned"]
        _arrows(sheet, told, known, now.grown, photo)
        _holes(sheet, told, known, now.grown)
    elif shows == "bars":
        if told.facts["road_um"] is not None:
            _wheel(sheet, told, now.grown, photo)
        _bars(sheet, told, now.grown)


def _marks(sheet: Sheet, told: Telling, now: Moment, photo: Photo) -> None:
    """Chalk on the rim: the first mark goes with the rotor, the second stands where it is high now."""
    pitch = 360.0 / told.studs.count
    first = exaggeration.high_spot_deg(told.runs["found"])
    gone = told.facts["on"] * pitch if now.step.corner == "moved" else now.pose.holes_deg
    grown = now.grown if now.step.shows == "chalk" else 1.0
    if now.step.shows == "second chalk":
        way = sweeps_film.ring_on_sheet(photo, RINGS[2], first, first + gone)
        for part in range(0, len(way) - 4, 8):
            sheet.line(way[part : part + 5], palette.INK, 8)
        x, y = way[len(way) // 2]
        sheet.tag(f"{told.facts['on']} holes on", (max(x, 130.0), y), LETTERS, palette.INK)
    _chalk(sheet, photo, first + gone, grown, "chalk 1", palette.PAPER)
    if now.step.corner == "moved":
        _before(sheet, photo, first)
    if now.step.shows == "second chalk":
        high = exaggeration.high_spot_deg(told.runs["moved"])
        _chalk(sheet, photo, high, now.grown, "high now", palette.LOW)


def _chalk(sheet: Sheet, photo: Photo, angle_deg: float, grown: float, name: str, colour: str) -> None:
    begin, end, label = (
        np.array(sweeps_film.ring_on_sheet(photo, ring, angle_deg, angle_deg + 1.0)[0]) for ring in RINGS
    )
    tip = begin + grown * (end - begin)
    for shade, width in ((palette.INK, 26), (colour, 16)):
        sheet.line([(float(begin[0]), float(begin[1])), (float(tip[0]), float(tip[1]))], shade, width)
    if grown >= 1.0:
        x, y = float(np.clip(label[0], 120.0, 1150.0)), float(np.clip(label[1], 150.0, 1040.0))
        sheet.tag(name, (x, y), LETTERS, palette.INK)


def _before(sheet: Sheet, photo: Photo, angle_deg: float) -> None:
    """Where it was high before: an outline where the chalk stood, named beyond what comes next to it."""
    corners = [
        sweeps_film.ring_on_sheet(photo, ring, angle_deg + away, angle_deg + away + 1.0)[0]
        for ring, away in ((RINGS[0], -3.0), (RINGS[1], -3.0), (RINGS[1], 3.0), (RINGS[0], 3.0), (RINGS[0], -3.0))
    ]
    for colour, width in ((palette.PAPER, 13), (palette.SCALE, 7)):
        sheet.line(corners, colour, width)
    x, y = sweeps_film.ring_on_sheet(photo, RINGS[0], angle_deg - 16.0, angle_deg - 15.0)[0]
    sheet.tag("high before", (x + 90.0, y - 10.0), LETTERS, palette.SCALE, corners[0])


def _causes(sheet: Sheet, told: Telling, grown: float) -> None:
    """Three side views that read alike: the hub face is crooked, the rotor is, or dirt lies between."""
    if grown <= 0.0:
        return
    for index, name in enumerate(("hub face", "rotor", "dirt")):
        if grown * 3.0 <= index:
            continue
        x, y = 1345.0 + 215.0 * index, 770.0
        lean = math.radians(9.0)
        face = 26.0 * math.tan(lean) * 2.0
        hub = [(x - 88, y - 62), (x - 10, y - 62), (x - 10, y + 62), (x - 88, y + 62)]
        if name == "hub face":
            hub[1], hub[2] = (x - 10 + face, y - 62), (x - 10 - face, y + 62)
        sheet.draw.polygon(hub, fill=palette.HUB, outline=palette.INK, width=3)
        flange, rim = 58.0, 150.0
        first = lean if name != "rotor" else 0.0
        shift = 8.0 if name == "dirt" else 0.0
        along = [_leant(x - 8 + shift, y, first, side * flange) for side in (-1.0, 1.0)]
        ends = [_leant(x - 8 + shift, y, lean, side * rim) for side in (-1.0, 1.0)]
        sheet.line([ends[0], along[0], along[1], ends[1]], palette.INK, 22)
        sheet.line([ends[0], along[0], along[1], ends[1]], palette.PART, 14)
        if name == "dirt":
            sheet.draw.ellipse((x - 12, y - 60, x + 14, y - 36), fill=palette.SCALE, outline=palette.INK, width=2)
        sheet.text(name, (x - 30, y + 205), LETTERS, bold=True, anchor="ms")
        sheet.text(words.micrometres(tir_um(told.runs["found"])), (x - 30, y + 250), 40, palette.DIAL, True, "ms")
    sheet.text("lean drawn larger", (1560, 600), 30, anchor="ms")


def _leant(x: float, y: float, lean: float, along: float) -> tuple[float, float]:
    """Place on a leaning plate, its upper end outward."""
    return x - along * math.sin(lean), y + along * math.cos(lean)


def _arrows(sheet: Sheet, told: Telling, known: Holes, grown: float, photo: Photo) -> None:
    """Lay two arrows over the rotor, and their sum, side by side; the rotor's turns with each hole."""
    whole = max(abs(one.hub) + abs(one.rotor) for one in (told.facts["found"], told.facts["cleaned"]))
    n = told.studs.count
    turn = grown * (n - 1) if grown < 1.0 else float(known.best)
    turned = known.rotor * cmath.exp(2j * math.pi * turn / n)
    start, middle, tip = (_on_face(photo, vector / whole) for vector in (0j, known.hub, known.hub + turned))
    way = middle - start
    beside = np.array([-way[1], way[0]]) / max(float(np.hypot(*way)), 1.0)
    if float(np.dot(tip - middle, beside)) < 0.0:
        beside = -beside
    sheet.fade(FADED)  # nuts and numbers shine through, the arrows stand out
    _arrow(sheet, start - APART_PX * beside, tip - APART_PX * beside, BOTH, 11)
    _arrow(sheet, start, middle, palette.HUB, 13)
    _arrow(sheet, middle + APART_PX * beside, tip + APART_PX * beside, TURNS, 13)
    for row, (text, size, colour) in enumerate((
        ("stays with the studs", known.hub, palette.HUB),
        ("goes with the rotor", known.rotor, TURNS),
        ("both: the wave once a turn", known.hub + turned, BOTH),
    )):  # fmt: skip
        y = 916.0 + 44.0 * row
        sheet.draw.rectangle((44, y - 28, 80, y), fill=colour, outline=palette.INK, width=3)
        sheet.slip(f"{text} {words.micrometres(abs(size))}", (98, y - 14), LETTERS)
    # The bars are the whole reading: what repeats twice a turn and more is not in the arrows.
    sheet.slip("the dial reads that and smaller waves", (44, 916.0 + 44.0 * 3 - 14), 30)


def _on_face(photo: Photo, share: complex) -> np.ndarray:
    """Pixel of the tip of an arrow that lies on the outboard face; ``share`` 1 is the longest that may be drawn."""
    rim = np.array(sweeps_film.ring_on_sheet(photo, RINGS[1]))
    centre = rim[:-1].mean(axis=0)
    if share == 0.0:
        return centre
    angle = math.degrees(cmath.phase(share))
    there = np.array(sweeps_film.ring_on_sheet(photo, RINGS[1], angle, angle + 1.0)[0])
    return centre + LONGEST * abs(share) * (there - centre)


def _arrow(sheet: Sheet, start: np.ndarray, end: np.ndarray, colour: str, width: int) -> None:
    way = end - start
    long = float(np.hypot(*way))
    if long < 3.0:
        return
    unit, across = way / long, np.array([-way[1], way[0]]) / long
    head = min(1.9 * width, long)
    neck = end - head * unit
    for shade, more_px in ((palette.PAPER, 10.0), (palette.INK, 5.0), (colour, 0.0)):
        if long > head:
            sheet.line([(start[0], start[1]), (neck[0], neck[1])], shade, round(width + more_px))
        wings = [neck + (width + more_px) * across, end + 1.4 * more_px * unit, neck - (width + more_px) * across]
        sheet.draw.polygon([(float(x), float(y)) for x, y in wings], fill=shade)


def _holes(sheet: Sheet, told: Telling, known: Holes, grown: float) -> None:
    """Bar of each stud position as seated; the best stands out when all have been tried."""
    n, done = len(known.tir_um), grown >= 1.0
    rows = []
    for k, value in enumerate(known.tir_um):
        colour = palette.DIAL if done and k == known.best else palette.mix("dial", "paper", 0.5)
        rows.append((str(k), value if grown * n > k else 0.0, colour))
    limit = told.runs["found"].case.limits.mounted_runout_um
    sweeps_film.bars(sheet, rows, limit, 1.0, max(told.facts["found"].tir_um))
    sheet.text("holes on from as found; µm", (1511, 1020), 32, anchor="ms")


def _wheel(sheet: Sheet, told: Telling, grown: float, photo: Photo) -> None:
    """Lay a wheel of as many spokes as studs over the rotor, its nuts on the studs; it is faded in."""
    n, come = told.studs.count, min(1.0, 1.6 * grown)
    metal, bare = palette.mix("part", "paper", 0.55), sheet.image.copy()

    def at(ring: int, angle: float) -> tuple[float, float]:
        return sweeps_film.ring_on_sheet(photo, WHEEL[ring], angle, angle + 1.0)[0]

    for k in range(n):
        middle = 360.0 * (k + 0.5) / n
        spoke = [at(0, middle - 24.0), at(1, middle - 8.0), at(1, middle + 8.0), at(0, middle + 24.0)]
        sheet.draw.polygon(spoke, fill=metal)
        sheet.line([*spoke, spoke[0]], palette.INK, 4)
    rim = [at(ring, float(angle)) for ring in (1, 2) for angle in range(0, 361, 6)]
    half = len(rim) // 2
    sheet.draw.polygon([*rim[:half], *rim[half:][::-1]], fill=metal)
    pad = [at(0, float(angle)) for angle in range(0, 361, 6)]
    sheet.draw.polygon(pad, fill=metal)
    for edge in (rim[:half], rim[half:], pad):
        sheet.line(edge, palette.INK, 4)
    studs = np.array([photo.at[str(index + 1)] for index in range(n)]) + np.array(sweeps_film.VIEW_AT, dtype=float)
    for x, y in studs:
        sheet.draw.ellipse((x - 26, y - 26, x + 26, y + 26), fill=palette.STUD, outline=palette.INK, width=4)
    sheet.stud_numbers(studs, 20.0)
    sheet.image = Image.blend(bare, sheet.image, come)
    if come >= 1.0:
        words_there = f"{_held_by(told.runs['best'].case.studs)}; no dial reads what it bends: computed"
        sheet.paragraph(words_there, WHEEL_SAID[:2], LETTERS, WHEEL_SAID[2], bold=True)


def _held_by(studs: Studs) -> str:
    """What holds the wheel that is laid over the rotor; uneven torque is said, for it bends what the dial passed."""
    torque = studs.road_torque_nm
    if not isinstance(torque, tuple) or max(torque) - min(torque) < UNEVEN * max(torque):
        return "the wheel bolts on over it"
    return said(f"wheel on, its nuts at {min(torque):.0f} to {max(torque):.0f}{words.GAP}N{words.GAP}m", studs)


def _bars(sheet: Sheet, told: Telling, grown: float) -> None:
    """As found, cleaned at the best hole, and the same with the wheel on, with its 80 % band."""
    found, clean, road = told.facts["found"], told.facts["cleaned"], told.facts["road_um"]
    rows = [
        ("as found:\ndial", found.tir_um[0], palette.SCALE),
        ("best hole:\ndial", clean.tir_um[clean.best], palette.HUB),
    ]
    if road is not None:
        rows.append((f"wheel on:\n{road[0]:.0f} to {words.micrometres(road[2])}\n(8 wheels of 10)", road[1],
                     palette.mix("hub", "ink", 0.35)))  # fmt: skip
    limit = told.runs["found"].case.limits.mounted_runout_um
    whisker = None if road is None else (len(rows) - 1, road[0], road[2])
    sweeps_film.bars(sheet, rows, limit, grown, 0.0 if road is None else road[2], whisker)


def reel(told: Telling, draft: bool = False) -> Reel[Moment]:
    """Story with what draws it."""
    run = told.runs["found"]
    rim, face = 0.5 * run.case.rotor.outer_diameter_mm, sweeps_film.face_height_mm(run)
    radii = (rim - 34.0, rim - 3.0, rim + 24.0)
    seat = shapes.levels(run.case).flange_top_mm + WHEEL_PAD_MM
    pad = 0.5 * run.case.studs.pitch_circle_mm + 26.0
    rings = (
        *((name, r, face) for name, r in zip(RINGS, radii, strict=True)),
        (WHEEL[0], pad, seat),
        *((name, r, face + RIM_BEFORE_MM) for name, r in zip(WHEEL[1:], (rim - 8.0, rim + 5.0), strict=True)),
    )
    return sweeps_film.reel(told, more, rings, draft)
