"""Remembered results: plain JSON by content, bounded, safe to delete. Knows nothing of what it keeps."""
