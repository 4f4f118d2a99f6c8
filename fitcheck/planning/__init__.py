"""From findings to what is done next on a whole build: what to measure."""

from fitcheck.planning.outlook import Outlook, outlook
from fitcheck.planning.workshop import Workshop
from fitcheck.planning.worth import Measurements, Worth, worth_measuring

__all__ = ["Measurements", "Outlook", "Workshop", "Worth", "outlook", "worth_measuring"]
