"""Lift of fins in the presence of a body."""

from __future__ import annotations


def body_interference(body_radius: float, semi_span: float) -> float:
    """Factor on the lift of fins beside a body [-]: 1 + r / (s + r).

    Source: J. S. and J. A. Barrowman 1966, equation 77; it leaves out the lift that the fins induce on the body, which
    puts the centre of pressure forward, on the careful side. Range: s above 0.

    Args:
        body_radius: radius of the body at the fins [mm].
        semi_span: body surface to tip [mm].
    """
    return 1.0 + body_radius / (semi_span + body_radius)
