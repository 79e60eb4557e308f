"""What the customer gets for a price, in plain words."""

from service.design import Pattern, adornments, told
from service.language import decimals, tr
from service.pricing.money import figure
from service.units import System, show_both
from service.workshop import Rates


def included(pattern: Pattern, rates: Rates, system: System) -> tuple[str, ...]:
    """Return in plain words what the customer gets for a price, sizes in the reader's own system first.

    Source: derived. Worked: "Chestnut bridle strap, 1 in (25.4 mm) wide" and "Fastened with 6 rivets".
    """
    fittings = pattern.fittings
    width = show_both(pattern.spec.width, system)
    many: dict[str, int] = {}
    for row in pattern.hardware:
        many[row.kind] = many.get(row.kind, 0) + row.quantity
    words = [
        tr("{leather} strap, {width} wide", leather=fittings.leather.name, width=width),
        *([] if fittings.dye is None else [tr("Dyed {dye}", dye=fittings.dye.name)]),
        *(one.said(system) for one in told(pattern).included),
    ]
    if "rivet" in many:
        words.append(tr("Fastened with {count} rivets", count=many["rivet"]))
    if "screw-post" in many:
        words.append(tr("Fastened with {count} screw posts", count=many["screw-post"]))
    adorned = (one.phrase.said(system) for one in adornments(pattern))
    words.extend(phrase[:1].upper() + phrase[1:] for phrase in adorned)
    if pattern.spec.lettering and pattern.spec.letters == "plate":
        words.append(tr("“{text}” engraved on it", text=pattern.spec.lettering))
    elif pattern.spec.lettering:
        words.append(tr("“{text}” stamped in the leather", text=pattern.spec.lettering))
    words.append(tr("Cut, edged and finished by hand"))
    if rates.tax:
        share = decimals(figure(rates.tax * 100))
        words.append(tr("{tax} of {share} %", tax=rates.tax_name, share=share))
    return tuple(words)
