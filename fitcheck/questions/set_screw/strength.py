"""Set-screw strip risk: a short screw in a thin round wall, turned by hand.

The thread that holds is what the curved wall leaves between countersinks and the end of the screw. The axial load that
strips it, over the load that a unit of torque makes, is the strip torque; the question is how likely a hand reaches it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import Any

import numpy as np

from fitcheck.basis import Basis
from fitcheck.errors import InputError
from fitcheck.mechanics import (
    axial_hold,
    axial_load,
    crushing_shares,
    drop_pull,
    lever_arm,
    point_radius,
    short_model,
    slip_demand,
    swing_pull,
    weight_pull,
    worn_engagement,
)
from fitcheck.mechanics.flank_bearing import LEAST_OVERLAP
from fitcheck.mechanics.short_engagement import bench_error, strip_loads, textbook_loads
from fitcheck.mechanics.tapping import slanted_engagement
from fitcheck.mechanics.wall import engaged_length, standing_tip
from fitcheck.questions.readers import stated_in
from fitcheck.questions.set_screw.clamp_load import clamp_at_the_end, clamp_inputs
from fitcheck.questions.set_screw.pressed_blade import load_borne, tube_inputs
from fitcheck.questions.set_screw.question import ScrewInputs
from fitcheck.questions.set_screw.refused import refuse_impossible
from fitcheck.questions.short_threads import limits_share, own_level
from fitcheck.stack import Dimension, Response
from fitcheck.stack.grown import Grown, Growth
from fitcheck.stack.probability.quantile import advised_quantile
from fitcheck.stack.trials import Bench, Piece
from fitcheck.threads.profile import flank_overlap, thread_height
from fitcheck.units import FORCE, PLAIN, Number, Unit

_IN_THE_WALL = (
    *("outside", "bore", "screw_length", "point_length", "socket_end", "countersink", "countersink_inside"),
    *("bell_mouth", "d"),
)
_ENGAGED = (*_IN_THE_WALL, "blade", "spotted")
_THREAD = ("d", "d2", "D1", "D2")
_FEW = 4096  # samples behind a standard deviation
_FARTHEST = 10.0
"""Times published tests, either way, from which on a trial is not believed: some five standard deviations of a bench
that was never tested, friction included."""
POINTS = 1 << 15
"""Samples behind an interval: what is known of a thread is not worth more."""


@dataclass(frozen=True, kw_only=True, repr=False)
class SetScrew(ScrewInputs):
    """May the set screw be turned by hand without stripping the wall, and does it then hold the blade?

    Its models take v, values of the inputs by name: lengths and diameters in mm, strengths in MPa, torques in N·m,
    friction as a ratio; numbers or arrays that broadcast. Those that stand on `mechanics` raise `InputError` where its
    models refuse a value.

    >>> asked = SetScrew.read({
    ...     "hole": "M4x0.7-6H", "screw": "M4x0.7-6g", "outside": "30 ± 0.1", "bore": "25.4 ± 0.05",
    ...     "blade": "25 ± 0.1", "wall_material": "6061-T6", "screw_material": "45H", "pull": "20 N",
    ...     "friction_thread": "0.15 ± 0.05", "friction_point": "0.3 ± 0.1", "friction_bore": "0.3 ± 0.1",
    ...     "hand_torque": "0.4 ± 0.1 N·m"})
    >>> round(asked.threads_engaged.nominal, 1), asked.findings()[0].verdict.value
    (1.7, 'fails')
    """

    def __post_init__(self) -> None:
        super().__post_init__()
        refuse_impossible(self)

    def length(self, v: Mapping[str, Any]) -> Number:
        """Engaged length with the screw on the blade, mm, less what is torn out of the hole [1]_ [2]_ [3]_.

        v: numbers or arrays by the names of `sizes` (mm) and `damage`. Raises `InputError` for what `mechanics`
        refuses.

        References
        ----------
        .. [1] `fitcheck.mechanics.wall.engaged_length` with `standing_tip`: the thread that screw and wall share.
        .. [2] `fitcheck.mechanics.tapping.slanted_engagement`: a screw that stands askew.
        .. [3] `fitcheck.mechanics.short_engagement.worn_engagement`: turns and parts that are torn out.
        """
        if "trial_wall" in v:  # a flat piece, drilled through, and no screw has more thread than it is long
            taken = np.asarray(v["countersink"]) + v["countersink_inside"]
            return np.asarray(np.clip(np.asarray(v["trial_wall"]) - taken, 0.0, np.maximum(v["screw_length"], 0.0)))
        return self._left(engaged_length(tip=tip_stands(v), **_wall(v)), v)

    def backed_off(self, v: Mapping[str, Any]) -> Number:
        """Engaged length with the tip flush with the bore, out of the way of any blade, mm [1]_.

        v: numbers or arrays by the names of `sizes` (mm) and `damage`. Raises `InputError` for what `mechanics`
        refuses.

        References
        ----------
        .. [1] As for `length`, with the tip at the wall of the bore.
        """
        return self._left(engaged_length(tip=np.asarray(v["bore"]) / 2, **_wall(v)), v)

    def _left(self, length: Number, v: Mapping[str, Any]) -> Number:
        if self.slant:
            length = slanted_engagement(length, np.maximum(v["d"], 0.1 * self.screw.nominal) / 2, self.slant)
        if not self.damage:
            return length
        turns, part = np.maximum(v.get("turns_gone", 0.0), 0.0), np.clip(v.get("part_gone", 0.0), 0.0, 1.0)
        return worn_engagement(length, self.screw.pitch, turns_gone=turns, part_gone=part)

    def _lever(self, v: Mapping[str, Any]) -> tuple[Number, ...]:
        """The arguments of `lever_arm`. Frictions and diameters that a spread draws below 0 count as 0."""
        thread, point, tip = (np.maximum(v[key], 0.0) for key in self.torque_inputs)
        return self.screw.lead, v["d2"], thread, point, point_radius(self.point, tip)

    def lever(self, v: Mapping[str, Any]) -> Number:
        """Torque for a unit of axial load, mm [1]_.

        v: numbers or arrays by the names of `torque_inputs`, and d2 (mm). Raises `InputError` for what `mechanics`
        refuses.

        References
        ----------
        .. [1] `fitcheck.mechanics.torque.lever_arm` with `fitcheck.mechanics.torque.point_radius`.
        """
        return lever_arm(*self._lever(v))

    def both_loads(self, v: Mapping[str, Any], *, textbook: bool = False) -> tuple[Number, Number]:
        """Loads that strip the hole's and the screw's thread or crush their flanks, N [1]_ [2]_ [3]_.

        v: numbers or arrays by the names of `strip_inputs`, mm and MPa. textbook: whether by `textbook_loads`
        instead of `strip_loads`. Raises `InputError` for what `mechanics` refuses.

        References
        ----------
        .. [1] `fitcheck.mechanics.short_engagement.strip_loads`, with `bench_error` for a bench without trials.
        .. [2] `fitcheck.mechanics.flank_bearing.crushing_shares`: flanks that overlap little.
        .. [3] `fitcheck.mechanics.short_engagement.textbook_loads`, where they are asked for.
        """
        LE = self.length(v)
        if textbook:
            return textbook_loads(LE, self.screw.pitch, **_parts(v))
        # What own trials say takes the place of what other benches and their scatter say.
        return self._loads(LE, v, v["own"] if "own" in v else v["bench"] * self._bench_error(LE))

    def _bench_error(self, LE: Number) -> Number:
        return bench_error(np.asarray(LE) / self.screw.pitch)

    def _loads(self, LE: Number, v: Mapping[str, Any], level: Number) -> tuple[Number, Number]:
        """`both_loads` of an engaged length and a level of the bench, a logarithm."""
        P = self.screw.pitch
        hole, screw = strip_loads(LE, P, **_parts(v), level=level, scatter=v.get("scatter", 0.0))
        limits = limits_share(self.hole)
        crushing = crushing_shares(P, **{key: v[key] for key in _THREAD}, **self.bearing_ratios)
        return hole * limits[0] * crushing[0], screw * limits[1] * crushing[1]

    def torque_to_strip(self, *, textbook: bool = False, **v: Any) -> Number:
        """Torque that strips the weaker thread, N·m [1]_.

        v, textbook: as for `both_loads`. Raises `InputError` for what `mechanics` refuses.

        References
        ----------
        .. [1] The lesser of `both_loads`, as a torque by `torque_for`.
        """
        strips = self._strips(v, textbook=textbook)
        return strips if self.proved is None or textbook else np.asarray(np.maximum(strips, self.proved))

    def torque_for(self, load: Number, v: Mapping[str, Any]) -> Number:
        """Torque on the key that makes an axial load, N·m, with what a locking takes of it [1]_.

        load: N, a number or an array. v: numbers or arrays as for `load`, without hand_torque. Raises `InputError` for
        what `mechanics` refuses.

        References
        ----------
        .. [1] `fitcheck.mechanics.torque.tightening_torque`, by its `lever_arm`; prevailing torque is added to it.
        """
        return np.asarray(load * self.lever(v) / 1000 + np.maximum(v.get("prevailing", 0.0), 0.0))

    def _relied_on(self, **v: Any) -> Number:
        """Torque that strips the weaker thread; 0 where the crests overlap too little for a thread to be relied on."""
        return self._if_it_overlaps(self.torque_to_strip(**v), v)

    def load_relied_on(self, v: Mapping[str, Any]) -> Number:
        """Load that strips the weaker thread, N; 0 where the crests overlap too little for it to be relied on [1]_.

        v: as for `both_loads`, mm and MPa. Raises `InputError` for what `mechanics` refuses.

        References
        ----------
        .. [1] The lesser of `both_loads`; `fitcheck.threads.profile.flank_overlap`.
        """
        return self._if_it_overlaps(np.minimum(*self.both_loads(v)), v)

    @property
    def level_key(self) -> str:
        """The input that says how far this bench lies off the published tests: by own trials where there are some."""
        return "own" if self.tried else "bench"

    def load_grows(self, v: Mapping[str, Any], *, relied_on: bool = True) -> Growth:
        """How the load that strips the weaker thread, N, grows with the level of this bench, `level_key` [1]_.

        v: as for `both_loads`, without that level. relied_on: whether crests that overlap too little bear nothing, as
        in `load_relied_on`. Raises `InputError` for what `mechanics` refuses.

        References
        ----------
        .. [1] `fitcheck.mechanics.short_engagement.strip_loads`; a level that no bench has is not cut off.
        """
        LE = self.length(v)
        load = np.minimum(*self._loads(LE, v, 0.0))
        rate = 1.0 if self.tried else self._bench_error(LE)
        return Growth(self._if_it_overlaps(load, v) if relied_on else load, rate)

    def _torque_grows(self, v: Mapping[str, Any], *, relied_on: bool) -> Growth:
        """The same of the torque that strips it, N·m."""
        load = self.load_grows(v, relied_on=relied_on)
        taken = np.maximum(v.get("prevailing", 0.0), 0.0)
        floor: Number = 0.0 if self.proved is None else self.proved
        if relied_on:  # a thread that is not relied on passes no locking and has proved nothing
            taken, floor = self._if_it_overlaps(taken, v), self._if_it_overlaps(floor, v)
        return Growth(load.scale * self.lever(v) / 1000, load.rate, taken, floor)

    def _strip_grows(self, relied_on: bool, **v: Any) -> Growth:
        return self._torque_grows(v, relied_on=relied_on)

    def _margin_grows(self, hand_torque: Number, **v: Any) -> Growth:
        return self._torque_grows(v, relied_on=True)._replace(per=self._at_most(hand_torque))

    def _if_it_overlaps(self, borne: Number, v: Mapping[str, Any]) -> Number:
        if not self.own_thread:
            return borne
        overlap = self._of_the_basic(**{key: v[key] for key in _THREAD})
        return np.where(overlap >= LEAST_OVERLAP, borne, 0.0)

    def load(self, v: Mapping[str, Any]) -> Number:
        """Axial load at the hand torque, N: what a prevailing torque takes of it clamps nothing [1]_.

        v: numbers or arrays, hand_torque (N·m), what `lever` takes, and prevailing (N·m) where there is one. Raises
        `InputError` for what `mechanics` refuses.

        References
        ----------
        .. [1] `fitcheck.mechanics.torque.axial_load`.
        """
        clamping = np.asarray(v["hand_torque"]) - np.maximum(v.get("prevailing", 0.0), 0.0)
        return axial_load(np.maximum(clamping, 0.0), *self._lever(v))

    def hold(self, *, passes: float = math.inf, **v: Any) -> Number:
        """Friction that all screws together hold the blade with, after creep and in the cold, N [1]_.

        passes: what key and socket pass at the most, N·m. v: numbers or arrays, friction_bore (a ratio), what `load`
        takes, and `clamp_inputs` where the clamp load falls. Raises `InputError` for what `mechanics` refuses.

        References
        ----------
        .. [1] `fitcheck.mechanics.holding.axial_hold`, of the load that `fitcheck.mechanics.clamp.clamp_left` leaves.
        """
        v = {**v, "hand_torque": np.minimum(v["hand_torque"], passes)}
        point, bore = np.maximum(v["friction_point"], 0.0), np.maximum(v["friction_bore"], 0.0)
        clamp = clamp_at_the_end(self, self.load(v), v)
        return np.asarray(axial_hold(clamp, point, bore, self.screws, share=self.share))

    def _turns(self, length: Callable[[Mapping[str, Any]], Number], keys: tuple[str, ...], name: str) -> Response:
        inputs = {key: self.sizes[key] for key in keys if key in self.sizes} | self.damage
        return Response(partial(self._in_pitches, length), inputs, unit=PLAIN, name=name)

    def _in_pitches(self, length: Callable[[Mapping[str, Any]], Number], **v: Any) -> Number:
        return np.asarray(length(v) / self.screw.pitch)

    # -- own trials ------------------------------------------------------------------------------------

    @cached_property
    def strip_inputs(self) -> dict[str, Dimension]:
        """All that the strip torque depends on: with own trials, what they say in place of bench, scatter and friction.

        A trial is made with the same screws and hands as the real hole, so that it shows the friction as well.
        """
        published = self.published_inputs
        if not self.tried:
            return published
        kept = {key: d for key, d in published.items() if key not in ("bench", "scatter")}
        for key in ("friction_thread", "friction_point"):
            kept[key] = replace(kept[key], lower=kept[key].nominal, upper=kept[key].nominal, basis=Basis.MEASURED)
        return {**kept, "own": own_level(self.bench)}

    @property
    def tried(self) -> bool:
        """Whether there are own trials."""
        return bool(self.trials or self.survived or self.proved)

    @cached_property
    def bench(self) -> Bench:
        """What published tests and own trials say of this bench."""
        model, here = short_model(), self.here
        scrap = self.piece(self._scrap) if self._scrap else here
        return Bench(
            error=float(bench_error(self.threads_engaged.nominal)),
            degrees=model.bench.freedom,
            scatter=model.scatter.value,
            scatter_degrees=model.scatter.freedom,
            shared=self._log_spread(self.lever, ("friction_thread", "friction_point"), self.published_inputs),
            broke=self._believed("trials", self.trials or (), scrap, stripped=True),
            held=(
                *self._believed("survived", self.survived or (), scrap),
                *(self._believed("proved", (self.proved,), here) * self.screws if self.proved is not None else ()),
            ),
        )

    def _believed(
        self, key: str, torques: Sequence[float], turned: Callable[[float], Piece], *, stripped: bool = False
    ) -> tuple[Piece, ...]:
        """The trials, of which none lies so far from all published tests that it must be of another screw or unit.

        One that held may have been turned with as little as anybody likes.
        """
        pieces, show = tuple(map(turned, torques)), self.hand_torque.unit.show
        for i, (torque, piece) in enumerate(zip(torques, pieces, strict=True), start=1):
            times = math.exp(piece.off)
            if times > _FARTHEST or (stripped and times < 1 / _FARTHEST):
                name = key if key == "proved" else f"{key}[{i}]"
                much = f"{times:.0f}" if times > 1 else f"{times:.2g}"
                raise InputError(
                    f"{name} = {show(torque)}: {much} times what published tests have for this screw and wall, which "
                    f"strip at about {show(torque / times)}; a torque within {_FARTHEST:g} times of it is needed: look "
                    "at its unit, the thread and the wall",
                    key=key,
                )
        return pieces

    @cached_property
    def here(self) -> Callable[[float], Piece]:
        """`piece` of the tube itself."""
        return self.piece({})

    @property
    def _scrap(self) -> dict[str, Dimension]:
        """Sizes of the scrap where they are not the tube's; the bar inside fits it as the blade fits the bore."""
        sizes = {"outside": self.trial_outside, "bore": self.trial_bore, "trial_wall": self.trial_wall}
        found = {key: size for key, size in sizes.items() if size is not None}
        if self.trial_bore is not None:
            wider = self.trial_bore.nominal - self.bore.nominal
            blade = self.blade
            found["blade"] = replace(
                blade, nominal=blade.nominal + wider, lower=blade.lower + wider, upper=blade.upper + wider
            )
        return found

    def piece(self, sizes: Mapping[str, Dimension]) -> Callable[[float], Piece]:
        """What turns a torque, N·m, into a trial: the logarithm of it over the median of a piece of these sizes [1]_.

        sizes: those that are not the tube's, by the names of `sizes`, mm. Raises `InputError` where no thread engages.

        References
        ----------
        .. [1] `torque_to_strip` at the nominal sizes; trials: `fitcheck.stack.trials.Piece`.
        """
        inputs = {**self.published_inputs, **sizes}
        median = float(self._strips({key: d.nominal for key, d in inputs.items()}))
        if not median > 0:
            raise InputError("trials: no thread engages in scrap of these sizes: nothing can be learned from it")
        own = [key for key in inputs if key not in ("bench", "scatter", "friction_thread", "friction_point")]
        spread = self._log_spread(self._strips, own, inputs)
        return partial(_turned_to, median, spread)

    def _strips(self, v: Mapping[str, Any], *, textbook: bool = False) -> Number:
        return self.torque_for(np.minimum(*self.both_loads(v, textbook=textbook)), v)

    @staticmethod
    def _log_spread(
        function: Callable[[Mapping[str, Any]], Any], keys: Iterable[str], inputs: Mapping[str, Dimension]
    ) -> float:
        """Standard deviation of the logarithm of a function as the inputs named spread, the others at their nominal."""
        drawn: dict[str, Any] = {key: d.nominal for key, d in inputs.items()}
        rng = np.random.default_rng(0)
        for key in keys:
            d = inputs[key]
            drawn[key] = d.middle + d.half_width * d.spread.sample(rng, _FEW)
        values = np.broadcast_to(function(drawn), _FEW)
        return float(np.log(values[values > 0]).std()) if np.any(values > 0) else 0.0

    @cached_property
    def threads_engaged(self) -> Response:
        """Threads of the wall and of the screw that engage."""
        return self._turns(self.length, _ENGAGED, "engaged threads")

    @property
    def sinks(self) -> bool:
        """Whether the incomplete thread at the socket can lie in the wall with the screw on the blade."""
        sizes = self.sizes
        lowest = {"blade": sizes["blade"].lower, "bore": sizes["bore"].upper}
        if self.spotted is not None:
            lowest["spotted"] = self.spotted.upper
        full_to = float(tip_stands(lowest)) + sizes["screw_length"].lower - sizes["socket_end"].upper
        return full_to < sizes["outside"].upper / 2 - sizes["countersink"].lower

    @cached_property
    def threads_backed_off(self) -> Response:
        """Threads that still hold the screw in the wall when its tip is flush with the bore."""
        return self._turns(self.backed_off, _IN_THE_WALL, "threads when backed off")

    @cached_property
    def strip_torque(self) -> Grown:
        """Torque on the key that strips the weaker thread, N·m."""
        return self._strips_by(self.torque_to_strip, relied_on=False)

    def _strips_by(self, function: Callable[..., Number], *, relied_on: bool) -> Grown:
        return Grown(
            function,
            self.strip_inputs,
            along=self.level_key,
            beside="scatter",
            law=partial(self._strip_grows, relied_on),
            unit=self.hand_torque.unit,
            name="strip torque",
            samples=POINTS,
        )

    @staticmethod
    def _sampled(function: Callable[..., Number], inputs: Mapping[str, Dimension], unit: Unit, name: str) -> Response:
        return Response(function, inputs, unit=unit, name=name, samples=POINTS)

    @cached_property
    def strip_margin(self) -> Grown:
        """Strip torque over the most torque of all tightenings: below 1 the thread strips."""
        inputs = {**self.strip_inputs, "hand_torque": self.put_on}
        return Grown(
            self._over_the_hand,
            inputs,
            along=self.level_key,
            beside="scatter",
            law=self._margin_grows,
            unit=PLAIN,
            name="strip torque over hand torque",
            samples=POINTS,
        )

    def _over_the_hand(self, hand_torque: Number, **v: Any) -> Number:
        return np.asarray(self._relied_on(**v) / self._at_most(hand_torque))

    def _at_most(self, hand_torque: Number) -> Number:
        # A hand that a spread draws below a thousandth of its usual torque strips nothing.
        return np.asarray(np.maximum(self._most_of_all(hand_torque), self._least_hand))

    @property
    def _least_hand(self) -> float:
        return self.hand_torque.nominal / 1000

    def _most_of_all(self, one: Number) -> Number:
        """The most of all tightenings, which is as likely passed by chance as `one` is by one of them.

        The strength stays with the hole while the torque is drawn anew each time: of m draws with the cumulative
        probability F the most has F^m.
        """
        hand = self.put_on
        if self.tightenings == 1 or not hand.half_width:
            return one
        passed = hand.spread.cdf((np.asarray(one) - hand.middle) / hand.half_width) ** (1 / self.tightenings)
        return np.asarray(hand.middle + hand.half_width * hand.spread.quantile(passed))

    def hold_at(self, torque: Dimension, passes: float = math.inf) -> Response:
        """Friction that holds the blade when every screw is turned with `torque`, N [1]_.

        torque: a dimension, N·m inside. passes: what key and socket pass, N·m. Raises `InputError` where the models of
        `hold` refuse a value.

        References
        ----------
        .. [1] As for `hold`, of dimensions: `fitcheck.stack.Response`.
        """
        inputs = {"friction_bore": self.friction_bore, "hand_torque": torque, **clamp_inputs(self)}
        return Response(
            partial(self.hold, passes=passes),
            {**self.clamping, **inputs},
            unit=stated_in(self.pull, FORCE, beside=self.hand_torque.unit),
            name="hold on the blade",
            samples=POINTS,
        )

    @cached_property
    def safe_torque(self) -> float:
        """Torque that no tightening may pass, so that none of the screws strips but at the accepted risk, N·m."""
        return self.safe_torque_of(self.screws)

    def safe_torque_of(self, screws: int) -> float:
        """The torque that is safe for so many screws, N·m: n of them strip no oftener than n times one [1]_.

        screws: how many, a whole number from 1.

        References
        ----------
        .. [1] `fitcheck.stack.probability.quantile.advised_quantile`; over the screws by Boole's inequality.
        """
        strip = self.strip_torque
        if self.own_thread:
            strip = self._strips_by(self._relied_on, relied_on=True)
        return advised_quantile(strip, self.claimed_risk / screws)

    @cached_property
    def blade_torque(self) -> Response | None:
        """Torque on the key at which the wall of a tubular blade gives way, N·m; None for a solid blade."""
        inputs = tube_inputs(self)
        if not inputs:
            return None
        inputs = {**self.clamping, **inputs}
        return self._sampled(self._to_the_blade, inputs, self.hand_torque.unit, "torque that the blade bears")

    def _to_the_blade(self, **v: Any) -> Number:
        return self.torque_for(load_borne(self, v), v)

    @cached_property
    def safe_for_blade(self) -> float:
        """Torque that no screw may pass, so that a tubular blade gives way but at the accepted risk, N·m."""
        torque = self.blade_torque
        return math.inf if torque is None else advised_quantile(torque, self.risk / self.screws)

    def blade_margin(self, passes: float) -> Response | None:
        """Torque that a tubular blade bears over the most torque of all tightenings; None for a solid blade [1]_.

        passes: what key and socket pass at the most, N·m. Raises `InputError` for what `mechanics` refuses.

        References
        ----------
        .. [1] `fitcheck.mechanics.ring.ring_stress` of a tube that is pressed, as a torque by `torque_for`.
        """
        if self.blade_torque is None:
            return None
        inputs = {**self.clamping, **tube_inputs(self), "hand_torque": self.put_on}
        name = "torque that the blade bears over hand torque"
        return self._sampled(partial(self._blade_over_hand, passes), inputs, PLAIN, name)

    def _blade_over_hand(self, passes: float, hand_torque: Number, **v: Any) -> Number:
        most = np.minimum(self._most_of_all(hand_torque), passes)
        return np.asarray(self._to_the_blade(**v) / np.maximum(most, self._least_hand))

    @cached_property
    def flank_overlap(self) -> Response:
        """Radial overlap of the crests of screw and hole, over that of the basic profile."""
        inputs = {key: self.sizes[key] for key in _THREAD}
        return Response(self._of_the_basic, inputs, unit=PLAIN, name="overlap of the flanks")

    def _of_the_basic(self, **sizes: Number) -> Number:
        P = self.screw.pitch
        return np.maximum(flank_overlap(**sizes, P=P, P_nut=P), 0.0) / thread_height(P)

    @cached_property
    def pulls(self) -> tuple[tuple[float, str], ...]:
        """The pulls along the blade in N, one at a time, and what makes each."""
        if self.mass is None:
            return ((self.pull or 0.0, "as given"),)
        pulls = [(float(weight_pull(self.mass)), "the weight of the blade hanging still")]
        if self.swing is not None and self.arm is not None:
            pulls.append((float(swing_pull(self.mass, self.swing, self.arm)), "the swing"))
        if self.drop is not None and self.stop is not None:
            pulls.append((float(drop_pull(self.mass, self.drop, self.stop)), "the drop"))
        return tuple(pulls)

    @property
    def pulled(self) -> tuple[float, str]:
        """The greatest of `pulls`."""
        return max(self.pulls)

    @property
    def demand(self) -> float:
        """Friction that pull and twist together ask for, N."""
        return self.slips(self.pulled[0], self.twist)

    def slips(self, pull: float, twist: float) -> float:
        """Friction that a pull and a twist ask for together, N [1]_.

        pull: along the blade, N. twist: of it, N·m. Raises `InputError` for what is not finite.

        References
        ----------
        .. [1] `fitcheck.mechanics.holding.slip_demand`.
        """
        return float(slip_demand(pull, twist, self.blade.nominal))


