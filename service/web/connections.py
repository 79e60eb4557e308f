"""What the workshop lets in from outside: sites that show the configurator, programs that read its orders."""

from dataclasses import dataclass
from html import escape
from http import HTTPStatus
from typing import Final

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response

from service.errors import GirthwrightError, Unreadable
from service.language import mark, tr
from service.storage import (
    ApiKey,
    Member,
    NotKept,
    StaleWrite,
    add_api_key,
    api_keys_of,
    keep_settings,
    revoke_api_key,
    token_hash,
    workshop_settings,
)
from service.text import clean_line
from service.web.access import FormUnreadable, act, form, signed_in
from service.web.family import add_page, go_on, shown
from service.web.frame import Frame, frame_for
from service.web.house import House, house_of, origin
from service.web.kept import COUNT
from service.web.proving import WrongNow, prove
from service.web.sites import FramedBy, SitesRefused, read_sites, shown_sites
from service.web.words import day

HERE: Final = "/shop/connections"
KEY_BEGINS: Final = "gwk_"
"""So begins every key: whoever finds one somewhere it shouldn't be can tell what it is."""
LABEL_MAX: Final = 60
KEYS_MAX: Final = 20
DONE: Final = {
    "sites": mark("The list is in force."),
    "revoked": mark("The key opens nothing any more."),
}
CHANGED_MEANWHILE: Final = mark(
    "Meanwhile somebody else changed the list. To put yours in its place, send it again; theirs is:"
)


class KeyRefused(GirthwrightError):
    """A key can't be made; the sentence says why and what would help."""


@dataclass(frozen=True, slots=True)
class KeyLine:
    """A key as the page shows it; its `life` is when it was made, last used and revoked."""

    id: str
    label: str
    life: str
    revoked: bool


@dataclass(frozen=True, slots=True)
class SiteLine:
    """A line that a site takes, to be copied."""

    ident: str
    name: str
    about: str
    text: str


@dataclass(frozen=True, slots=True)
class Wrong:
    """What can't be done: `place` is the id of the field it is said at, `theirs` what stands there now."""

    place: str
    said: str
    theirs: str = ""


@dataclass(frozen=True, slots=True)
class ConnectionsPage:
    """The page; `sites` is what is typed, and `new_key` is shown this once."""

    frame: Frame
    sites: str
    seen: int
    listed: bool
    lines: tuple[SiteLine, ...]
    orders_url: str
    keys: tuple[KeyLine, ...]
    label: str = ""
    new_key: str = ""
    done: str = ""
    wrong: Wrong | None = None


def connections_routes(app: FastAPI) -> None:
    """Add the addresses about sites and keys."""
    add_page(app, HERE, connections)
    add_page(app, f"{HERE}/sites", take=change_sites)
    add_page(app, f"{HERE}/keys", take=make_key)
    add_page(app, f"{HERE}/keys/{{key}}/revoke", take=revoke_key)


def connections(request: Request) -> Response:
    """The sites and the keys, for an owner."""
    owner = signed_in(request, "owner")
    return _page(request, owner, done=tr(DONE.get(request.query_params.get("done", ""), "")))


def change_sites(request: Request) -> Response:
    """Say which sites may show the configurator."""
    owner, typed, house = signed_in(request, "owner"), form(request), house_of(request)
    text, seen = typed.get("sites", ""), typed.get("seen", "")
    if COUNT.fullmatch(seen) is None:
        raise FormUnreadable(tr("The form doesn't say what it was made from."))
    try:
        sites = FramedBy(framed_by=read_sites(text))
        with house.database.writing() as connection:
            keep_settings(connection, house.workshop_id, sites, act(request, owner), seen=int(seen))
    except SitesRefused as fault:
        return _page(request, owner, Wrong("sites", str(fault)), sites=text)
    except StaleWrite:
        return _page(request, owner, Wrong("sites", tr(CHANGED_MEANWHILE), _listed(house)), sites=text)
    return go_on(f"{HERE}?done=sites")


