"""The catalogue in the store: a new version of the whole at each change, the old ones kept for good."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, Literal, TypeVar

from pydantic import BaseModel, ValidationError
from sqlalchemy import Connection, Row, insert, select, update

from service.errors import GirthwrightError
from service.storage.audit import Act, record
from service.storage.columns import without_bounds
from service.storage.complaints import complaint
from service.storage.faults import NotKept, StaleWrite
from service.storage.rows import all_as, first_as, keep, overwrite, select_as
from service.storage.tables import catalogue, workshop
from service.workshop import Workshop

SCHEMA_VERSION: Final = 1
"""The shape in which this release writes a catalogue."""

RowKind = Literal[
    "leathers",
    "dyes",
    "linings",
    "threads",
    "finishes",
    "buckles",
    "rings",
    "o_rings",
    "snaps",
    "fasteners",
    "studs",
    "plates",
    "stamps",
    "times",
    "consumables",
]
KEYS: Final[Mapping[str, str]] = {"times": "step", "consumables": "name"}
"""The column a row is known by, where that is not its code."""

Settings = TypeVar("Settings", bound=BaseModel)


class CatalogueRefused(GirthwrightError):
    """A change would leave the catalogue unusable; `complaints` say what is wrong, row and column first.

    `before` tells that some of it was wrong before: an older release let it in.
    """

    def __init__(self, complaints: tuple[str, ...], *, before: bool = False) -> None:
        self.complaints = complaints
        self.before = before
        super().__init__("This change can't be kept: " + "; ".join(complaints))


@dataclass(frozen=True, slots=True)
class CatalogueChange:
    """That a version of the catalogue was made: by whom, when, and what changed, in words."""

    version: int
    change: str
    made_by: str
    made_at: datetime


@dataclass(frozen=True, slots=True)
class Catalogue:
    """One version of a workshop's catalogue."""

    workshop_id: str
    version: int
    schema_version: int
    rows: Workshop
    change: str
    made_by: str
    made_at: datetime


def found_workshop(connection: Connection, workshop_id: str, rows: Workshop, act: Act) -> Catalogue:
    """Keep a new workshop with its first catalogue, and return that."""
    first = {"id": workshop_id, "catalogue_version": 0, "last_order": 0, "settings": "{}", "row_version": 1}
    connection.execute(insert(workshop).values(first))
    return keep_catalogue(connection, workshop_id, rows, act, seen=0, change="first catalogue")


def workshop_ids(connection: Connection) -> tuple[str, ...]:
    """Return the ids of the workshops in the store."""
    return tuple(connection.execute(select(workshop.c.id).order_by(workshop.c.id)).scalars())


def catalogue_version(connection: Connection, workshop_id: str) -> int:
    """Return which version is in force; raises NotKept."""
    return int(_workshop(connection, workshop_id).catalogue_version)


def current_catalogue(connection: Connection, workshop_id: str) -> Catalogue:
    """Return the version in force; raises NotKept."""
    here = (workshop.c.id == catalogue.c.workshop_id) & (workshop.c.catalogue_version == catalogue.c.version)
    chosen = select_as(Catalogue, catalogue).join(workshop, here).where(workshop.c.id == workshop_id)
    return _found(first_as(Catalogue, connection, chosen), workshop_id)


def old_catalogue(connection: Connection, workshop_id: str, version: int) -> Catalogue:
    """Return one version; raises NotKept."""
    here = (catalogue.c.workshop_id == workshop_id) & (catalogue.c.version == version)
    return _found(first_as(Catalogue, connection, select_as(Catalogue, catalogue).where(here)), workshop_id)


def catalogue_history(connection: Connection, workshop_id: str) -> tuple[CatalogueChange, ...]:
    """Return what changed, the newest first."""
    chosen = select_as(CatalogueChange, catalogue).where(catalogue.c.workshop_id == workshop_id)
    return all_as(CatalogueChange, connection, chosen.order_by(catalogue.c.version.desc()))


def keep_catalogue(
    connection: Connection,
    workshop_id: str,
    rows: Workshop,
    act: Act,
    *,
    seen: int,
    change: str,
) -> Catalogue:
    """Put a whole catalogue in force in place of the version that was seen; raises StaleWrite."""
    new = Catalogue(workshop_id, seen + 1, SCHEMA_VERSION, rows, change, act.who, act.at)
    here = (workshop.c.id == workshop_id) & (workshop.c.catalogue_version == seen)
    if connection.execute(update(workshop).where(here).values(catalogue_version=new.version)).rowcount != 1:
        now = _workshop(connection, workshop_id).catalogue_version
        raise StaleWrite("catalogue", workshop_id, seen=seen, now=now)
    keep(connection, catalogue, new)
    record(connection, workshop_id, "catalogue-changed", act, detail=f"version {new.version}")
    return new


