"""What `/design.json`, `/healthz` and problems answer, as types that OpenAPI describes. All lengths in mm."""

from typing import Any, Literal, NotRequired

from pydantic_core import to_json
from typing_extensions import TypedDict  # pydantic needs this one before Python 3.12

from service.design import (
    AnyWish,
    CollarPattern,
    Cut,
    Finding,
    HardwareLine,
    HoleFit,
    Joint,
    Mark,
    Part,
    Pattern,
    Weighed,
    collar_in,
    take_up,
    wearable,
    weigh,
)
from service.errors import DesignError, Suggestion
from service.pricing import Quote
from service.strength import estimate_strength
from service.units import System
from service.web.strength_answer import StrengthAnswer, strength_answer
from service.workshop import Fastener, Workshop

NOISE = 6
"""Decimals kept of a millimetre: what lies beyond is the noise of floats."""
MARK_KINDS = (
    "rivet-hole",
    "size-hole",
    "slot",
    "fold",
    "ring",
    "stud",
    "lettering",
    "border",
    "plate",
    "engraving",
    "code",
    "lacing",
    "stitch",
)
"""Kinds of marks in the answer. Where a keeper goes, and its lap, is said with the keeper."""


class SuggestionAnswer(TypedDict):
    """Set this parameter to this value, and those in `also` with it; the text says so in plain words."""

    field: str
    value: str
    text: str
    also: dict[str, str]


class MarkAnswer(TypedDict):
    """Something to do at a place: x from the blank's buckle end, y across from its middle, and the sizes.

    A border is `count` stamps of a `motif` side by side, `length` in all; a lacing so many holes, `height` in
    diameter, in the same way; a seam so many stitches along its `line`; a code is `count` squares
    a side and says its `text`.
    """

    kind: str
    x: float
    y: float
    diameter: NotRequired[float]
    length: NotRequired[float]
    width: NotRequired[float]
    height: NotRequired[float]
    text: NotRequired[str]
    motif: NotRequired[str]
    count: NotRequired[int]
    line: NotRequired[list[tuple[float, float]]]


class PartAnswer(TypedDict):
    """A piece to cut, `of` leather, lining or padding; `outline` is closed, its last corner joins its first.

    `position`, on a fixed keeper, is where its middle goes along the strap; `lap` how far its ends lie on
    each other: the line is that far from its end.
    """

    name: str
    title: str
    quantity: int
    length: float
    width: float
    thickness: float
    of: Cut
    outline: list[tuple[float, float]]
    marks: list[MarkAnswer]
    position: NotRequired[float]
    lap: NotRequired[float]


class HoleAnswer(TypedDict):
    """The fit on a size hole, numbered from the buckle; `ring_offset` is in degrees, `fingers` is a count."""

    number: int
    flat: float
    inside_girth: float
    ease: float
    fingers: float
    tail: float
    ring_offset: float
    target: bool


class FitAnswer(TypedDict):
    """The fit on the target hole, and on every hole.

    `neck_least` and `neck_most` are the necks that the first and the last hole fit with the fingers wanted;
    `take_up` is what the buckle uses up, `take_up_from` whether the workshop measured that.
    """

    flat: float
    inside_girth: float
    ease: float
    fingers: float
    neck: float
    uncertainty: float
    neck_least: float
    neck_most: float
    take_up: float
    take_up_from: Literal["measured", "derived"]
    holes: list[HoleAnswer]


class HardwareAnswer(TypedDict):
    """A line of the hardware list."""

    kind: str
    code: str
    name: str
    finish: str
    quantity: int
    place: str


class JointFastenerAnswer(TypedDict):
    """The rivet or post that holds a joint, and the stacks it closes well."""

    kind: str
    code: str
    name: str
    finish: str
    grip_min: float
    grip_max: float


class JointAnswer(TypedDict):
    """Plies held together: `stations` from the strap's buckle end, `stack` how thick they are.

    `quantity` counts fasteners; `proud` is how far each stands out before it is set, null where that isn't
    known; `skive_to` the stack to skive to, null where there is no need; `closing` how a joint without a
    fastener is closed, else empty.
    """

    name: str
    place: str
    stations: list[float]
    plies: int
    stack: float
    fastener: JointFastenerAnswer | None
    quantity: int
    proud: float | None
    skive_to: float | None
    closing: str


class MassAnswer(TypedDict):
    """What a collar weighs [g]: leather, and the hardware whose mass is known; `unknown` names the rest.

    `ring_rest` is how far from the nape the ring comes to rest where the collar turns freely, in degrees,
    positive towards the tail; null where too little is known.
    """

    leather: float
    hardware: float
    unknown: list[str]
    ring_rest: float | None


