"""What a page can be traced by: the title block with version, sheet and its hash, date, and lines for names."""

from __future__ import annotations

from fitcheck.report.html import safe


def release() -> str:
    """The version of fitcheck that made the page."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("fitcheck")
    except PackageNotFoundError:  # a checkout that is not installed
        return "(checkout)"


def title_block(title: str, under: str, *, made: str | None = None, sheet: str = "", digest: str = "") -> str:
    """The block on top of a page, as on a workshop drawing.

    title, under: of the build. made: the day. sheet, digest: the name of its sheet, and the first twelve digits of the
    SHA-256 of its text, by which it is seen whether a sheet is the one that was answered.
    """
    cells = {
        "sheet": sheet,
        "hash of the sheet": digest,
        "made": made or "",
        "fitcheck": release(),
    }
    known = "".join(f"<div><dt>{label}</dt><dd>{safe(words)}</dd></div>" for label, words in cells.items() if words)
    lines = "".join(f'<div class="line"><dt>{label}</dt><dd></dd></div>' for label in ("measured by", "checked by"))
    return (
        f'<header><div class="about"><h1>{safe(title)}</h1><p class="subtitle">{safe(under)}</p></div>'
        f'<dl class="block">{known}{lines}</dl></header>'
    )
