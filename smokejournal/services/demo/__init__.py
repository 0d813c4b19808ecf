"""The demo journal: invented cooks from a simulated pit. Nothing else may rest on it."""
