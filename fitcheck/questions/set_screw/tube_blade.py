"""What is said of a blade that is a tube: whether its wall bears the screws."""

from __future__ import annotations

from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.set_screw.pressed_blade import flattened, yields
from fitcheck.questions.set_screw.sentences import torque_advice
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.questions.set_screw.torque_limits import advised_torque, down
from fitcheck.questions.words import BLADE_CAUTIONS, STRENGTH_CAUTIONS, Meaning, assumed_spreads
from fitcheck.stack import Response

SOLID = "The blade is solid where the screws press; for a tube give blade_bore."
"""What is taken of a blade whose bore is not given."""


def tube_finding(q: SetScrew, margin: Response) -> Finding:
    """Torque at which the wall of a tubular blade gives way, over the hand torque."""
    assert q.blade_torque is not None
    assert q.blade_bore is not None
    assert q.blade_material is not None
    used, size = q.hand_torque.unit, q.bore.unit.show
    wall = (q.blade.nominal - q.blade_bore.nominal) / 2
    gives = "yields" if yields(q) else "cracks"
    safe = advised_torque(q).torque
    shapes = [(used.show(q.hand_torque.nominal), q.hand_torque.nominal)]
    shapes += [(down(used, safe), safe)] if 0 < safe < q.put_on.upper else []
    flat = [
        f"{size(flattened(q, q.load({**q.nominal, 'hand_torque': torque})))} at {words}" for words, torque in shapes
    ]
    return judge(
        q,
        margin,
        Requirement(at_least=1.0, risk=q.risk / q.screws),
        label="torque at which the blade's wall gives way over hand torque",
        answer=(
            f"it is a tube with a wall of {size(wall)}, and under a screw it {gives} from about "
            f"{used.show(q.blade_torque.nominal)} on, and no more than {down(used, q.safe_for_blade)} is safe for it."
        ),
        means=Meaning("The blade bears its screws", "The screws can crush the blade"),
        change=(
            "glue a plug into the blade where the screws press, and ask again without blade_bore",
            "use a blade with a thicker wall, or a wider point",
            *([torque_advice(q)] if 0 < safe < q.put_on.upper else []),
        ),
        assumptions=(
            *assumed_spreads(*margin.inputs.values()),
            "The screw bends the wall as a point load bends a long thin shell; the bore on the other side is taken as "
            "a line, and the sides of the blade as free: the safe side.",
            "Where the screws stand closer than the length of wall that carries one, or nobody says where, they are "
            "taken at one place.",
            "The wall is sound: a scratch, a hole or a solvent lets a plastic crack far earlier.",
        ),
        sources=(
            "ring under radial loads: Roark's Formulas for Stress and Strain, table 9.2, from memory; length that "
            "carries: fitted here to the series of a long shell",
        ),
        cautions=(*BLADE_CAUTIONS, *STRENGTH_CAUTIONS),
        details={"flattened": f"{' and '.join(flat)}, away from its end; a plastic goes on creeping"},
    )
