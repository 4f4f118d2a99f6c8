"""What a number rests on: a drawing, a measurement, a standard, a printed table, somebody's memory, or a habit."""

from __future__ import annotations

from enum import StrEnum


class Basis(StrEnum):
    """What a number rests on, the firmest first.

    >>> Basis("from memory") is Basis.MEMORY
    True
    """

    MEASURED = "measured"
    """The part itself was measured."""
    DRAWN = "drawn"
    """A drawing note, or limits that whoever asks has given."""
    STANDARD = "standard"
    """Limits of size that a standard sets: a thread class, a fit."""
    PRINTED = "printed"
    """A table that was seen in print, or a fit to printed tests."""
    RULE = "rule"
    """A rule of a standard, applied to what it prints."""
    ASSUMED = "assumed"
    """An estimate, a choice, or a state that is free to change."""
    MEMORY = "from memory"
    """Written down from memory, in whole or in part: no print was at hand."""
    NO_SOURCE = "no source"
    """Common practice that no source prints."""

    @property
    def unsourced(self) -> bool:
        """Whether a finding that uses the number must say that no print of it was seen."""
        return self in (Basis.MEMORY, Basis.NO_SOURCE)


def weakest(*rests_on: Basis) -> Basis:
    """What a number rests on that is made of several: the least firm of them.

    >>> weakest(Basis.PRINTED, Basis.NO_SOURCE, Basis.MEMORY).value
    'no source'
    """
    return max(rests_on, key=list(Basis).index)
