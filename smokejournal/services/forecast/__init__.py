"""Forecasts of time and fuel, their track record and their lessons, computed in the background. It words nothing."""
