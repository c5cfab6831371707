"""Screws: preload, torque, stripping, bearing. Lengths in mm, areas in mm², forces in N, stresses in MPa."""

from __future__ import annotations

import math

from ._guard import non_negative, positive


def preload(proof: float, pitch_diameter: float, core_diameter: float, pitch: float, friction: float,
            use: float = 0.9) -> float:
    """Assembly preload at a share of the yield point, torsion counted, N.

    Source: VDI 2230-1, simplified: F = ν Rp A0/√(1 + 3[1.5 (d2/d0)(P/(π d2) + 1.155 µ)]²), d0 = (d2 + d3)/2.

    proof: Rp0.2, MPa. pitch_diameter: d2, core_diameter: d3, pitch: P, mm. friction: µ in the thread.
    use: share ν of the yield point. Raises ValueError.
    """
    positive(proof=proof, pitch_diameter=pitch_diameter, core_diameter=core_diameter, pitch=pitch, use=use)
    non_negative(friction=friction)
    d0 = (pitch_diameter + core_diameter) / 2
    twist = 1.5 * (pitch_diameter / d0) * (pitch / (math.pi * pitch_diameter) + 1.155 * friction)
    return use * proof * (math.pi * d0**2 / 4) / math.sqrt(1 + 3 * twist**2)


def torque(preload: float, pitch: float, pitch_diameter: float, thread_friction: float, head_diameter: float,
           head_friction: float, cone_angle: float = 180.0) -> float:
    """Tightening torque for a preload, N·m.

    Source: VDI 2230-1: M = F (0.16 P + 0.58 d2 µ_G + µ_K D_Km/2); under a cone the last term over sin(angle/2).

    preload: F, N. pitch: P, pitch_diameter: d2, head_diameter: D_Km, mean diameter of the bearing face, mm.
    thread_friction: µ_G. head_friction: µ_K. cone_angle: of the whole cone, degrees, 180 for a flat head.
    Raises ValueError.
    """
    positive(preload=preload, pitch=pitch, pitch_diameter=pitch_diameter, cone_angle=cone_angle)
    non_negative(thread_friction=thread_friction, head_diameter=head_diameter, head_friction=head_friction)
    head = head_friction * head_diameter / 2 / math.sin(math.radians(cone_angle / 2))
    return preload * (0.16 * pitch + 0.58 * pitch_diameter * thread_friction + head) / 1000


def stripping_engagement(force: float, shear_strength: float, diameter: float, pitch_diameter: float,
                         pitch: float) -> float:
    """Engagement at which the internal thread strips under a force, F P/(τ π d (P/2 + (d − d2)/√3)), mm.

    Source: shear area of an internal thread, ASME B1.1 appendix B, at nominal dimensions.

    force: N. shear_strength: τ of the tapped material, MPa (0.6 of its tensile strength is usual).
    diameter: d, pitch_diameter: d2, pitch: P, mm. Raises ValueError.
    """
    positive(shear_strength=shear_strength, diameter=diameter, pitch_diameter=pitch_diameter, pitch=pitch)
    non_negative(force=force)
    per_length = math.pi * diameter / pitch * (pitch / 2 + (diameter - pitch_diameter) / math.sqrt(3))
    return force / (shear_strength * per_length)


def bearing_area(outer: float, inner: float) -> float:
    """Ring under a head, seen along the axis, π (D² − d²)/4, mm². A cone counts by its projection.

    Source: geometry.

    outer, inner: diameters, mm. Raises ValueError where nothing bears.
    """
    positive(outer=outer)
    non_negative(inner=inner)
    if outer <= inner:
        raise ValueError(f"a head of Ø{outer:g} mm does not bear on a hole of Ø{inner:g} mm: take a larger head")
    return math.pi * (outer**2 - inner**2) / 4


def bearing_preload(pressure: float, outer: float, inner: float) -> float:
    """Preload that the material under a head bears, p A, N.

    Source: VDI 2230-1, surface pressure under the head.

    pressure: bearable, MPa. outer, inner: diameters of the bearing ring, mm. Raises ValueError.
    """
    positive(pressure=pressure)
    return pressure * bearing_area(outer, inner)


def wedge_force(preload: float, cone_angle: float = 90.0) -> float:
    """Sum of the radial force with which a countersunk head spreads its hole, F/tan(angle/2), N.

    Source: statics of a frictionless cone.

    preload: N. cone_angle: degrees, below 180. Raises ValueError.
    """
    non_negative(preload=preload)
    if not 0 < cone_angle < 180:
        raise ValueError(f"cone_angle must be between 0 and 180 degrees (got {cone_angle:g})")
    return preload / math.tan(math.radians(cone_angle / 2))


def thermal_change(grip: float, screw_area: float, screw_modulus: float, part_area: float, part_modulus: float,
                   mismatch: float, difference: float) -> float:
    """Change of preload with temperature, (α_part − α_screw) ΔT l/(δ_s + δ_p), N; below nought is a loss.

    Source: VDI 2230-1, thermal additional force, both as plain rods: δ = l/(E A).

    grip: l, mm. screw_area, part_area: mm². screw_modulus, part_modulus: MPa. mismatch: α_part − α_screw, 1/K.
    difference: ΔT, K. Raises ValueError.
    """
    positive(grip=grip, screw_area=screw_area, screw_modulus=screw_modulus, part_area=part_area,
             part_modulus=part_modulus)  # fmt: skip
    give = grip / (screw_modulus * screw_area) + grip / (part_modulus * part_area)
    return mismatch * difference * grip / give
