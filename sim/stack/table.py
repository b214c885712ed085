"""All that was drawn and what came of it as plain columns: npz that numpy opens and pandas reads, a line a corner."""

from __future__ import annotations

import io
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from sim.stack.draw import PATCH
from sim.stack.run import Result


def draws_npz(result: Result) -> bytes:
    """Write columns of equal length, one value a corner: ``pandas.DataFrame(dict(numpy.load(FILE)))``.

    Parameters
    ----------
    result : Result

    Returns
    -------
    bytes
        ``corner``, what was drawn by key, outcomes in um, and ``reason`` where a corner is no figure.
    """
    reasons = np.full(result.size, "", dtype=object)
    for corner, reason in result.reasons:
        reasons[corner] = reason[:300]
    columns: dict[str, NDArray] = {"corner": np.arange(result.size), **result.columns}
    return _npz(columns | {"reason": reasons.astype(str)})


def patches_npz(result: Result) -> bytes:
    """Write the patches of dirt, one value a patch: ``corner`` says on which."""
    columns: dict[str, list[NDArray]] = {name: [] for name in ("corner", *PATCH, "dirt", "kind", "cleaning_takes_it")}
    for drawn in result.drawn:
        for dirt, lying in zip(result.study.population.dirt, drawn.patches, strict=True):
            row, which = np.nonzero(np.arange(lying.kind.shape[1]) < lying.count[:, None])
            columns["corner"].append(row + drawn.first)
            for name in PATCH:
                columns[name].append(lying.fields[name][row, which])
            columns["dirt"].append(np.full(row.size, dirt.name))
            kinds = np.array([kind for kind, _ in dirt.kinds])
            columns["kind"].append(kinds[lying.kind[row, which]])
            columns["cleaning_takes_it"].append(lying.gone[row, which])
    return _npz({name: np.concatenate(parts) if parts else np.empty(0) for name, parts in columns.items()})


def _npz(columns: Mapping[str, NDArray]) -> bytes:
    content = io.BytesIO()
    np.savez_compressed(content, **columns)  # type: ignore[arg-type]
    return content.getvalue()
