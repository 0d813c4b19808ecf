"""Sensor tables, calibration and agreement of probes. It knows no channel."""
