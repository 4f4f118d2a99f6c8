"""fitcheck."""
