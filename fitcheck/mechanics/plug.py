"""How a shortened plug works: it must reach the contact when the cap is closed, and let it go when it is in."""

import numpy as np

from fitcheck.units import Number


def plug_margin(length: Number, room: Number, travel: Number, seat: Number, hold: float, free: float) -> Number:
    """The smaller of the two margins of a shortened plug, mm.

        min(length - room - travel - hold, room + seat - free - length)

    Parameters
    ----------
    length : length of the plug from tip to cut end, mm
    room : from the face of the port to the floor of the closed cap, mm
    travel, seat : insertion at which the contact opens, and at which the plug stops, mm
    hold : insertion required beyond the opening of the contact, mm
    free : gap required between plug and cap, mm

    The arguments broadcast. Sum of lengths; no published source.
    """
    opens = np.asarray(length) - room - travel - hold
    closes = np.asarray(room) + seat - free - length
    return np.asarray(np.minimum(opens, closes))[()]
