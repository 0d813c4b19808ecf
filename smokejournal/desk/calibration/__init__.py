"""Calibrating and comparing probes. It fits nothing itself."""
