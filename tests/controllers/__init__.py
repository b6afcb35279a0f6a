"""Invented controllers with their answer keys, and how well names and units are drafted for them; see README.md."""
