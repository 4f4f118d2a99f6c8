"""Probabilities of functions: points that fill the zone, counting, and importance sampling of rare failures."""
