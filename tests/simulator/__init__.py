"""Simulated cooks that the forecast is judged against. Tests only; never shipped.

`body` heats and dries a piece of meat, `air` is the pit around it, `instrument` what the probes show,
`recipes` the set of cooks, `cooks` runs them and keeps the results, `judge` marks a forecaster.
"""