def make_key(request: Request) -> Response:
    """Make a key and show it: the answer to this form is the only place where it ever stands."""
    owner, typed, house = signed_in(request, "owner"), form(request), house_of(request)
    label = typed.get("label", "")
    try:
        clean = clean_line(label, LABEL_MAX)
        _may_make(house, clean)
        prove(request, owner, typed.get("now", ""))
    except (KeyRefused, Unreadable) as fault:
        return _page(request, owner, Wrong("key-label", str(fault)), label=label)
    except WrongNow as fault:
        return _page(request, owner, Wrong("key-now", str(fault)), label=label)
    secret = KEY_BEGINS + house.token()
    made = ApiKey(house.reference(), house.workshop_id, clean, token_hash(secret), house.now())
    with house.database.writing() as connection:
        add_api_key(connection, made, act(request, owner))
    return _page(request, owner, new_key=secret, label=clean)


def revoke_key(request: Request, key: str) -> Response:
    """Put a key out of force."""
    owner, house = signed_in(request, "owner"), house_of(request)
    with house.database.writing() as connection:
        if all(one.id != key for one in api_keys_of(connection, house.workshop_id)):
            raise NotKept("key", "of that address")
        revoke_api_key(connection, key, act(request, owner))
    return go_on(f"{HERE}?done=revoked")


def _may_make(house: House, label: str) -> None:
    if not label:
        raise KeyRefused(tr("Say what the key is for, for example Bookkeeping."))
    with house.database.reading() as connection:
        there = [one for one in api_keys_of(connection, house.workshop_id) if one.revoked_at is None]
    if any(one.label.casefold() == label.casefold() for one in there):
        raise KeyRefused(
            tr("There is a key for {label} already: revoke that one, or take another name.", label=label)
        )
    if len(there) >= KEYS_MAX:
        raise KeyRefused(
            tr("There are {count} keys, which is the most: revoke one that isn't needed.", count=KEYS_MAX)
        )


def _listed(house: House) -> str:
    with house.database.reading() as connection:
        kept = workshop_settings(connection, house.workshop_id, FramedBy)[0].framed_by
    return shown_sites(kept) or tr("no site at all")


def _page(
    request: Request,
    owner: Member,
    wrong: Wrong | None = None,
    *,
    sites: str | None = None,
    label: str = "",
    new_key: str = "",
    done: str = "",
) -> Response:
    house, base = house_of(request), origin(request)
    shop = house.workshop.name
    with house.database.reading() as connection:
        kept, seen = workshop_settings(connection, house.workshop_id, FramedBy)
        keys = api_keys_of(connection, house.workshop_id)
    page = ConnectionsPage(
        frame_for(owner, shop, "members"),
        shown_sites(kept.framed_by) if sites is None else sites,
        seen,
        bool(kept.framed_by),
        _lines(base, shop),
        f"{base}/api/orders",
        tuple(_line(key, house) for key in keys),
        label,
        new_key,
        done,
        wrong,
    )
    status = HTTPStatus.UNPROCESSABLE_ENTITY if wrong else HTTPStatus.OK
    return shown(request, "connections/page.html", page, status)


def _lines(base: str, shop: str) -> tuple[SiteLine, ...]:
    """The same in two ways, for the site of a shop."""
    title = escape(tr("Collars and leads to measure, by {shop}", shop=shop))
    frame = f'<iframe src="{base}/embed" title="{title}" allow="clipboard-write; web-share"'
    return (
        SiteLine(
            "script-line",
            tr("With a script"),
            tr("The best fit: the frame grows and shrinks with what is in it."),
            f'<script src="{base}/embed.js" data-title="{title}" async></script>',
        ),
        SiteLine(
            "frame-line",
            tr("Without a script"),
            tr("Where your site takes no scripts: a frame of one height that scrolls inside."),
            f'{frame} width="100%" height="900" style="border: 0"></iframe>',
        ),
    )


def _line(key: ApiKey, house: House) -> KeyLine:
    region = house.workshop.region
    used = tr("last used on {day}", day=day(key.seen_at.date(), region)) if key.seen_at else tr("never used")
    life = [tr("made on {day}", day=day(key.made_at.date(), region)), used]
    if key.revoked_at:
        life.append(tr("revoked on {day}", day=day(key.revoked_at.date(), region)))
    return KeyLine(key.id, key.label, " · ".join(life), key.revoked_at is not None)
