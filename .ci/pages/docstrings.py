"""Our docstrings are plain text that reads well in `help(...)`; here they get the marks that Sphinx wants.

What a docstring is laid out with: paragraphs; `names` in backticks; equations, alone in their paragraph; entries
`name: what it is, unit.` one after the other; indented tables; examples; and the sections of numpydoc, which numpydoc
reads. Only the layout is read here, never the words.
"""

import re
from collections.abc import Collection, Iterable, Iterator

_NAMES = r"`?[A-Za-z_]\w*\*?`?(?:(?:, | and )`?[A-Za-z_]\w*\*?`?)*"
_ENTRY = re.compile(rf"(?:^|(?<=[.;:)] ))({_NAMES})( \([^)]*\))?: +(?=\S)")
_CODE = re.compile(r"(`[^`]+`)")
_DOTTED = re.compile(r"[A-Za-z_][\w.]*(?:\(\))?")
_CITED = re.compile(r"(?:,?\s*\[\d+\]_)+\.?$")
_ITEM = re.compile(r"\s*(?:[-*]|\d+\.|\.\.) ")
_INITIAL = re.compile(r"^(\.\. \[\d+\] )([A-Z]\. )")  # a name's, not the first item of a list
_RULE = re.compile(r"-{3,}$")
_SENTENCE_END = re.compile(r"(?<=[^.][.]) (?=[A-Z0-9`])")


def plain(text: str) -> str:
    """Text whose asterisks and bars are what they look like, with its code as links or as code."""
    return "".join(_code(part[1:-1]) if _CODE.fullmatch(part) else _escaped(part) for part in _CODE.split(text))


def _code(inside: str) -> str:
    return f":py:obj:`{inside}`" if _DOTTED.fullmatch(inside) else f"``{inside}``"


def _escaped(text: str) -> str:
    text = re.sub(r"([\\*|])", r"\\\1", text)
    return re.sub(r"(?<=\w)_(?=\W|$)", r"\\_", text)


def _paragraphs(lines: Iterable[str]) -> Iterator[list[str]]:
    held: list[str] = []
    for line in [*lines, ""]:
        if line.strip():
            held.append(line.rstrip())
        elif held:
            yield held
            held = []


def _is_equation(lines: list[str]) -> bool:
    text = _CITED.sub("", " ".join(lines))
    return bool(re.search(r" [=≤<≈] ", text)) and text[-1] not in ".:;,"


def _equation(lines: list[str]) -> Iterator[str]:
    text = "\n".join(lines)
    cited = _CITED.search(text)
    held = _CITED.sub("", text).splitlines()
    for i, line in enumerate(held):
        mark = f" {cited[0].strip(' ,.' + chr(10))}" if cited and i == len(held) - 1 else ""
        yield f"| ``{' '.join(line.split())}``{mark}"


def _entries(text: str, names: Collection[str]) -> Iterator[str]:
    """A paragraph with each entry of a known name in a list, and what stands before and after it."""
    marks = [mark for mark in _ENTRY.finditer(text) if set(re.findall(r"[A-Za-z_]\w*", mark[1])) & set(names)]
    if not marks:
        yield plain(text)
        return
    if before := text[: marks[0].start()].strip():
        yield from (plain(before), "")
    after = ""
    for mark, following in zip(marks, [*marks[1:], None], strict=True):
        told = text[mark.end() : following.start() if following else len(text)].strip()
        if following is None:  # the last ends with its sentence; what comes then is said of all
            told, after = (*_SENTENCE_END.split(told, maxsplit=1), "")[:2]
        yield _listed(re.findall(r"[A-Za-z_]\w*\*?", mark[1]), f"{(mark[2] or '').strip()}: {told}")
    if after:
        yield from ("", plain(after))


def _listed(names: Iterable[str], told: str) -> str:
    shown = ", ".join(f"**{plain(name)}**" for name in names if name != "and")
    return f"- {shown}{' ' if told.startswith('(') else ''}{plain(told)}"


def _parameters(lines: list[str]) -> Iterator[str]:
    """The items of a section "Parameters", in the same list."""
    items: list[str] = []
    for line in lines:
        if line.startswith(" "):
            items[-1] += f" {line.strip()}"
        else:
            items.append(line)
    for item in items:
        names, _, told = item.partition(" : ")
        yield _listed(names.split(", "), f": {told}")


def marked(lines: list[str], names: Collection[str] = ()) -> list[str]:
    """The lines of a docstring as reStructuredText.

    names: the parameters or fields that may have entries.
    """
    out: list[str] = []
    section, drawn = "", False
    for paragraph in _paragraphs(lines):
        first = paragraph[0]
        if len(paragraph) > 1 and _RULE.match(paragraph[1].strip()):
            section = first
        if first.startswith(">>>"):
            out += paragraph
        elif section == "Parameters" and first == section:
            out += ["", *_parameters(paragraph[2:])]
        elif section not in ("", "Parameters"):
            out += _in_section(paragraph)
        elif first.startswith(" "):
            out += [*([] if drawn else ["::", ""]), *_verbatim(paragraph)]
        elif _ITEM.match(first):
            out += [plain(line) for line in paragraph]
        elif _is_equation(paragraph) and out:
            out += _equation(paragraph)
        else:
            out += _with_table(paragraph, names)
        drawn = first.startswith(" ")  # a blank line in a table does not end it
        out.append("")
    return out


def _verbatim(lines: list[str]) -> list[str]:
    return [f"    {line.replace('`', '')}" for line in lines]


def _in_section(paragraph: list[str]) -> Iterator[str]:
    example = False
    for line in paragraph:
        example = example or line.startswith(">>>")
        yield line if example or _RULE.match(line) else _INITIAL.sub(r"\1\\\2", plain(line))


def _with_table(paragraph: list[str], names: Collection[str]) -> Iterator[str]:
    """A paragraph of text, whose indented lines are a table or an equation, unless they go on with an entry."""
    if (mark := _ENTRY.match(paragraph[0])) and set(re.findall(r"\w+", mark[1])) & set(names):
        yield from _entries(" ".join(line.strip() for line in paragraph), names)
        return
    text: list[str] = []
    table: list[str] = []
    for line in [*paragraph, ""]:
        if table and not line.startswith("  "):
            yield from ("", "::", "", *_verbatim(table), "")
            table = []
        if line.startswith("  "):
            if text:
                yield from _entries(" ".join(text), names)
                text = []
            table.append(line)
        elif line:
            text.append(line)
    if text:
        yield from _entries(" ".join(text), names)
