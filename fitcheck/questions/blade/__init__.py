"""Blade depth: how deep the blade sits in the tube stack, and whether the set screws land on it."""
