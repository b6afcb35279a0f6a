"""Scale drawings: one drawing a file, pure functions from plain marks to SVG."""
