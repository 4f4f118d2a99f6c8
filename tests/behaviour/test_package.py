"""The wheel carries its tables: built, installed in a fresh environment outside the checkout, and run there."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def run(*command, cwd, ok=(0,)):
    environment = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")}
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, env=environment, check=False)
    assert done.returncode in ok, done.stdout + done.stderr
    return done.stdout


def test_the_wheel_runs_the_demo_outside_the_checkout(tmp_path):
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(tmp_path), str(ROOT), cwd=tmp_path)
    (wheel,) = tmp_path.glob("*.whl")
    venv = tmp_path / "venv"
    run(sys.executable, "-m", "venv", str(venv), cwd=tmp_path)
    python = str(venv / ("Scripts" if os.name == "nt" else "bin") / "python")
    run(python, "-m", "pip", "install", "-q", "--disable-pip-version-check", str(wheel), cwd=tmp_path)
    sheet = tmp_path / "wand.toml"
    sheet.write_bytes((ROOT / "notebooks" / "wand.toml").read_bytes())
    out = run(python, "-m", "fitcheck", "wand.toml", "--report", "wand.html", cwd=tmp_path, ok=(1,))
    assert "cut the plug to" in out.lower()
    assert (tmp_path / "wand.html").stat().st_size > 10_000
    where = run(python, "-c", "import fitcheck.tables as t; print(t.folder())", cwd=tmp_path)
    assert str(venv) in where
    shipped = {path.name for path in Path(where.strip()).glob("*.csv")}
    assert shipped == {path.name for path in (ROOT / "tables").glob("*.csv")}
    typed = run(
        python,
        "-c",
        "import fitcheck, pathlib; print((pathlib.Path(fitcheck.__file__).parent / 'py.typed').exists())",
        cwd=tmp_path,
    )
    assert typed.strip() == "True"
