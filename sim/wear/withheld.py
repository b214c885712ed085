"""Which figures of a driven corner an answer by machine takes back together, and the key that says why."""

from __future__ import annotations

from collections.abc import Mapping

LIMIT, DISC_LIFE, PAD_LIFE = "limit_withheld", "disc_life_withheld", "pad_life_withheld"
#: Null beside a reason: kilometres and the share of draws, and both lives.
FIELDS: Mapping[str, tuple[str, ...]] = {
    LIMIT: ("km_to_limit", "km_low", "km_high", "probability_never"),
    DISC_LIFE: ("disc_life_km", "disc_life_band_km"),
    PAD_LIFE: ("pad_life_km", "pad_life_range_km"),
}
