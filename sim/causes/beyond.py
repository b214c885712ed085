"""Whether humps that no cause in the list makes, two or three a turn, stay on the hub whatever a brush takes away.

Causes of the list explain them by coincidence: dirt that cleaning left and a hub face that happens to cancel its lean,
or scale on the spigot that no brush touched. How likely a coincidence is only shows beside something else that needs
none: it is weighed as one more hypothesis, and named as what it is, nothing in the list.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from sim.causes.columns import Columns
from sim.causes.forward import HUMPS, Model
from sim.causes.priors import Priors
from sim.causes.seen import Seen
from sim.causes.weigh import log_evidence
from sim.one_thread import one_thread

Families = Mapping[str, tuple[float, tuple[Columns, ...]]]
BESIDE = 2  # causes beside it at once; judgement


@one_thread
def something_else(
    model: Model, seen: Seen, odds: dict[str, float], families: Families, log_listed: float, priors: Priors
) -> float:
    """Probability that humps stay on the hub, against all causes of the list together.

    Parameters
    ----------
    model : Model
    seen : Seen
    odds : dict of str to float
    families : mapping
        Few columns of dirt are enough: all of them moved the probability by 0.02 at most (310 corners).
    log_listed : float
        Logarithm of the evidence of the list (`sim.causes.weigh.Posterior`).
    priors : Priors

    Returns
    -------
    float
        Nought where nothing was read cleaned: all that shows them is that they stay.

    Notes
    -----
    Bayes' rule; sizes and odds are judgement (`sim.causes.forward.HUMPS`, `sim.causes.priors`).
    """
    held = priors.something_else
    if held <= 0.0 or not any(spot.kind == "mounted" and spot.cleaned for spot in seen.spots):
        return 0.0
    logs = [np.log1p(-held) + log_listed]
    for humps, _ in HUMPS.values():
        logs.append(np.log(held / len(HUMPS)) + log_evidence(model, seen, odds, dict(families), BESIDE, humps))
    weights = np.exp(np.array(logs) - max(logs))
    return float(weights[1:].sum() / weights.sum())
