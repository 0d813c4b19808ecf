"""Readings from a logger's file into a cook, asked step by step."""
