"""Findings over files, ready to be shown: on a terminal, as JSON. Reporters never import each other."""
