"""The blank card: an A4 sheet for the readings of one corner: how on the front, room to write on the back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from scenes.pages.templated import environment
from scenes.plots.numbered_face import numbered_face
from scenes.words import cautions, fastening, place_by_place, work_order, written_rows
from scenes.words.held_to_read import PLACES
from sim.bench.mountings import best_second_position
from sim.errors import BadInput, Fault
from sim.files.dial_readings import HEADS

if TYPE_CHECKING:
    from sim.parts.case import Case

MOUNTINGS = 4
SECOND_OF_ANY = "2 (of four) or 3 (of five or six)"  # what `best_second_position` says of them
CAUTIONS = ("maker first", "stands", "nobody in", "service mode", "hot", "mask and eyes", "hang the caliper",
            "fingers out", "stuck rotor", "no compressed air", "cracked is scrap", "nothing greasy", "never drawn home",
            "no impact gun", "pump the pedal")  # fmt: skip


def card_html(studs: int | None = 5, case: Case | None = None) -> str:
    """Build the blank card.

    Parameters
    ----------
    studs : int or None
        Studs or bolts of the hub, where no case says; None for a car that nobody described: they are drawn in by hand.
    case : Case, optional
        Its title, its studs, the radius of its dial and its fastener are printed.

    Returns
    -------
    str
        One HTML document, complete in itself, both sides of one A4 sheet when printed.

    Raises
    ------
    BadInput
        If there are more or fewer studs than a hub has.
    """
    low, high = HEADS["studs"]
    if case is None and studs is not None and not low <= studs <= high:
        raise BadInput(Fault(f"{studs} is out of range", key="--studs", allowed=f"{low} to {high}"))
    count = studs if case is None else case.studs.count
    second = str(best_second_position(count) + 1) if count else SECOND_OF_ANY
    page = (
        environment()
        .get_template("card.html")
        .render(
            title="" if case is None else case.title,
            studs=count or work_order.STUDS_TO_WRITE,
            any_car=count is None,
            gauge_mm=None if case is None else case.gauge_radius_mm,
            hub_mm=None if case is None else case.hub.face_runout_radius_mm,
            places=PLACES,
            mountings=MOUNTINGS,
            face=Markup(numbered_face(count or 0, PLACES, size_mm=56.0)),
            steps=place_by_place.SET_UP,
            which=place_by_place.WHICH_CARD,
            order=place_by_place.ORDER.format(stud=second),
            hand_on=place_by_place.HAND_ON_CARD,
            cautions=cautions.named(*CAUTIONS),
            to_write=written_rows.TO_WRITE,
            high_spot=written_rows.HIGH_SPOT,
            written_so=written_rows.WRITTEN_SO,
        )
    )
    return page if case is None else fastening.said_html(page, case)
