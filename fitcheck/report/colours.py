"""The colours of every form of report, each said once: ink on white, and one hue a verdict.

What fails is the darkest and what holds the lightest, so that grey paper and every kind of colour vision keep the
order; a test computes the contrasts (WCAG 2.2, 1.4.3).
"""

from __future__ import annotations

from fitcheck.questions.finding import Verdict

INK = "#1a1a1a"
SOFT = "#4a4f55"
GREY = "#5f6368"
RULE = "#b9bfc6"
METAL = "#c4cad1"
PALE = "#e6e9ec"
BLUE = "#2f6ba8"
PALE_BLUE = "#c9dcf0"
ORANGE = "#8a2f00"
PALE_ORANGE = "#f3d3ba"

OF_VERDICT = {Verdict.FAILS: ORANGE, Verdict.LIKELY: "#595e64", Verdict.HOLDS: BLUE}


def variables() -> str:
    """The colours as variables of a style sheet."""
    named = {"ink": INK, "soft": SOFT, "rule": RULE, "pale": PALE, "blue": BLUE, "orange": ORANGE}
    named |= {verdict.value: colour for verdict, colour in OF_VERDICT.items()}
    return f":root {{ color-scheme: light; {' '.join(f'--{name}: {colour};' for name, colour in named.items())} }}\n"
