"""What green wood weighs: a log, a round. Masses in kg, lengths in mm."""

import math

from provenance.wood.checked import checked


def green_mass_kg(
    small_end_mm: float,
    large_end_mm: float,
    length_mm: float,
    sg_green: float,
    moisture_content_pct: float,
) -> float:
    """Return what a round log weighs green, in kg: volume of the cone's frustum times density.

    V = π·L/12·(d₁² + d₁·d₂ + d₂²), which is L/3·(A₁ + √(A₁A₂) + A₂); density = 1000·G·(1 + M/100)
    kg/m³, G the specific gravity on oven-dry mass and green volume, M the moisture content in per
    cent of oven-dry mass. Without the bark. Range: 0 < d₁ ≤ d₂, L > 0, 0 < G ≤ 1.5 (wood without
    any hollow), 0 ≤ M ≤ 600. Source: cone formula as published beside Smalian's for logs; density,
    Wood Handbook FPL-GTR-190, ch. 4. The wood's figures are means: a log differs by a tenth easily.
    """
    small = checked(small_end_mm, "The small end", above=0)
    large = checked(large_end_mm, "The large end", above=0)
    length = checked(length_mm, "The length", above=0)
    if small > large:
        raise ValueError("The small end is larger than the large end: swap them.")
    volume = math.pi * length / 12 * (small**2 + small * large + large**2)
    return mass_kg(volume, sg_green, moisture_content_pct)


def round_mass_kg(
    diameter_mm: float, height_mm: float, sg_green: float, moisture_content_pct: float
) -> float:
    """Return what a sawn round weighs green, in kg: the cylinder π·d²/4·h. As `green_mass_kg`."""
    diameter = checked(diameter_mm, "The diameter", above=0)
    height = checked(height_mm, "The height", above=0)
    return mass_kg(math.pi * diameter**2 / 4 * height, sg_green, moisture_content_pct)


def mass_kg(volume_mm3: float, sg_green: float, moisture_content_pct: float) -> float:
    """Return the mass in kg of so many mm³ of green wood: V·G·(1 + M/100). As `green_mass_kg`."""
    volume = checked(volume_mm3, "The volume", least=0)
    gravity = checked(sg_green, "The specific gravity", above=0, most=1.5)
    moisture = checked(moisture_content_pct, "The moisture content", least=0, most=600)
    return volume / 1e6 * gravity * (1 + moisture / 100)
