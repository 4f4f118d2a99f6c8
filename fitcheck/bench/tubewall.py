"""What a thread leaves of a tube's wall, and what that bears: pull and twist at which its section yields.

Plain functions on floats or arrays, which broadcast. Sizes in mm, stresses in MPa. A section that is used up bears 0,
so that a sample beyond a tolerance does not end the run.
"""

from __future__ import annotations

from fitcheck.errors import InputError
from fitcheck.stack import Dimension, dimension
from fitcheck.threads.profile import TRIANGLE
from fitcheck.units import PLAIN


def check_wall(bore: Dimension | None, outside: Dimension | None) -> None:
    """Refuse a tube that may have no wall; None is a size that is not known."""
    if bore is not None and outside is not None and bore.upper >= outside.lower:
        raise InputError(
            f"bore = {bore}, outside = {outside}: no wall is left; a bore smaller than the outside of the tube over "
            "the whole zone is needed"
        )


def root_depth(external: bool) -> Dimension:
    """How far the root lies beyond the pitch diameter, in H on the diameter, uniform between the usual forms.

    External: from 5/8 (UNR, ASME B1.1) to 0.7113 (least root radius 0.125 P, ISO 965-1), 2/3 as ISO 965-3 and the
    stress area have it. Internal: from 3/4 (basic) to 11/12 (largest a tap leaves, Machinery's Handbook).
    """
    low, middle, high = (5 / 8, 2 / 3, 0.616025 / TRIANGLE) if external else (3 / 4, 5 / 6, 11 / 12)
    name = f"root of the {'external' if external else 'internal'} thread"
    return dimension(middle, plus=high - middle, minus=middle - low, name=name, unit=PLAIN, origin="thread profile")


_LOOSEST = 0.1
"""A blade with more play than this part of its bore does not belong to it (common practice, no source)."""


def check_blade(blade: Dimension, bore: Dimension) -> None:
    """Refuse a blade that rattles about in its bore or is far too large for it: another part, or a slip of the pen."""
    play, show = bore.middle - blade.middle, bore.unit.show
    if abs(play) > _LOOSEST * bore.middle:
        how = f"{show(abs(play))} {'smaller' if play > 0 else 'larger'} than"
        raise InputError(
            f"blade = {blade}: {how} its bore of {bore}: a blade that fits the bore to within {_LOOSEST:.0%} is needed"
        )
