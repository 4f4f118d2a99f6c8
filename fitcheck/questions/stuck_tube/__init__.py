"""Handling a stuck screwed tube: what twist its thinnest section bears against what it takes to turn it loose."""
