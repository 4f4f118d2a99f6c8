"""Sentences are for people: no code reads one to decide, and the report reads findings and computes nothing."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODULES = sorted((ROOT / "fitcheck").rglob("*.py"))
REPORT = [path for path in MODULES if "report" in path.relative_to(ROOT / "fitcheck").parts]

SENTENCES = {"origin", "answer", "method", "label", "reason", "source", "quantity", "change", "note"}
"""Fields of dimensions, findings and probabilities that hold words."""
NAMES = {"name", "designation", "title"}
TAKEN_APART = {
    "startswith", "endswith", "removeprefix", "removesuffix", "partition", "rpartition", "split", "rsplit",
    "splitlines", "find", "index", "count", "replace",
}  # fmt: skip
READERS = {"notation.py", "designation.py", "syntax.py"}
"""What may read text: these read what people write."""
ALLOWED = {
    "blade/findings.py: d.name.removesuffix(f' ({d})')",
    "port/findings.py: d.name.removesuffix(f' ({d})')",
    "stack/dimension.py: self.name.replace('_', ' ')",
}
"""They decide nothing: the figure draws the size of a part, so that it is cut from its label; a name is shown so."""

COMPUTES = {
    "sample", "probability", "interval", "exact", "extremes", "quantile", "quantiles", "percentile", "cdf", "pdf", "sf",
    "worst_case", "contributions", "histogram", "minimize", "minimize_scalar", "brentq", "argmin",
}  # fmt: skip
NUMERICS = ("fitcheck.mechanics", "fitcheck.stack", "fitcheck.tables", "fitcheck.strength", "scipy")
RESULTS = {"Interval", "Probability", "Contribution", "Index"}
"""What the stack answers with, which a report may name."""


def words_of(node: ast.AST, fields: set[str]) -> bool:
    return isinstance(node, ast.Attribute) and node.attr in fields


def readings(tree: ast.AST) -> list[ast.AST]:
    """Where a field of words is searched, taken apart, or compared with a text."""
    found: list[ast.AST] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            called, arguments = node.func, [*node.args, *(k.value for k in node.keywords)]
            apart = called.attr in TAKEN_APART and words_of(called.value, SENTENCES | NAMES)
            by_pattern = called.attr in {"search", "match", "fullmatch", "findall", "finditer", "split"} and any(
                words_of(argument, SENTENCES | NAMES) for argument in arguments
            )
            if apart or by_pattern:
                found.append(node)
        if isinstance(node, ast.Compare):
            for operator, left, right in zip(node.ops, [node.left, *node.comparators], node.comparators, strict=False):
                within = isinstance(operator, ast.In | ast.NotIn) and words_of(right, SENTENCES | NAMES)
                texts = [one for one in (left, right) if isinstance(one, ast.Constant) and isinstance(one.value, str)]
                equal = (
                    isinstance(operator, ast.Eq | ast.NotEq)
                    and any(one.value for one in texts)
                    and any(words_of(one, SENTENCES) for one in (left, right))
                )
                if within or equal:
                    found.append(node)
    return found


def place(path: Path, node: ast.AST) -> str:
    return f"{'/'.join(path.parts[-2:])}: {ast.unparse(node)}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_code_reads_a_sentence_or_a_name(path):
    if path.name in READERS:
        return
    found = {place(path, node) for node in readings(ast.parse(path.read_text(encoding="utf-8")))}
    assert found <= ALLOWED


@pytest.mark.parametrize(
    ("code", "caught"),
    [
        ('"measured" in d.origin', True),
        ('"from memory" in d.origin or x', True),
        ('finding.probability.method.startswith("exact")', True),
        ('found.method != "worst case"', True),
        ('name.rpartition(": ")', False),  # a plain text may be taken apart where it is made
        ('used.origin.partition(": ")[0]', True),
        ('re.search(r"of cell (.+)", one.name)', True),
        ("pattern.fullmatch(body.name)", True),
        ('thread.designation.partition("-")', True),
        ("d.basis is Basis.MEASURED", False),
        ("f.name == q.name", False),  # the same question, not a word
        ('finding.name == ""', False),
    ],
)
def test_the_walk_sees_what_it_is_to_see(code, caught):
    assert bool(readings(ast.parse(code))) is caught


@pytest.mark.parametrize("path", REPORT, ids=lambda path: str(path.relative_to(ROOT)))
def test_the_report_computes_nothing(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith(NUMERICS):
            names = {alias.name for alias in node.names}
            assert node.module == "fitcheck.stack", f"{path.name} imports {node.module}"
            assert names <= RESULTS, f"{path.name} imports {sorted(names - RESULTS)} of {node.module}"
        if isinstance(node, ast.Import):
            assert not any(alias.name.startswith(NUMERICS) for alias in node.names), ast.unparse(node)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            assert node.func.attr not in COMPUTES, f"{path.name}, line {node.lineno}: {ast.unparse(node)}"


def test_there_is_a_report_to_look_at():
    assert len(REPORT) > 15
