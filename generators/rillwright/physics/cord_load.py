"""Force that a rubber cord gives back. Lengths in mm, forces in N, moduli in MPa, hardness in Shore A."""

from __future__ import annotations

from ._guard import positive

LBF_PER_INCH = 4.4482216 / 25.4  # N/mm
BAND_CORD = 1.778  # .070 in, mm
BAND_SQUEEZE = 0.20
BANDS = {70.0: (5 * LBF_PER_INCH, 18 * LBF_PER_INCH), 90.0: (9 * LBF_PER_INCH, 25 * LBF_PER_INCH)}
"""Published load bands (N/mm) of a .070 in section at 20 % squeeze, by Shore A. Source: seal handbook chart."""


def gent_modulus(shore_a: float) -> float:
    """Young's modulus of rubber from its hardness, 0.0981 (56 + 7.62336 S)/(0.137505 (254 − 2.54 S)), MPa.

    Source: Gent 1958, "On the relation between indentation hardness and Young's modulus".

    shore_a: S, 20 to 95. Raises ValueError outside.
    """
    if not 20 <= shore_a <= 95:
        raise ValueError(f"shore_a must be from 20 to 95, where the relation holds (got {shore_a:g})")
    return 0.0981 * (56 + 7.62336 * shore_a) / (0.137505 * (254 - 2.54 * shore_a))


def lindley_load(modulus: float, cord: float, squeeze: float) -> float:
    """Force per length of a cord between two plates, E d (1.25 ε^1.5 + 50 ε⁶), N/mm.

    Source: Lindley 1967, "Compression characteristics of laterally-unrestrained rubber O-rings".

    modulus: E, MPa. cord: free diameter d, mm. squeeze: ε, fraction, 0 to 0.6. Raises ValueError.
    Reported to under-estimate measured force: size a clamp by `upper_load`.
    """
    positive(modulus=modulus, cord=cord)
    if not 0 <= squeeze <= 0.6:
        raise ValueError(f"squeeze must be from 0 to 0.6 (got {squeeze:g})")
    return float(modulus * cord * (1.25 * squeeze**1.5 + 50 * squeeze**6))


def band_factor(shore_a: float) -> float:
    """Upper end of the published load band over Lindley's load, by hardness; at least 1.

    Source: seal handbook's load bands at 70 and 90 Shore A; the straight line between them, and their values held
    beyond them, are our choice.

    shore_a: 20 to 95. Raises ValueError outside.
    """
    ends = []
    for hardness, (_, upper) in sorted(BANDS.items()):
        ends.append((hardness, upper / lindley_load(gent_modulus(hardness), BAND_CORD, BAND_SQUEEZE)))
    (h0, f0), (h1, f1) = ends
    gent_modulus(shore_a)
    share = min(1.0, max(0.0, (shore_a - h0) / (h1 - h0)))
    return max(1.0, f0 + share * (f1 - f0))


def upper_load(shore_a: float, cord: float, squeeze: float) -> float:
    """Force per length for which a clamp is sized, N/mm: Lindley's curve raised to the published upper band.

    Source: seal handbook's load bands; carrying their factor over to other sections and squeezes is our choice.

    shore_a: 20 to 95. cord: free diameter, mm. squeeze: fraction, 0 to 0.6. Raises ValueError.
    """
    return band_factor(shore_a) * lindley_load(gent_modulus(shore_a), cord, squeeze)
