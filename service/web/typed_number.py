"""Numbers as a maker types them into the catalogue: money, shares, minutes, grams, loads, thicknesses.

Each reader is exact until its last step, refuses what could mean two numbers, and says what would work.
"""

import re
import unicodedata
from decimal import Decimal
from typing import Final

from service.errors import Unreadable
from service.saying import say
from service.typed import read_length, read_mass
from service.units import FL_OZ, LB, OZ_LEATHER, SQ_FT, TICKET

LONGEST: Final = 40
"""Characters that are looked at."""
GRAVITY: Final = Decimal("9.80665")
"""Standard acceleration of free fall [m/s²], exactly: makes a kilogram-force 9.80665 N. ISO 80000-3."""
PLAIN: Final = re.compile(r"[0-9]{1,9}|[0-9]{0,9}[.,][0-9]{1,9}")
GROUPED: Final = re.compile(
    r"[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]{1,6}"  # 1,234.50
    r"|[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]{1,6}"  # 1.234,50
    r"|[0-9]{1,3}(?:[ '’][0-9]{3})+(?:[.,][0-9]{1,6})?"  # 1 234.50
)
THOUSANDS: Final = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
FORCES: Final = {
    "n": Decimal(1),
    "kn": Decimal(1000),
    "kg": GRAVITY,
    "kgf": GRAVITY,
    "lb": Decimal(str(LB)) * GRAVITY,
    "lbs": Decimal(str(LB)) * GRAVITY,
    "lbf": Decimal(str(LB)) * GRAVITY,
}
"""Newtons in what suppliers state a load in; a kilogram or pound there means its weight. NIST SP 811, B.8."""
SQUARE_FEET: Final = re.compile(r"(.*?)\s*(?:sq\.? ?ft\.?|square f(?:ee|oo)t|ft²|ft2)")
SQUARE_METRES: Final = re.compile(r"\s*(?:m²|m2|sq\.? ?m\.?)$")
VOLUME: Final = re.compile(r"(?P<number>.*?)\s*(?P<unit>ml|cl|l|(?:us )?fl\.? ?oz\.?)?")
VOLUMES: Final = {"ml": Decimal(1), "cl": Decimal(10), "l": Decimal(1000), "oz": Decimal(str(FL_OZ))}
"""Millilitres in what bottles are labelled in; a fluid ounce is that of the US."""
THREAD: Final = re.compile(
    r"(?P<unit>tex|t|dtex|den\.?|denier|ticket|tkt\.?|metric ticket|cotton ticket|nm|ne)?\s*"
    r"(?P<number>[0-9.,]*[0-9])\s*(?:/\s*(?P<plies>[1-9]))?\s*(?P<after>tex|dtex|den\.?|denier)?"
)
WEIGHTS: Final = {
    **dict.fromkeys(("tex", "t"), Decimal(1)),
    "dtex": Decimal(10),
    **dict.fromkeys(("den", "denier"), Decimal(9)),
}
"""What one tex is in units that weigh a thread."""
COTTON: Final = Decimal("590.5")
"""Cotton count (Ne, hanks of 840 yd to the pound) times tex; three strands of it are a cotton ticket's."""
COUNTS: Final = {
    **dict.fromkeys(("ticket", "tkt", "metric ticket"), Decimal(int(TICKET))),
    "cotton ticket": 3 * COTTON,
    "nm": Decimal(1000),
    "ne": COTTON,
}
"""Count times tex, in units that count how long a thread of one weight is."""
YARDS: Final = re.compile(r"(.*?)\s*(?:yd|yds|yards?)\.?")
METRES: Final = re.compile(r"\s*(?:m|metres?|meters?)$")
OUNCES: Final = re.compile(r"(.*?)\s*(?:oz|ounces?)\.?")
WITH_UNIT: Final = re.compile(r"(?P<number>[0-9.,' ’]*[0-9])\s*(?P<unit>[a-z%²]*)\.?")


def read_number(text: str, example: str) -> Decimal:
    """Return a plain number, not negative: "145", "2.39", "2,39", "1 234.50"; raises Unreadable."""
    typed = unicodedata.normalize("NFKC", text[: LONGEST + 1]).strip()
    if not typed:
        raise Unreadable(text, say("A number is needed here."), example)
    if len(typed) > LONGEST:
        raise Unreadable(text, say("That is too long for a number."), example)
    if THOUSANDS.fullmatch(typed):
        whole, _, places = typed.partition(",")
        one, other = f"{whole}.{places}", f"{whole}{places}"
        reason = say(
            "“{typed}” could be {one} or {other}: write the one you mean.", typed=typed, one=one, other=other
        )
        raise Unreadable(text, reason, one)
    if PLAIN.fullmatch(typed):
        return Decimal(typed.replace(",", "."))
    if GROUPED.fullmatch(typed):
        whole, places = typed, ""
        if (mark := max(typed.rfind("."), typed.rfind(","))) >= 0:
            whole, places = typed[:mark], typed[mark + 1 :]
        return Decimal(f"{re.sub('[^0-9]', '', whole)}.{places or 0}")
    negative, strange = say("A number can't be negative here."), say("That is no plain number.")
    raise Unreadable(text, negative if typed[:1] in "-−" else strange, example)


