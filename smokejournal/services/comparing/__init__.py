"""Reads cooks for a comparison: those that are chosen, and all that are finished; compares nothing itself."""
