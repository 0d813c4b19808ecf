"""Ranges, units, intervals, crossings: the arithmetic that every sum shares. It knows no physics."""
