"""A kept design as the parameters somebody would have typed for it, so that a form can show and change it."""

from service.design import USUAL_KIND, Wish, kind_of
from service.errors import Unreadable
from service.typed import read_length, read_mass
from service.units import LB, show_inches
from service.web.parameters import width_value


def typed_design(spec: Wish) -> dict[str, str]:
    """Return the parameters that are read as exactly this design; what is left to the engine is left out."""
    texts = {name: _text(name, getattr(spec, name)) for name in kind_of(spec).asks}
    named = {} if spec.kind == USUAL_KIND else {"kind": spec.kind}
    return named | {name: text for name, text in texts.items() if text}


def typed_length(mm: float) -> str:
    """Return the shortest usual way to write a length that is read as exactly this one: "19 in", "42 cm"."""
    ways = (show_inches(mm), f"{mm / 10:g} cm", f"{mm:g} mm")
    return next((text for text in ways if reads_as(text, mm)), f"{mm!r} mm")


def typed_mass(kg: float) -> str:
    """Return the shortest usual way to write a weight that is read as exactly this one."""
    ways = (f"{kg:g} kg", f"{kg / LB:g} lb")
    return next((text for text in ways if read_mass(text).value == kg), f"{kg!r} kg")


def _text(name: str, value: object) -> str:
    if not isinstance(value, float):
        return "" if value is None else str(value)
    match name:
        case "weight":
            return typed_mass(value)
        case "width" if reads_as(width_value(value), value):
            return width_value(value)
        case "width" | "stamp":
            return f"{value!r} mm"
        case _:
            return typed_length(value)


def reads_as(text: str, mm: float) -> bool:
    """Tell whether a text is read as exactly this length [mm]."""
    try:
        return read_length(text).value == mm
    except Unreadable:
        return False