class FindingAnswer(TypedDict):
    """Something to ask, to warn of, to advise or to note, with where the rule comes from."""

    code: str
    severity: str
    text: str
    source: str
    field: str | None
    suggestions: list[SuggestionAnswer]


class PriceInputAnswer(TypedDict):
    """A number behind a line of the price."""

    name: str
    value: str
    unit: str


class PriceLineAnswer(TypedDict):
    """A line of the price; the amount is a decimal number."""

    label: str
    amount: str
    inputs: list[PriceInputAnswer]


class PriceAnswer(TypedDict):
    """An estimate; amounts are decimal numbers in the currency (ISO 4217)."""

    currency: str
    total: str
    lines: list[PriceLineAnswer]


class DesignAnswer(TypedDict):
    """A whole design. Lengths in mm, the dog's weight in kg, masses in g, angles in degrees."""

    spec: AnyWish
    parts: list[PartAnswer]
    fit: FitAnswer | None
    hardware: list[HardwareAnswer]
    joints: list[JointAnswer]
    findings: list[FindingAnswer]
    mass: MassAnswer
    strength: StrengthAnswer
    price: PriceAnswer


class MailAnswer(TypedDict):
    """Whether mail is sent, how many wait, since when the oldest does [s], and how many were given up."""

    sent_out: bool
    waiting: int
    oldest_waits_s: int
    given_up: int


class HealthAnswer(TypedDict):
    """How the service is: its version, the workshop's name, its store, and room on its disk [MB].

    `mail` is null while the store doesn't fit; `last_backup` is when the newest was begun (ISO 8601, UTC).
    """

    status: Literal["ok", "trouble"]
    version: str
    workshop: str
    migrations: Literal["fit", "do not fit"]
    free_disk_mb: int
    mail: MailAnswer | None
    last_backup: str | None


class TroubleAnswer(TypedDict):
    """What is wrong with one parameter, and what would work."""

    field: str
    detail: str
    would_work: list[SuggestionAnswer]


class Problem(TypedDict):
    """Why a request can't be answered (RFC 9457); `errors` names every parameter that has to change."""

    type: str
    title: str
    status: int
    detail: str
    errors: list[TroubleAnswer]


def design_json(pattern: Pattern, quote: Quote, workshop: Workshop, system: System) -> bytes:
    """Return a design and its price as the JSON of a DesignAnswer; sentences are in the reader's system."""
    keeper = next((mark.x for mark in pattern.strap.marks if mark.kind == "keeper"), None)
    collar = collar_in(pattern)
    answer = {
        "spec": _plain(pattern.spec.model_dump()),
        "parts": [_part(part, keeper) for part in pattern.parts],
        "fit": None if collar is None else _fit(collar),
        "hardware": [_hardware(line) for line in pattern.hardware],
        "joints": [_joint(joint) for joint in pattern.joints],
        "findings": [_finding(finding, system) for finding in pattern.findings],
        "mass": _mass(weigh(pattern)),
        "strength": strength_answer(estimate_strength(pattern, workshop), workshop.assumptions, system),
        "price": _price(quote),
    }
    return to_json(answer)


def trouble(problem: DesignError, system: System) -> TroubleAnswer:
    """Return a problem with one parameter as it is answered to a reader of this system."""
    return {
        "field": problem.field,
        "detail": problem.message.said(system),
        "would_work": [_suggestion(way, system) for way in problem.would_work],
    }


def _plain(values: dict[str, Any]) -> dict[str, Any]:
    return {
        name: round(value, NOISE) if isinstance(value, float) else value for name, value in values.items()
    }


def _suggestion(way: Suggestion, system: System) -> SuggestionAnswer:
    also = {one.field: one.value for one in way.also}
    return {"field": way.field, "value": way.value, "text": way.text.said(system), "also": also}


def _part(part: Part, keeper: float | None) -> PartAnswer:
    answer: PartAnswer = {
        "name": part.name,
        "title": part.title,
        "quantity": part.quantity,
        "length": round(part.length, NOISE),
        "width": round(part.width, NOISE),
        "thickness": round(part.thickness, NOISE),
        "of": part.of,
        "outline": [(round(x, NOISE), round(y, NOISE)) for x, y in part.outline],
        "marks": [_mark(mark) for mark in part.marks if mark.kind in MARK_KINDS],
    }
    if part.name == "keeper" and keeper is not None:
        answer["position"] = round(keeper, NOISE)
    if any(mark.kind == "lap" for mark in part.marks):
        answer["lap"] = next(round(mark.length or 0.0, NOISE) for mark in part.marks if mark.kind == "lap")
    return answer


