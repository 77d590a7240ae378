"""The usual cautions of each step; they defer to the permit, local rules and licensed practice."""

WELDING = (
    "Permit, fire watch and gas test as the site asks; tie-ins isolated; closed ends vented before they are heated.",
    "Eyes, skin, electric shock; fume, worst of stainless and galvanised steel; no chlorinated cleaner near an arc.",
    "Argon and nitrogen asphyxiate: nobody enters a purged space without a gas test.",
)
CAUTIONS = {
    "fit up": ("Cutting and grinding need the site’s permit, a fire watch and a guard on the disc.",),
    "weld": WELDING,
    "examine RT": ("Radiography: controlled area and a licensed radiographer, by local rules.",),
    "examine PT": ("Penetrant and its cleaner are flammable: no flame, no hot work beside it, and air.",),
    "examine PWHT": ("Heat treatment burns: bar the area until the metal is cold.",),
    "examine leak test": (
        "Pressure: exclusion zone, no trapped air, limits from the engineer; a pneumatic test stores far more energy.",
        "Cold steel can break; draining can draw a vacuum; chlorides in the water attack stainless steel.",
    ),
}


def cautions_for(step: str) -> tuple[str, ...]:
    """Return the cautions of a next step; none where there is nothing to warn of."""
    return CAUTIONS.get(step, ())
