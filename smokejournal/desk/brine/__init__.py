"""The brine dialog. It does no sums."""
