"""Every shipped table says where it comes from, and a broken one is named."""

import pytest

from fitcheck import tables
from fitcheck.errors import TableError

NAMES = sorted(path.stem for path in tables.folder().glob("*.csv"))


@pytest.mark.parametrize("name", NAMES)
def test_every_table_has_title_source_and_rows(name):
    table = tables.table(name)
    assert table.notes.get("title")
    assert table.source
    assert table.rows
    assert all(None not in row and None not in row.values() for row in table.rows), "a row with more or fewer cells"


def test_a_missing_table_column_or_number_is_named(tmp_path, monkeypatch):
    (tmp_path / "t.csv").write_text("# source: none\nsize,value\nM4,abc\n")
    monkeypatch.setattr(tables, "folder", lambda: tmp_path)
    with pytest.raises(TableError, match="'t', row 1, column 'value'"):
        tables.table("t", {"value": float})
    with pytest.raises(TableError, match="no column 'pitch'"):
        tables.table("t", {"pitch": float})
    with pytest.raises(TableError, match="no file"):
        tables.table("none")
    (tmp_path / "own.csv").write_text("# title: own\nsize,value\nM4,1\n")
    with pytest.raises(TableError, match="'own': the comment lines on top name no source"):
        tables.table("own")
