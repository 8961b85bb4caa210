"""Moisture in wood, on the oven-dry basis, and the moisture that air brings wood to."""

from provenance.wood.checked import checked

#: Above this, water fills the cells and wood keeps its size: Wood Handbook, chapter 4 (an average).
FIBRE_SATURATION_PCT = 30.0
#: The wettest wood that is taken for wood: balsa and heart rots come near it.
WETTEST_PCT = 400.0


def equilibrium_moisture_content(temperature_c: float, relative_humidity_pct: float) -> float:
    """The moisture content in per cent at which wood rests in air of this temperature and humidity.

    EMC = 1800/W · [K h/(1 - K h) + (K1 K h + 2 K1 K2 K² h²)/(1 + K1 K h + K1 K2 K² h²)], h the
    relative humidity as a fraction, with T in °C
    W = 349 + 1.29 T + 0.0135 T², K = 0.805 + 0.000736 T - 0.00000273 T²,
    K1 = 6.27 - 0.00938 T - 0.000303 T², K2 = 1.91 + 0.0407 T - 0.000293 T².

    Taken from -40 to 100 °C and 0 to 100 %, ValueError outside. It reproduces every cell of the
    table from -1 to 93 °C and 5 to 95 % within 0.1 points; a given board may differ by a point or
    so. Colder than the table the form is carried on, and from about -20 °C it bends too low; far
    above 100 °C it would turn negative. Source: Wood Handbook, FPL-GTR-190, equation 4-5 (Hailwood
    and Horrobin; Simpson 1973) and Table 4-2.
    """
    t = checked(temperature_c, "The temperature in °C", least=-40, most=100)
    h = checked(relative_humidity_pct, "The relative humidity in per cent", least=0, most=100) / 100
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    first = kh / (1 - kh)
    second = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (first + second)


def moisture_content(mass_g: float, oven_dry_mass_g: float) -> float:
    """The moisture content in per cent of the oven-dry mass: 100 (m - m0)/m0.

    Both masses in g (or in one other unit), above zero, m not below m0; ValueError otherwise.
    Source: ASTM D4442; Wood Handbook, chapter 4.
    """
    dry = checked(oven_dry_mass_g, "The oven-dry mass", above=0)
    mass = checked(mass_g, "The mass", above=0)
    if mass < dry:
        raise ValueError("The mass can’t be below the oven-dry mass: weigh both again.")
    return 100 * (mass - dry) / dry


def oven_dry_mass(mass_g: float, moisture_content_pct: float) -> float:
    """The mass in g without water of wood of `mass_g` at that moisture: m/(1 + MC/100).

    Raises ValueError for a mass that is not above zero, or a moisture outside 0 to 400 %. Source:
    the definition of moisture content, ASTM D4442.
    """
    mass = checked(mass_g, "The mass", above=0)
    return mass / (1 + checked_moisture(moisture_content_pct) / 100)


def checked_moisture(moisture_content_pct: float) -> float:
    """The moisture content, or ValueError with a sentence outside 0 to 400 %."""
    what = "The moisture content in per cent"
    return checked(moisture_content_pct, what, least=0, most=WETTEST_PCT)


def wet_basis(moisture_content_pct: float) -> float:
    """The same moisture in per cent of the whole mass: 100 MC/(100 + MC).

    0 to 400 %, ValueError outside. Source: arithmetic on the definition of moisture content.
    """
    moisture = checked_moisture(moisture_content_pct)
    return 100 * moisture / (100 + moisture)
