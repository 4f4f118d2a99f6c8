"""What drives a result: gradient, Sobol' indices, and tables of shares as a DataFrame or a figure.

For sums and for nearly straight functions `contributions()` says all; Sobol' indices also see what dimensions do
together.

References: I. M. Sobol', Math. Comput. Simul. 55 (2001) 271-280; A. Saltelli et al., Comput. Phys. Commun. 181 (2010)
259-270 (first-order estimator); M. J. W. Jansen, Comput. Phys. Commun. 117 (1999) 35-43 (total). All from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from fitcheck.errors import InputError, brief, whole
from fitcheck.expected import items_of
from fitcheck.later import from_above
from fitcheck.shown import shown
from fitcheck.stack.central import moved_in
from fitcheck.stack.dimension import Linear
from fitcheck.stack.probability.even_points import even_points, scrambling
from fitcheck.stack.probability.sampling import SCRAMBLES, to_zone
from fitcheck.stack.response import Response
from fitcheck.stack.results import Contribution
from fitcheck.units import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes


@shown
class Index(NamedTuple):
    """Share of the variance due to a dimension alone (`first`) and with all it acts together with (`total`).

    name: the name of the dimension. first, total: each a fraction of the variance. first_error, total_error: their
    standard errors.
    """

    name: str
    first: float
    total: float
    first_error: float
    total_error: float


def gradient(what: Linear | Response) -> dict[str, float]:
    """Change of the result for a unit change of each dimension, at the nominals; of a function, by differences.

    what: a sum, dimension or response. Returns by name a number in the unit of the result over that of the dimension:
    the definition of the partial derivative, a function being taken at 1e-4 of the half zone to either side. Raises
    `InputError` if two dimensions have one name, or none.

    >>> import fitcheck as fc
    >>> gradient(2 * fc.dim("10 ± 0.1", name="a") - fc.dim("5 ± 0.1", name="b"))
    {'a': 2.0, 'b': -1.0}
    """
    _asked("gradient", what)
    names = [d.name for d in what.members]
    for name in names:
        if names.count(name) > 1:
            called = f"are called {name!r}" if name else "have no name"
            raise InputError(
                f"gradient: {names.count(name)} dimensions {called}: each needs a name of its own, dim(..., name=...)"
            )
    if isinstance(what, Linear):
        return {d.name: c for d, c in what.terms}
    members = what.members
    varying = [i for i, d in enumerate(members) if d.half_width > 0]
    z = np.array([(d.nominal - d.middle) / d.half_width if d.half_width else 0.0 for d in members])
    h = 1e-4
    moves = h * np.eye(len(members))[varying]
    y = what.at(np.concatenate([z + moves, z - moves]))
    slopes = (y[: len(varying)] - y[len(varying) :]) / (2 * h)
    found = {d.name: 0.0 for d in members}
    for i, slope in zip(varying, slopes.tolist(), strict=True):
        found[members[i].name] = slope / members[i].half_width
    return found


def sobol_indices(what: Linear | Response, *, points: int = 4096, seed: int = 0) -> list[Index]:
    """First-order and total Sobol' indices with their standard errors, the largest total first [1]_, [2]_, [3]_.

    Parameters
    ----------
    what : a response of independent dimensions, or a sum of them
    points : points of each of the eight scrambles (a power of two); it takes 8 * points * (dimensions + 2) evaluations
    seed : whole number; the same one gives the same points

    The indices of a function of independent dimensions are shares of its variance: the first-order ones add up to 1 if
    the dimensions do not act together, to less if they do. A dimension of Student's t goes no farther than its central
    99 %, as the function may have no variance else. Raises `InputError` for correlated dimensions, for points no
    whole number from 16 up, and a seed that is none from 0 up.

    References
    ----------
    .. [1] I. M. Sobol', Math. Comput. Simul. 55 (2001) 271-280. From memory.
    .. [2] A. Saltelli et al., Comput. Phys. Commun. 181 (2010) 259-270, first-order estimator. From memory.
    .. [3] M. J. W. Jansen, Comput. Phys. Commun. 117 (1999) 35-43, total. From memory.

    Examples
    --------
    >>> import fitcheck as fc
    >>> gap = fc.dim("30 ± 0.2", name="room") - fc.dim("29 ± 0.1", name="part")
    >>> [(row.name, round(row.total, 2)) for row in sobol_indices(gap, points=256)]
    [('room', 0.8), ('part', 0.2)]
    """
    _asked("Sobol' indices", what)
    members = what.members
    if any(d.tie is not None for d in members):
        raise InputError("Sobol' indices: independent dimensions are needed, not correlated ones")
    seed = whole("seed", seed)
    n = 1 << max(4, math.ceil(math.log2(whole("points", points, 16))))
    if not members:
        return []
    found = np.array([_one_scramble(what, n, [seed, i]) for i in range(SCRAMBLES)])
    mean, error = found.mean(axis=0), found.std(axis=0, ddof=1) / math.sqrt(SCRAMBLES)
    rows = [
        Index(d.name, float(mean[0, i]), float(mean[1, i]), float(error[0, i]), float(error[1, i]))
        for i, d in enumerate(members)
    ]
    return sorted(rows, key=lambda row: (-row.total, row.name))


def _asked(where: str, what: object) -> None:
    if not isinstance(what, (Linear, Response)):
        raise InputError(f"{where}: {brief(what)}: a response, a sum or a dimension is needed")


def _one_scramble(what: Linear | Response, n: int, seed: list[int]) -> FloatArray:
    """First-order and total indices: with the points A and B, and A_i, which is A with the column i of B,
    S_i = mean(f(B) (f(A_i) - f(A))) / V [2] and T_i = mean((f(A) - f(A_i))^2) / (2 V) [3], f being less its mean
    and V its variance over A and B. Of a function that does not vary both are 0.
    """
    members = what.members
    k = len(members)
    both = np.concatenate(list(even_points(2 * k, n, scrambling(seed))))
    a, b = (moved_in(members, to_zone(members, half, tied=False)) for half in (both[:, :k], both[:, k:]))
    at_a, at_b = what.at(a), what.at(b)
    every = np.concatenate([at_a, at_b])
    mean, variance = float(every.mean()), float(every.var())
    found = np.zeros((2, k))
    # One column of the other points at a time: all of them at once would fill the memory where dimensions are many.
    for i in range(k) if variance > 0 else ():
        change = what.at(np.column_stack([a[:, :i], b[:, i], a[:, i + 1 :]])) - at_a
        found[:, i] = np.mean((at_b - mean) * change) / variance, np.mean(change**2) / (2 * variance)
    return found


def _rows(where: str, rows: Any) -> list[Any]:
    """Contributions or indices, at least one."""
    found = items_of(f"{where}: rows", rows, "a list of contributions or Sobol' indices")
    if not found or not all(isinstance(row, (Contribution, Index)) for row in found):
        raise InputError(f"{where}: no rows: contributions or Sobol' indices are needed")
    return found


def share_frame(rows: Sequence[Contribution] | Sequence[Index]) -> Any:
    """Contributions or indices as a pandas DataFrame, one row a dimension, in the order given.

    `rows` is what `contributions()` or `sobol_indices` gave. Raises `InputError` if there are none.

    >>> import fitcheck as fc
    >>> gap = fc.dim("30 ± 0.2", name="room") - fc.dim("29 ± 0.1", name="part")
    >>> round(float(share_frame(gap.contributions()).loc["room", "variance_share"]), 3)
    0.8
    """
    import pandas as pd

    rows = _rows("share_frame", rows)
    found = pd.DataFrame([row._asdict() for row in rows]).set_index("name")
    return found.drop(columns="called", errors="ignore")  # of those who know it, what people call it


def share_figure(rows: Sequence[Contribution] | Sequence[Index], ax: Axes | None = None, *, most: int = 12) -> Axes:
    """Draw shares as horizontal bars, the largest on top, the rest summed up in one bar; it shows itself in a notebook.

    `rows` is what `contributions()` or `sobol_indices` gave, `ax` the axes to draw on (new ones by default), `most` the
    number of bars before the rest, a whole number. Returns the axes. Raises `InputError` without rows, and for a `most`
    below 1.

    >>> import fitcheck as fc
    >>> gap = fc.dim("30 ± 0.2", name="room") - fc.dim("29 ± 0.1", name="part")
    >>> [label.get_text() for label in share_figure(gap.contributions()).get_yticklabels()]
    ['room', 'part']
    """
    rows = _rows("share_figure", rows)
    most = whole("most", most, 1)
    axes: Axes = from_above["shares"](rows, ax, most)
    return axes
