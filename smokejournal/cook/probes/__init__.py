"""The person's probes: calibrations, comparison, what each one did. It knows no input."""