def _mark(mark: Mark) -> MarkAnswer:
    answer: MarkAnswer = {"kind": mark.kind, "x": round(mark.x, NOISE), "y": round(mark.y, NOISE)}
    if mark.diameter is not None:
        answer["diameter"] = round(mark.diameter, NOISE)
    if mark.length is not None:
        answer["length"] = round(mark.length, NOISE)
    if mark.width is not None:
        answer["width"] = round(mark.width, NOISE)
    if mark.height is not None:
        answer["height"] = round(mark.height, NOISE)
    if mark.text is not None:
        answer["text"] = mark.text
    if mark.count is not None:
        answer["count"] = mark.count
    if mark.name and mark.count is not None:
        answer["motif"] = mark.name
    if mark.kind == "stitch":
        answer["line"] = [(round(x, NOISE), round(y, NOISE)) for x, y in mark.line]
    return answer


def _fit(pattern: CollarPattern) -> FitAnswer:
    fit, buckle = pattern.fit, pattern.fittings.buckle
    least, most = wearable(fit, pattern.spec.fingers)
    return {
        "flat": round(fit.flat, NOISE),
        "inside_girth": round(fit.inside_girth, NOISE),
        "ease": round(fit.ease, NOISE),
        "fingers": round(fit.fingers, NOISE),
        "neck": round(fit.neck, NOISE),
        "uncertainty": round(fit.uncertainty, NOISE),
        "neck_least": round(least, NOISE),
        "neck_most": round(most, NOISE),
        "take_up": round(take_up(buckle, pattern.layout.thickness), NOISE),
        "take_up_from": "derived" if buckle.take_up is None else "measured",
        "holes": [_hole(hole) for hole in fit.holes],
    }


def _hole(hole: HoleFit) -> HoleAnswer:
    return {
        "number": hole.number,
        "flat": round(hole.flat, NOISE),
        "inside_girth": round(hole.inside_girth, NOISE),
        "ease": round(hole.ease, NOISE),
        "fingers": round(hole.fingers, NOISE),
        "tail": round(hole.tail, NOISE),
        "ring_offset": round(hole.ring_offset_deg, NOISE),
        "target": hole.target,
    }


def _hardware(line: HardwareLine) -> HardwareAnswer:
    return {
        "kind": line.kind,
        "code": line.code,
        "name": line.name,
        "finish": line.finish,
        "quantity": line.quantity,
        "place": line.place,
    }


def _joint(joint: Joint) -> JointAnswer:
    return {
        "name": joint.name,
        "place": joint.place,
        "stations": [round(x, NOISE) for x in joint.stations],
        "plies": joint.plies,
        "stack": round(joint.stack, NOISE),
        "fastener": None if joint.fastener is None else _joint_fastener(joint.fastener),
        "quantity": joint.quantity,
        "proud": None if joint.proud is None else round(joint.proud, NOISE),
        "skive_to": None if joint.skive_to is None else round(joint.skive_to, NOISE),
        "closing": joint.closing,
    }


def _joint_fastener(row: Fastener) -> JointFastenerAnswer:
    return {
        "kind": row.kind,
        "code": row.code,
        "name": row.name,
        "finish": row.finish,
        "grip_min": round(row.grip_min, NOISE),
        "grip_max": round(row.grip_max, NOISE),
    }


def _mass(found: Weighed) -> MassAnswer:
    return {
        "leather": round(found.leather, NOISE),
        "hardware": round(found.hardware, NOISE),
        "unknown": list(found.unknown),
        "ring_rest": None if found.rest_deg is None else round(found.rest_deg, NOISE),
    }


def _finding(finding: Finding, system: System) -> FindingAnswer:
    return {
        "code": finding.code,
        "severity": finding.severity,
        "text": finding.text.said(system),
        "source": finding.source,
        "field": finding.field,
        "suggestions": [_suggestion(way, system) for way in finding.suggestions],
    }


def _price(quote: Quote) -> PriceAnswer:
    return {
        "currency": quote.currency,
        "total": str(quote.total),
        "lines": [
            {
                "label": line.label,
                "amount": str(line.amount),
                "inputs": [{"name": one.name, "value": one.value, "unit": one.unit} for one in line.inputs],
            }
            for line in quote.lines
        ],
    }
