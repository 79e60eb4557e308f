"""The way from an empty workshop to the first collar that can be sold: what is still needed, in order."""

from dataclasses import dataclass
from urllib.parse import urlencode

from service.design import Lack, first_needs
from service.language import mark, tr
from service.storage import Connection, old_catalogue
from service.units import show_both
from service.web.fields import own_system
from service.web.house import House
from service.web.parameters import width_value
from service.workshop import Workshop

TABLE = {
    "leather": "leathers",
    "finish": "finishes",
    "buckle": "buckles",
    "ring": "rings",
    "fastener": "fasteners",
}
"""The table in which each thing is added."""
PLAIN = {
    "leather": mark("Add a leather"),
    "finish": mark("Add a metal finish, such as solid brass"),
    "buckle": mark("Add a buckle, for the same strap width as the ring"),
    "ring": mark("Add a D-ring, for the same strap width as the buckle"),
    "fastener": mark("Add a rivet or a screw post"),
}
SIZED = {
    "buckle": mark("Add a buckle for a strap {width} wide in this metal: {metal}"),
    "ring": mark("Add a D-ring for a strap {width} wide in this metal: {metal}"),
}


@dataclass(frozen=True, slots=True)
class FirstStep:
    """A step: what is needed, in words, and where it is done."""

    text: str
    href: str


@dataclass(frozen=True, slots=True)
class FirstSteps:
    """What is needed before a collar can be sold at all, and what its price and terms need besides."""

    needed: tuple[FirstStep, ...]
    advised: tuple[FirstStep, ...]


def first_steps(connection: Connection, house: House, workshop: Workshop, *, terms: bool) -> FirstSteps:
    """Return what is left to do; `terms` tells whether the workshop has written its terms down."""
    lacks = first_needs(workshop)
    needed = tuple(_step(lack, workshop) for lack in lacks)
    advised = []
    if lacks and old_catalogue(connection, house.workshop_id, 1).rows.name == workshop.name:
        own = tr("Say what your workshop is called, its country and its units")
        needed = (FirstStep(own, "/shop/catalogue/workshop"), *needed)
    if not workshop.rates.labour_per_hour:
        advised.append(FirstStep(tr("Say what an hour of your work costs"), "/shop/catalogue/rates"))
    if not workshop.times:
        advised.append(FirstStep(tr("Say how long each step takes you"), "/shop/catalogue/times/row"))
    if not terms:
        advised.append(FirstStep(tr("Write your terms down"), "/shop/catalogue/terms"))
    return FirstSteps(needed, tuple(advised))


def _step(lack: Lack, workshop: Workshop) -> FirstStep:
    names = {row.code: row.name for row in workshop.finishes}
    given = {"finish": lack.finish} if lack.finish else {}
    if lack.width:
        given["width"] = width_value(lack.width)
    texts = SIZED if lack.width else PLAIN
    said = tr(
        texts[lack.kind],
        width=show_both(lack.width or 0.0, own_system(workshop)),
        metal=names.get(lack.finish, ""),
    )
    if lack.kind == "fastener" and lack.finish:
        said = tr("Add a rivet or a screw post in this metal: {metal}", metal=names[lack.finish])
    href = f"/shop/catalogue/{TABLE[lack.kind]}/row"
    return FirstStep(said, f"{href}?{urlencode(given)}" if given else href)
