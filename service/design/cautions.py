"""The cautions that go with every collar, on the page and on the print."""

from math import floor

from service.design.pattern import Finding
from service.language import mark
from service.saying import Exact, say

FOR_THE_WEARER = (
    mark("Any strength shown is an estimate, never a rating: not for tie-out, lifting or vehicle restraint."),
    mark("Take the collar off in a crate, in rough play and when the dog is alone."),
    mark("Growing dogs: check the fit every week. A collar that has grown in is a matter for a vet."),
    mark("Flat-faced dogs and dogs with eye, windpipe or neck trouble: a harness, and a vet's advice."),
    mark("Chewed leather and loose studs can be swallowed: look the collar over before each walk."),
    mark("Some places ask for the owner's name and address on the collar: local law decides."),
)
"""Cautions for the person whose dog wears it. Common practice."""
FOR_THE_HAND = (
    FOR_THE_WEARER[0],
    mark("Never wind a lead round hand or wrist, nor tie it to a person, a bicycle or a child."),
    mark(
        "Before each walk: the snap must close by itself, rivets sit tight and no strap be cracked or bitten."
    ),
    mark("A chewed lead is not mended but replaced; bitten-off leather and loose rivets can be swallowed."),
    FOR_THE_WEARER[3],
)
"""Cautions for the person who holds a lead. Common practice."""

AT_THE_BENCH = (
    mark("Knives and punches on a firm board, fingers behind the edge; eye protection when setting."),
    mark(
        "Dyes, cements and finishes by their safety sheet, with ventilation; let finishes cure, and rub-test."
    ),
    mark(
        "Leather against skin: ask the supplier for a declaration on chromium VI (Regulation (EU) 301/2014);"
        " metal against skin: on nickel release (REACH Annex XVII, entry 27)."
    ),
    mark("Don't forget the ring before the last rivet."),
)
"""Cautions for the person who makes it. Common practice; limits in the regulations named."""

STRAIN_MAX = 0.40
"""Greatest strain of the grain at a fold. Common practice."""


def fold_finding(bar: float, thickness: float) -> Finding | None:
    """Return advice to skive when the fold strains the leather above 40 %, or None.

    Strain of the outside is t / (d + t) for thickness t on a bar d [mm]. Source: beam bending, derived; limit
    common practice. Worked: 3 mm on a 4 mm bar: 43 %, skive to 2.6 mm.
    """
    strain = thickness / (bar + thickness)
    if strain <= STRAIN_MAX:
        return None
    thin = floor(10 * bar * STRAIN_MAX / (1 - STRAIN_MAX)) / 10  # rounded up it would still strain too much
    text = say(
        "Folding {leather} leather round a {bar} bar strains its face by {percent} %."
        " Skive the fold to {thin}, and dampen it first.",
        leather=Exact(thickness),
        bar=Exact(bar),
        percent=round(100 * strain),
        thin=Exact(thin),
    )
    return Finding(
        "fold-strain", "advice", text, mark("derived: t / (d + t); 40 % common practice"), "leather"
    )
