"""Where a forecast is felt: the speeds that a driver meets, the orders behind it, what its reader must know."""

from __future__ import annotations

from typing import Any

from scenes.words import road as road_words
from scenes.words import words
from sim.corner.road_state import loose_on_the_road
from sim.parts.case import MODE_HZ

FROM_SPEED = ("braking from speed meets the higher first",)
MODE = f" The mode behind these speeds is {words.A_PARAMETER}."
#: Why one speed is another wave in front and behind; frequencies as `sim.parts.case.MODE_HZ` takes them.
TWICE = (
    f"Unless the case says otherwise a front corner is felt at {MODE_HZ['front']:.0f} Hz, a rear one at "
    f"{MODE_HZ['rear']:.0f}: the same speed is once a turn in front and twice a turn behind."
)


def felt_plain(forecast: Any) -> str:
    """Say for page one at which speed it shakes first, and how often a turn; empty where no torque varies."""
    met, beyond = road_words.felt_orders(forecast)
    if not met:
        return felt_at(forecast) if not beyond else ""
    low, high = (float(speed) for speed in forecast.judder_band_km_h[met[0]])
    said = f"If it shakes, then at {_about(forecast, met[0])} "
    said += f"({words.span(low, high, 'km/h', 2)}), {_waves(forecast, met[0])}"
    others = [f"at {_about(forecast, row)}, {_waves(forecast, row)}" for row in met[1:]]
    return "; ".join([said, *others, *FROM_SPEED[: len(others)]]) + "." + MODE


def _waves(forecast: Any, row: int) -> str:
    number = forecast.orders[row]
    return "once a turn" if number == 1 else "twice a turn" if number == 2 else f"{number} times a turn"


def felt_at(forecast: Any) -> str:
    """Say at which speed a driver meets it: the lowest on the road at which a strong order is felt; then the others."""
    met, beyond = road_words.felt_orders(forecast)
    if not met and not beyond:
        return "Nothing to be felt: the torque does not vary."
    limit = words.with_unit(road_words.ROAD_KM_H, "km/h", 3)
    said = []
    if met:
        low, high = (float(speed) for speed in forecast.judder_band_km_h[met[0]])
        between = words.span(low, high, "km/h", 2)
        said.append(f"If it shakes, then at {_about(forecast, met[0])} ({between}), by {_order(forecast, met[0])}")
        said += [f"at {_about(forecast, row)}, by {_order(forecast, row)}" for row in met[1:]]
        said += FROM_SPEED[: len(met) - 1]
    else:
        said.append(f"No strong order meets the mode at road speeds, up to {limit}")
        said += [f"at {_about(forecast, row)} only: {_order(forecast, row)}" for row in beyond[:1]]
    if met and beyond:
        named = words.listed([f"{_order(forecast, row)} at {_about(forecast, row)}" for row in beyond])
        said.append(f"above {limit} {named}")
    return "; ".join(said) + "." + MODE


def _about(forecast: Any, row: int) -> str:
    return f"about {words.with_unit(float(forecast.judder_speed_km_h[row]), 'km/h')}"


def _order(forecast: Any, row: int) -> str:
    """Name an order, what it is, and the torque that it brings where thickness variation is highest."""
    number = forecast.orders[row]
    moment = float(forecast.torque_variation_nm[int(forecast.dtv_um.argmax())][row])
    waves = "one wave" if number == 1 else f"{number} waves"
    return f"order {number} ({waves} a turn), {words.with_unit(moment, 'N m')} zero to peak"


def road_notes(run: Any) -> tuple[str, ...]:
    """Sentences that belong to a forecast: where it is felt, and what its reader must know."""
    forecast = run.forecast
    notes = [felt_at(forecast)]
    if road_words.felt_orders(forecast)[0]:
        notes.append(TWICE)
    if forecast.stopped_by and not road_words.end_untold(run):
        notes.append(f"The road ends early: {forecast.stopped_by}.")
    notes += [words.capital(note) + ("" if note.endswith(".") else ".") for note in road_words.notes(run)]
    if loose_on_the_road(run.case.studs):
        return tuple(notes)
    return (*notes, f"What drivers call it: {words.COMMON_PRACTICE}.")
