"""From findings to what is done next on a whole build: what to measure, what to buy and cut, the plan, a lot."""

from fitcheck.planning.buy_and_cut import ToBuy, ToCut, ToTap, to_buy, to_do, to_tap
from fitcheck.planning.conflicts import Conflict
from fitcheck.planning.lots import lot_of, match_parts
from fitcheck.planning.openings import OpenSize
from fitcheck.planning.outlook import Outlook, outlook
from fitcheck.planning.plan import Plan, Variant, plan_for
from fitcheck.planning.tolerances import Tightened, TighterTolerances
from fitcheck.planning.workshop import Workshop
from fitcheck.planning.worth import Measurements, Worth, worth_measuring

__all__ = [
    "Conflict",
    "Measurements",
    "OpenSize",
    "Outlook",
    "Plan",
    "Tightened",
    "TighterTolerances",
    "ToBuy",
    "ToCut",
    "ToTap",
    "Variant",
    "Workshop",
    "Worth",
    "lot_of",
    "match_parts",
    "outlook",
    "plan_for",
    "to_buy",
    "to_do",
    "to_tap",
    "worth_measuring",
]
