"""python -m fitcheck.sheet > sheet.schema.json: the JSON Schema of the sheet, for an editor."""

from __future__ import annotations

import json
import sys

from fitcheck.sheet.schema import schema

if __name__ == "__main__":
    json.dump(schema(), sys.stdout, indent=1, ensure_ascii=True)
    sys.stdout.write("\n")
