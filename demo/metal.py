"""The invented heats: one or two for each material and size, and the few with something wrong."""

import random

from demo.works import Row

ELEMENTS = ("C", "Mn", "P", "S", "Si", "Cr", "Cu", "Mo", "Ni", "V", "N")

# Middle values well inside the limits of each material, and how far a heat may stray from them.
_CARBON_PIPE = {
    "C": 0.19, "Mn": 0.82, "P": 0.012, "S": 0.008, "Si": 0.24, "Cr": 0.07, "Cu": 0.11, "Mo": 0.02, "Ni": 0.06,
    "V": 0.004,
}  # fmt: skip
_CARBON_FORGED = _CARBON_PIPE | {"C": 0.21, "Mn": 0.93, "Si": 0.22}
_STAINLESS = {
    "C": 0.018, "Mn": 1.42, "P": 0.029, "S": 0.008, "Si": 0.44, "Cr": 16.9, "Mo": 2.12, "Ni": 11.2, "N": 0.05,
}  # fmt: skip
_SPREAD = {
    "C": 0.002, "Mn": 0.03, "P": 0.002, "S": 0.001, "Si": 0.02, "Cr": 0.02, "Cu": 0.02, "Mo": 0.01, "Ni": 0.02,
    "V": 0.001, "N": 0.004,
}  # fmt: skip

# material: middle chemistry, tensile, yield (ksi), elongation, hardness, maker, item
_MATERIALS: dict[str, tuple[dict[str, float], float, float, int, int | None, str]] = {
    "A106 Gr. B": (_CARBON_PIPE, 71.5, 46.0, 36, None, "Harrowgill Tube"),
    "A105": (_CARBON_FORGED, 77.0, 45.5, 32, 152, "Stanvik Forge"),
    "A234 WPB": (_CARBON_PIPE, 70.5, 45.0, 34, 148, "Pelltorp Fittings"),
    "A516 Gr. 70": (_CARBON_FORGED, 76.0, 49.0, 27, None, "Brackmoor Plate"),
    "A312 TP316L": (_STAINLESS, 81.0, 41.0, 52, 160, "Harrowgill Tube"),
    "A182 F316L": (_STAINLESS, 79.5, 39.0, 55, 158, "Stanvik Forge"),
    "A403 WP316L": (_STAINLESS, 80.5, 40.0, 50, 162, "Pelltorp Fittings"),
}

# material and item: the heats bought of each size
_BOUGHT: dict[tuple[str, str], dict[str, tuple[str, ...]]] = {
    ("A106 Gr. B", "pipe"): {
        "3/4": ("K41207",),
        "1": ("K41233", "K41560"),
        "1-1/2": ("K42019",),
        "2": ("K42077", "K42108"),
        "3": ("K43311", "K43390"),
        "4": ("K44816", "K44871"),
        "6": ("K46002", "K46055"),
    },
    ("A105", "fitting"): {"3/4": ("M70412",), "1": ("M70455", "M70518"), "1-1/2": ("M70733",), "2": ("M70902",)},
    ("A105", "flange"): {"2": ("M71120",), "3": ("M71188",), "4": ("M71204",), "6": ("M71260",)},
    ("A234 WPB", "fitting"): {
        "2": ("R15022",),
        "3": ("R15071", "R15099"),
        "4": ("R15140", "R15188"),
        "6": ("R15233",),
    },
    ("A516 Gr. 70", "plate"): {"6": ("P20815",)},
    ("A312 TP316L", "pipe"): {"1/2": ("T80031",), "3/4": ("T80077",), "2": ("T80112",), "3": ("T80164", "T80190")},
    ("A182 F316L", "fitting"): {"1/2": ("V33018",), "3/4": ("V33052", "V33060")},
    ("A182 F316L", "flange"): {"2": ("V33107",), "3": ("V33129",)},
    ("A403 WP316L", "fitting"): {"2": ("X60210",), "3": ("X60255", "X60281")},
}
_HEATS = tuple(
    (number, material, item, size)
    for (material, item), sizes in _BOUGHT.items()
    for size, numbers in sizes.items()
    for number in numbers
)

NO_CERTIFICATE, NO_FILE, HIGH_CARBON = "M71341", "M71355", "M71372"
_ODD_HEATS = (
    (NO_CERTIFICATE, "A105", "flange", "4"),
    (NO_FILE, "A105", "flange", "4"),
    (HIGH_CARBON, "A105", "flange", "6"),
)


def _heat(number: str, material: str, item: str, size: str) -> Row:
    middle, tensile, strength, elongation, hardness, maker = _MATERIALS[material]
    dice = random.Random(f"heat {number}")  # the same figures at every build
    digits = {"P": 3, "S": 3, "V": 3, "C": 3, "N": 3}
    elements = {
        symbol: round(value + dice.choice((-2, -1, 0, 1, 2)) * _SPREAD[symbol], digits.get(symbol, 2))
        for symbol, value in middle.items()
    }
    if number == HIGH_CARBON:
        elements["C"] = 0.382
    row: Row = {
        "heat": number,
        "material": material,
        "manufacturer": maker,
        "item": item,
        "size": size,
        "certificate": None if number == NO_CERTIFICATE else f"MC-{number}",
        "analysis": "heat",
    }
    row |= {symbol: elements.get(symbol) for symbol in ELEMENTS}
    row |= {
        "tensile": f"{tensile + dice.choice((-1, 0, 1))} ksi",
        "yield": f"{strength + dice.choice((-1, 0, 1))} ksi",
        "elongation": elongation,
        "hardness": hardness,
    }
    return row


HEATS: list[Row] = [_heat(*heat) for heat in _HEATS + _ODD_HEATS]


def heat_for(material: str, item: str, size: str, turn: int) -> str:
    """A sound heat of the material and size; `turn` alternates where there are two."""
    found = _BOUGHT[material, item][size]
    return found[turn % len(found)]
