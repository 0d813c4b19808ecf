"""Conversions between SI and the units a cook meets. The only module that knows the factors.

Inside the program every quantity is SI (with °C for temperature) and carries its unit in its name.
The factors are exact by definition: NIST Special Publication 811 (2008), appendix B.8, for the
pound (0.45359237 kg), the inch (25.4 mm) and the US gallon (231 cubic inches); the Fahrenheit
scale as in NIST SP 811 B.8, t/°C = (t/°F - 32)/1.8.
"""

from __future__ import annotations

from smokejournal.science.numbers.refusals import ABSOLUTE_ZERO_C, NUMBER, refuses

ZERO_C_IN_K = -ABSOLUTE_ZERO_C
KG_PER_LB = 0.45359237
M_PER_INCH = 0.0254
M_S_PER_MPH = 0.44704
M_S_PER_KNOT = 1852 / 3600
M_S_PER_KMH = 1 / 3.6
HPA_PER_INHG = 33.86389
L_PER_US_GALLON = 3.785411784


@refuses()
def c_from_f(temperature_f: float) -> float:
    """Temperature [°C] of a temperature [°F]."""
    return (temperature_f - 32.0) / 1.8


@refuses(temperature_c=NUMBER)
def f_from_c(temperature_c: float) -> float:
    """Temperature [°F] of a temperature [°C]."""
    return temperature_c * 1.8 + 32.0


@refuses()
def k_from_f_step(difference_f: float) -> float:
    """Temperature difference [K] of a difference [°F]."""
    return difference_f / 1.8


@refuses()
def f_step_from_k(difference_k: float) -> float:
    """Temperature difference [°F] of a difference [K]."""
    return difference_k * 1.8