def put_row(
    connection: Connection,
    workshop_id: str,
    kind: RowKind,
    row: Mapping[str, Any],
    act: Act,
    *,
    seen: int,
    instead_of: str | None = None,
    first: bool = False,
) -> Catalogue:
    """Put a row in place of the one of its code, or after the others; raises CatalogueRefused, StaleWrite.

    It takes the place of the row known as `instead_of` where that is given, or comes before all others.
    """
    kept = _seen(connection, workshop_id, seen)
    tables = kept.model_dump()
    key = KEYS.get(kind, "code")
    old = row.get(key) if instead_of is None else instead_of
    place = next((n for n, other in enumerate(tables[kind]) if other[key] == old), None)
    rows = [other for n, other in enumerate(tables[kind]) if n != place]
    end = len(rows) if place is None else place
    rows.insert(0 if first else end, row)
    tables[kind] = rows
    change = f"{kind}: {row.get(key)} {'added' if place is None else 'changed'}"
    return keep_catalogue(connection, workshop_id, _read(tables, kept), act, seen=seen, change=change)


def put_table(
    connection: Connection,
    workshop_id: str,
    kind: RowKind,
    rows: Sequence[Mapping[str, Any]],
    act: Act,
    *,
    seen: int,
    change: str,
) -> Catalogue:
    """Put other rows in place of all of a table; raises CatalogueRefused, StaleWrite."""
    kept = _seen(connection, workshop_id, seen)
    tables = kept.model_dump()
    tables[kind] = rows
    return keep_catalogue(connection, workshop_id, _read(tables, kept), act, seen=seen, change=change)


def remove_row(
    connection: Connection, workshop_id: str, kind: RowKind, key: str, act: Act, *, seen: int
) -> Catalogue:
    """Take a row out; raises NotKept, CatalogueRefused when others need it, StaleWrite."""
    kept = _seen(connection, workshop_id, seen)
    tables = kept.model_dump()
    left = [row for row in tables[kind] if row[KEYS.get(kind, "code")] != key]
    if len(left) == len(tables[kind]):
        raise NotKept(f"row in {kind}", key)
    tables[kind] = left
    change = f"{kind}: {key} removed"
    return keep_catalogue(connection, workshop_id, _read(tables, kept), act, seen=seen, change=change)


def put_back(connection: Connection, workshop_id: str, version: int, act: Act, *, seen: int) -> Catalogue:
    """Put an older version in force as a new one; raises NotKept, CatalogueRefused, StaleWrite."""
    kept = _seen(connection, workshop_id, seen)
    rows = _read(old_catalogue(connection, workshop_id, version).rows.model_dump(), kept)
    change = f"version {version} put back"
    return keep_catalogue(connection, workshop_id, rows, act, seen=seen, change=change)


def change_columns(
    connection: Connection,
    workshop_id: str,
    act: Act,
    *,
    workshop_columns: Mapping[str, Any] | None = None,
    rates: Mapping[str, Any] | None = None,
    assumptions: Mapping[str, Any] | None = None,
    seen: int,
) -> Catalogue:
    """Change the workshop's own columns, rates or assumptions; raises CatalogueRefused, StaleWrite."""
    kept = _seen(connection, workshop_id, seen)
    tables = kept.model_dump()
    tables |= {**(workshop_columns or {})}
    changed = [*(workshop_columns or {})]
    for table, columns in (("rates", rates), ("assumptions", assumptions)):
        tables[table] |= {**(columns or {})}
        changed.extend(f"{table}: {name}" for name in columns or {})
    change = ", ".join(changed)
    return keep_catalogue(connection, workshop_id, _read(tables, kept), act, seen=seen, change=change)


def workshop_settings(connection: Connection, workshop_id: str, kind: type[Settings]) -> tuple[Settings, int]:
    """Return what a workshop has set besides its catalogue, and the version to give back on a change."""
    row = _workshop(connection, workshop_id)
    return kind.model_validate_json(row.settings), row.row_version


def keep_settings(
    connection: Connection, workshop_id: str, settings: BaseModel, act: Act, *, seen: int
) -> int:
    """Keep some of a workshop's settings, and leave its others as they are; raises StaleWrite."""
    there = json.loads(_workshop(connection, workshop_id).settings)
    changes = {"settings": json.dumps({**there, **settings.model_dump(mode="json")}, ensure_ascii=False)}
    version = overwrite(connection, workshop, workshop_id, seen=seen, changes=changes)
    record(connection, workshop_id, "settings-changed", act)
    return version


def _workshop(connection: Connection, workshop_id: str) -> Row[Any]:
    row = connection.execute(select(workshop).where(workshop.c.id == workshop_id)).first()
    if row is None:
        raise NotKept("workshop", workshop_id)
    return row


def _seen(connection: Connection, workshop_id: str, seen: int) -> Workshop:
    kept = current_catalogue(connection, workshop_id)
    if kept.version != seen:
        raise StaleWrite("catalogue", workshop_id, seen=seen, now=kept.version)
    return kept.rows


def _read(tables: dict[str, Any], kept: Workshop) -> Workshop:
    """The rows of a new version; what an older release let in may be put right step by step only."""
    complaints = _complaints(tables)
    if complaints:
        before = len(_complaints(kept.model_dump()))
        if len(complaints) >= before:
            raise CatalogueRefused(complaints, before=before > 0)
    return without_bounds(Workshop, tables)


def _complaints(tables: dict[str, Any]) -> tuple[str, ...]:
    try:
        Workshop.model_validate(tables)
    except ValidationError as fault:
        return tuple(complaint(error, tables) for error in fault.errors())
    return ()


def _found(kept: Catalogue | None, workshop_id: str) -> Catalogue:
    if kept is None:
        raise NotKept("catalogue", workshop_id)
    return kept