def read_money(text: str, signs: tuple[str, ...], example: str) -> Decimal:
    """Return a sum in the workshop's currency, whose `signs` may stand before or after it."""
    typed = text.strip()
    for sign in sorted(signs, key=len, reverse=True):
        if typed.casefold().startswith(sign.casefold()):
            return read_number(typed[len(sign) :], example)
        if typed.casefold().endswith(sign.casefold()):
            return read_number(typed[: -len(sign)], example)
    return read_number(typed, example)


def read_share(text: str) -> Decimal:
    """Return a share of the whole: "7 %" and "0.07" are the same; 7 alone is refused, it could be either."""
    typed = text.strip()
    if typed.endswith("%"):
        return read_number(typed[:-1], "7 %") / 100
    share = read_number(typed, "7 %")
    if share >= 1:
        reason = say("“{typed}” alone could be a share or per cent.", typed=typed)
        raise Unreadable(text, reason, f"{typed} %")
    return share


def read_counted(text: str, units: tuple[str, ...], example: str) -> Decimal:
    """Return a number whose one unit may be left out: "2.5 min", "110 h"."""
    number, unit = _parted(text, example)
    if unit and unit not in units:
        raise Unreadable(text, say("“{unit}” is not what is counted here.", unit=unit), example)
    return read_number(number, example)


def read_grams(text: str) -> float:
    """Return a mass [g]; grams where no unit is typed."""
    kg = read_mass(text, assume="g").value
    return float(Decimal(repr(kg)) * 1000)


def read_newtons(text: str) -> float:
    """Return a load [N] from newtons, kilonewtons, or the weight of kilograms or pounds."""
    number, unit = _parted(text, "1500 N")
    if unit not in {"", *FORCES}:
        raise Unreadable(text, say("“{unit}” is no unit of a load known here.", unit=unit), "1500 N")
    return float(read_number(number, "1500 N") * FORCES[unit or "n"])


def read_thickness(text: str) -> float:
    """Return a thickness [mm] from millimetres, inches, or ounces of leather."""
    ounces = OUNCES.fullmatch(text.strip().lower())
    if ounces is None:
        return read_length(text, assume="mm").value
    return float(read_number(ounces[1], "8 oz") * Decimal(str(OZ_LEATHER)))


def read_tex(text: str) -> float:
    """Return a thread's size [tex] from tex, dtex, denier, a ticket number, Nm or Ne with its plies.

    "210", "Tex 210", "ticket 14", "Nm 80/2", "Ne 20/3": tex where nothing else is typed; a ticket is a metric
    one unless it is called a cotton ticket. Raises Unreadable.
    """
    example = "Tex 210"
    typed = unicodedata.normalize("NFKC", text[: LONGEST + 1]).strip().lower()
    found = THREAD.fullmatch(typed)
    if found is None or (found["unit"] and found["after"]):
        raise Unreadable(text, say("That is no size of a thread."), example)
    unit = (found["unit"] or found["after"] or "tex").rstrip(".")
    number = read_number(found["number"], example)
    if number == 0 or (found["plies"] and unit not in COUNTS):
        raise Unreadable(text, say("That is no size of a thread."), example)
    if unit in COUNTS:
        return float(COUNTS[unit] * int(found["plies"] or 1) / number)
    return float(number / WEIGHTS[unit])


def read_metres(text: str) -> Decimal:
    """Return how long a thread is [m]: metres or yards, metres where no unit is typed; raises Unreadable."""
    typed = text.strip().lower()
    found = YARDS.fullmatch(typed)
    if found is not None:
        return read_number(found[1], "100 yd") * Decimal("0.9144")
    return read_number(METRES.sub("", typed), "100 m")


def read_square_metres(text: str) -> Decimal:
    """Return an area [m²] from square metres, or square feet; square metres where no unit is typed."""
    typed = text.strip().lower()
    feet = SQUARE_FEET.fullmatch(typed)
    if feet is not None:
        return read_number(feet[1], "45 sq ft") * Decimal(str(SQ_FT))
    return read_number(SQUARE_METRES.sub("", typed), "4.2")


def read_millilitres(text: str) -> Decimal:
    """Return a volume [ml] from millilitres, centilitres, litres or US fluid ounces; bare numbers are ml."""
    found = VOLUME.fullmatch(text.strip().lower())
    if found is None:
        return read_number(text, "120 ml")
    unit = (found["unit"] or "ml").rstrip(".")
    return read_number(found["number"], "120 ml") * VOLUMES["oz" if unit.endswith("oz") else unit]


def _parted(text: str, example: str) -> tuple[str, str]:
    typed = unicodedata.normalize("NFKC", text[: LONGEST + 1]).strip().lower()
    found = WITH_UNIT.fullmatch(typed)
    if found is None:
        read_number(typed, example)  # says what is wrong with it
        return typed, ""
    return found["number"], found["unit"]
