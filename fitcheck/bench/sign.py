"""Which inputs may be negative. A length below 0 is nonsense and is refused; an offset or an allowance is not."""

from __future__ import annotations

from enum import Enum

from fitcheck.bench.stated import stated_in
from fitcheck.errors import InputError
from fitcheck.stack import Dimension
from fitcheck.units import Kind


class Sign(Enum):
    """What an input must be; a dimension must be so over its whole zone."""

    ANY = "any"
    POSITIVE = "positive"
    NOT_NEGATIVE = "not negative"
    STACKED = "not negative before its tolerance"
    """A length that is added to others: "0 ± 0.1" is an allowance among them, such as a runout."""

    def kind_words(self, kind: Kind) -> str:
        """The kind with its article: "a length above 0"."""
        which = "" if self is Sign.ANY else " above 0" if self is Sign.POSITIVE else " of at least 0"
        return f"{kind.with_article}{which}"

    def check(self, where: str, value: Dimension | float, kind: Kind) -> None:
        """Raise `InputError` naming `where` unless `value` is so."""
        if isinstance(value, Dimension):
            least = value.nominal if self is Sign.STACKED else value.lower
            shown, zone = str(value), "" if self is Sign.STACKED else " over its whole zone"
        else:
            used = stated_in(value, kind)
            least, shown, zone = value, f"{used.from_base(value):g} {used.text}".rstrip(), ""
        if (least < 0 and self is not Sign.ANY) or (least == 0 and self is Sign.POSITIVE):
            raise InputError(f"{where} = {shown}: {self.kind_words(kind)}{zone} is needed")
