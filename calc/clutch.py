"""A clutch of flat friction rings: the arm on which its clamping force turns, and the torque that it holds.

Source: Shigley's Mechanical Engineering Design.
"""

from __future__ import annotations


def arm_uniform_pressure(outer_radius: float, inner_radius: float) -> float:
    """Mean friction radius (m) with even pressure, as on new facings: 2/3 (ro^3 - ri^3)/(ro^2 - ri^2)."""
    return 2.0 / 3.0 * (outer_radius**3 - inner_radius**3) / (outer_radius**2 - inner_radius**2)


def arm_uniform_wear(outer_radius: float, inner_radius: float) -> float:
    """Mean friction radius (m) of facings that have worn evenly: (ro + ri)/2."""
    return 0.5 * (outer_radius + inner_radius)


def torque_held(faces: float, friction: float, clamp_force: float, arm: float) -> float:
    """Torque (N.m) that `faces` friction faces hold at a clamping force (N) on an arm (m): T = N mu F r."""
    return faces * friction * clamp_force * arm
