"""Fuel to expect, and the cooker's dialog. It estimates nothing itself."""
