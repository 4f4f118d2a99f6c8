"""A small sheet that leaves a size open, shared by the tests of plans."""

BLADE = """[parts]
socket = "64.0 ± 0.2"
module = "17.5 ± 0.3"
slug = "8.0 ± 0.1"
[open]
slug = "5.0 .. 8.0"
[blade_depth]
adds = ["socket"]
takes = ["module", "slug"]
"""


def sheet_of(tmp_path, text):
    path = tmp_path / "s.toml"
    path.write_text("sheet = 1\n" + text, encoding="utf-8")
    return path
