"""Films that compare corners side by side on the stage: what is photographed for them, and how frames come from it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from scenes.film import frames, stories
from scenes.film.film import Reel
from scenes.film.photos import Darkroom, Photo, portable
from scenes.film.stories import Moment, Story
from scenes.geometry import exaggeration
from scenes.stage import stage
from scenes.stage.lettering import Image8

Pose = tuple[int, str, float, float]
"""Corner, view, exaggeration, turn in degrees."""
FINER = 1.25
"""The stage is drawn this much larger than shown, then shrunk, which smooths its edges."""
DRAFT_FINER, STILL_FINER = 0.6, 1.6


@dataclass(frozen=True, eq=False)
class Shoot:
    """The corners of a story, to be photographed."""

    story: Story

    def stage_of(self, pose: Pose) -> int:
        """Which corner."""
        return pose[0]

    def build(self, pose: Pose, finer: float) -> stage.Stage:
        """Its stage."""
        return frames.build(self.story.corners[pose[0]].run, self.story, finer)

    def photograph(self, scene: stage.Stage, pose: Pose) -> Photo:
        """Photograph it, and keep where studs and the label of the true plane lie."""
        drawn = frames.photograph(scene, *pose[1:])
        at = {str(index): (float(x), float(y)) for index, (x, y) in enumerate(drawn.studs_px)}
        return Photo(drawn.picture, at | {"ghost": (float(drawn.ghost_px[0]), float(drawn.ghost_px[1]))})


def reel(story: Story, draft: bool = False) -> Reel[Moment]:
    """Story from ``scenes.film.stories`` with what draws it."""
    plan = frames.layout(story)
    light = replace(story, corners=tuple(replace(one, run=portable(one.run)) for one in story.corners))
    shoot = Shoot(replace(light, steps=()))
    room: Darkroom[Moment] = Darkroom(shoot, partial(_poses, story), partial(_composed, plan, light))
    return Reel(
        seconds=story.seconds,
        moment=partial(stories.moment, story),
        board=stories.storyboard_seconds(story),
        film=lambda moments, coarse: room.film(DRAFT_FINER if coarse else FINER, moments),
        fine=lambda: room.fine(STILL_FINER),
        three_d=True,
        draft=draft,
    )


def _poses(story: Story, now: Moment) -> list[Pose]:
    return [(corner, *now.pose) for corner in range(len(story.corners))]


def _composed(plan: frames.Layout, light: Story, now: Moment, photos: list[Photo]) -> Image8:
    drawn = []
    for one, photo in zip(light.corners, photos, strict=True):
        studs = np.array([photo.at[str(index)] for index in range(one.run.case.studs.count)])
        reading = float(exaggeration.reading_um(one.run, frames.SETTING.dial_deg - now.turn_deg))
        drawn.append(frames.Drawn(photo.picture, studs, reading, np.array(photo.at["ghost"])))
    return frames.compose(plan, now, drawn)