def tip_stands(v: Mapping[str, Any]) -> Number:
    """Height over the tube's axis of a tip that stands on the blade, or as deep in it as it is spotted, mm [1]_.

    v: numbers or arrays by the names of `SetScrew.sizes`, mm. Raises `InputError` where its model refuses a value.

    References
    ----------
    .. [1] `fitcheck.mechanics.wall.standing_tip`.
    """
    spotted: Number = v.get("spotted", 0.0)
    return standing_tip(v["blade"], v["bore"]) - spotted


def _turned_to(median: float, spread: float, torque: float) -> Piece:
    """A piece that was turned to a torque, N·m; of the module, so that a finding can be sent to another process."""
    return Piece(math.log(torque / median), spread)


def _parts(v: Mapping[str, Any]) -> dict[str, Any]:
    """The arguments of `strip_loads` and `textbook_loads` that are inputs."""
    return {key: v[key] for key in ("d", "d2", "D1", "D2", "tau_wall", "tau_screw")}


def _wall(v: Mapping[str, Any]) -> dict[str, Any]:
    """The arguments of `engaged_length` other than the tip; the bell mouth lies under the countersink."""
    wall = {key: v[key] for key in _IN_THE_WALL}
    bell = np.maximum(wall.pop("bell_mouth"), 0.0)
    return {**wall, "countersink": np.maximum(wall["countersink"], 0.0) + bell}
