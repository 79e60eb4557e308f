"""A design's own words and numbers in the form that a proof shows them."""

from decimal import ROUND_HALF_EVEN, Decimal

from service.design import Pattern, adornments, told
from service.language import mark, tr
from service.orders.body import Amount
from service.orders.canonical import NotCanonical
from service.saying import Mass
from service.units import System, show_both, show_cut

LENGTH, MASS = "0.01 mm", "g"
"""What lengths and weights are counted in."""
NOISE = 6
"""Decimals of a millimetre that are looked at: what lies beyond is the noise of floats."""
LENGTHS_ROUNDED = mark(
    "Lengths are kept to 0.01 mm, rounded half to even; inches are shown to the nearest 1/16,"
    " so the millimetres decide."
)


def length(mm: float, system: System) -> Amount:
    """Return a length [mm] in both systems, the reader's first, and as a count of hundredths of a millimetre.

    Source: half to even, ISO 80000-1:2009, annex B. Worked: 419.1 mm is "16 1/2 in (419 mm)", 41910; 15.875
    mm (5/8 in) is 1588, and 15.865 mm 1586.
    """
    return Amount(show_both(mm, system), _hundredths(mm), LENGTH)


def cut(mm: float, system: System) -> Amount:
    """Return the same of a length [mm] that is cut or marked, its words to 0.1 mm.

    Source: as `length`. Worked: 698.5 mm is "27 1/2 in (698.5 mm)", 69850.
    """
    return Amount(show_cut(mm, system), _hundredths(mm), LENGTH)


def _hundredths(mm: float) -> int:
    settled = Decimal(f"{mm:.{NOISE}f}")
    return int(settled.scaleb(2).quantize(Decimal(1), ROUND_HALF_EVEN))


def mass(kg: float, system: System) -> Amount:
    """Return a weight [kg] in both systems, the reader's first, and as a count of grams.

    Source: half to even. Worked: 20.41 kg is "45 lb (20.4 kg)", 20410.
    """
    count = int((Decimal(f"{kg:.{NOISE}f}") * 1000).quantize(Decimal(1), ROUND_HALF_EVEN))
    return Amount(Mass(kg).said(system), count, MASS)


def money(amount: Decimal, shown: str, currency: str, digits: int) -> Amount:
    """Return a sum [currency] as it is shown and as a count of the smallest coin, `digits` decimals small.

    Source: ISO 4217, minor unit. Worked: 57.06 USD at 2 digits is 5706 of 0.01 USD. Raises NotCanonical for
    a part of a coin.
    """
    count = amount.scaleb(digits)
    if count != int(count):
        raise NotCanonical("price", f"{amount:f} {currency} is no whole number of coins: round it first.")
    return Amount(shown, int(count), f"{Decimal(1).scaleb(-digits):f} {currency}")


def chosen(pattern: Pattern) -> tuple[tuple[str, str], ...]:
    """Return the choices of a design as names and values.

    Source: derived. Worked: ("Buckle", "centre-bar buckle") among them.
    """
    rows = pattern.fittings
    return (
        (tr("Leather"), rows.leather.name),
        *(() if rows.dye is None else ((tr("Dye"), rows.dye.name),)),
        (tr("Metal"), rows.finish.name),
        *((tr(one.name), one.value.said("imperial")) for one in told(pattern).choices),
        *((tr(one.name), str(one.value)) for one in adornments(pattern)),
    )
