"""What several questions refuse before they are asked: a tube without a wall, a blade that is no match for its bore,
threads that are no pair, a friction that is a percentage.
"""

from __future__ import annotations

from fitcheck.errors import InputError
from fitcheck.stack import Dimension
from fitcheck.threads import Thread


def check_wall(bore: Dimension | None, outside: Dimension | None) -> None:
    """Refuse a tube that may have no wall; None is a size that is not known."""
    if bore is not None and outside is not None and bore.upper >= outside.lower:
        raise InputError(
            f"bore = {bore}, outside = {outside}: no wall is left; a bore smaller than the outside of the tube over "
            "the whole zone is needed",
            key="bore",
        )


_LOOSEST = 0.1
"""A blade with more play than this part of its bore does not belong to it (common practice, no source)."""


def check_blade(blade: Dimension, bore: Dimension) -> None:
    """Refuse a blade that rattles about in its bore or is far too large for it: another part, or a slip of the pen."""
    play, show = bore.middle - blade.middle, bore.unit.show
    if abs(play) > _LOOSEST * bore.middle:
        how = f"{show(abs(play))} {'smaller' if play > 0 else 'larger'} than"
        raise InputError(
            f"blade = {blade}: {how} its bore of {bore}: a blade that fits the bore to within {_LOOSEST:.0%} is needed",
            key="blade",
        )


def refuse_other_hand(external: Thread | None, internal: Thread | None) -> None:
    """Refuse a left-hand thread with a right-hand one; None is a thread that is not known."""
    if external is None or internal is None or external.left_hand is internal.left_hand:
        return
    left, right = (external, internal) if external.left_hand else (internal, external)
    raise InputError(
        f"{external.designation} in {internal.designation}: {left.designation} is left-hand, {right.designation} "
        "right-hand: both must be alike"
    )


def check_friction(name: str, value: Dimension) -> None:
    """Refuse a coefficient of friction above 1: that is a percentage without its sign."""
    if value.upper > 1:
        plain, percent = f"{value.nominal / 100:g}", f"{value.nominal:g}"
        slip = value.nominal > 1 and value.unit.text != "%"
        hint = f": write {plain} or '{percent} %' for {percent} percent" if slip else ""
        raise InputError(f"{name} = {value}: a coefficient of friction of at most 1 is needed{hint}", key=name)


def same_thread(external: Thread, internal: Thread) -> None:
    """Refuse a pair that cannot be screwed together, and say why."""
    refuse_other_hand(external, internal)
    pair = f"{external.designation} in {internal.designation}"
    if abs(external.pitch - internal.pitch) > 1e-6 or abs(external.nominal - internal.nominal) > 1e-6:
        raise InputError(f"{pair}: nominal diameter and pitch must be equal")
