"""Inputs wired to cooks. It knows no forecast and no widget."""
