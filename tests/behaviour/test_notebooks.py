"""The notebooks run from top to bottom, and print what they are stored with."""

import re
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

FOLDER = Path(__file__).parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))
NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?")


def printed(notebook):
    """What each cell prints, figures and tables left out."""
    return [
        "".join(output.text for output in cell.outputs if output.output_type == "stream" and output.name == "stdout")
        for cell in notebook.cells
        if cell.cell_type == "code"
    ]


def test_there_is_a_tour():
    assert FOLDER / "tour.ipynb" in NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_prints_what_it_is_stored_with(path, monkeypatch, tmp_path):
    # The kernel's history and connection files stay out of the user's home.
    monkeypatch.setenv("IPYTHONDIR", str(tmp_path))
    stored = nbformat.read(path, as_version=4)
    run = nbformat.read(path, as_version=4)
    NotebookClient(run, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(FOLDER)}}).execute()
    for now, then in zip(printed(run), printed(stored), strict=True):
        # Sampled probabilities may differ in a late digit between versions of NumPy; words may not.
        assert NUMBER.sub("#", now) == NUMBER.sub("#", then)
        numbers = zip(NUMBER.findall(now), NUMBER.findall(then), strict=True)
        assert all(float(a) == pytest.approx(float(b), rel=0.05, abs=2e-3) for a, b in numbers), (now, then)


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_is_stored_with_outputs_and_small(path):
    notebook = nbformat.read(path, as_version=4)
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert any(cell.outputs for cell in code)
    assert not any(output.output_type == "error" for cell in code for output in cell.outputs)
    assert path.stat().st_size < 300_000


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_shows_its_figures_as_svg(path):
    shown = [
        set(output.get("data", {}))
        for cell in nbformat.read(path, as_version=4).cells
        for output in cell.get("outputs", ())
    ]
    assert not any("image/png" in forms for forms in shown)
    assert all("image/svg+xml" in forms for forms in shown if any(one.startswith("image/") for one in forms))
