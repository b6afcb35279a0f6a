"""Bytes to a lossless tree of lines and back: sources, spans, the layout vote, dumps, values, edits."""
