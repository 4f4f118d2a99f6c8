"""The notebooks run from top to bottom and are stored with their outputs."""

from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

FOLDER = Path(__file__).parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))


def test_there_is_a_tour():
    assert FOLDER / "tour.ipynb" in NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_runs(path, monkeypatch, tmp_path):
    # The kernel's history and connection files stay out of the user's home.
    monkeypatch.setenv("IPYTHONDIR", str(tmp_path))
    notebook = nbformat.read(path, as_version=4)
    NotebookClient(
        notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(FOLDER)}}
    ).execute()


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_is_stored_with_outputs_and_small(path):
    notebook = nbformat.read(path, as_version=4)
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert any(cell.outputs for cell in code)
    assert not any(output.output_type == "error" for cell in code for output in cell.outputs)
    assert path.stat().st_size < 300_000
