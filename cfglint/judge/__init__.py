"""Rules on a Setup: verdicts with their reasons, remedies that were judged again, and what was not judged. Pure."""
