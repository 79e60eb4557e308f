"""A row of the catalogue from what was typed for it: each column read, each mistake named beside its own."""

import re
import unicodedata
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import count
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from service.errors import Unreadable
from service.language import tr
from service.saying import say
from service.web.catalogue_cells import check_limits, read_cell
from service.web.catalogue_columns import Column, Sheet
from service.web.fields import own_system
from service.workshop import Row, Workshop

NAME_MAX = 60
CODE_MAX = 40


@dataclass(frozen=True, slots=True)
class TypedRow:
    """What was read, by column, and what is wrong; `row` is None as long as anything is."""

    values: Mapping[str, Any]
    errors: Mapping[str, str]
    row: Row | None


def read_row(
    sheet: Sheet, typed: Mapping[str, str], workshop: Workshop, taken: Collection[str] = ()
) -> TypedRow:
    """Return the row that was typed; one without a code gets one that is not among those `taken`."""
    values: dict[str, Any] = {}
    errors: dict[str, str] = {}
    for column in sheet.columns:
        text = typed.get(column.name, "")
        try:
            values[column.name] = _cell(sheet, column, text, workshop)
        except Unreadable as fault:
            errors[column.name] = fault.message.said(own_system(workshop))
    if "code" in values and not values["code"]:
        values["code"] = code_from(values, workshop, taken)
    if errors or sheet.model is Workshop:
        return TypedRow(values, errors, None)
    try:
        return TypedRow(values, {}, sheet.model.model_validate(values))
    except ValidationError as fault:
        return TypedRow(values, _in_words(sheet, fault), None)


def _cell(sheet: Sheet, column: Column, text: str, workshop: Workshop) -> Any:  # noqa: ANN401 - any column
    if not text.strip():
        if column.kind == "code":
            return ""
        if sheet.required(column.name) or column.kind == "languages":
            reason = say("{name} is needed.", name=tr(column.label))
            raise Unreadable(text, reason, tr(column.example) or tr("a few words"))
        return sheet.model.model_fields[column.name].default
    value = read_cell(column, text, workshop)
    if isinstance(value, int | float | Decimal):
        check_limits(sheet, column, value, workshop)
    if column.kind == "text" and column.name != "supplier" and len(value) > NAME_MAX:
        reason = say("That is {count} characters, and {most} is the most.", count=len(value), most=NAME_MAX)
        raise Unreadable(text, reason, value[:NAME_MAX])
    return value


def _in_words(sheet: Sheet, fault: ValidationError) -> dict[str, str]:
    """What the row itself finds wrong, beside the first column that it speaks of."""
    labels = {column.name: f"“{tr(column.label)}”" for column in sheet.columns}
    errors: dict[str, str] = {}
    for error in fault.errors():
        said = _said(error)
        spoken = [name for name in re.findall(r"[a-z_]+", said) if name in labels]
        place = str(error["loc"][0]) if error["loc"] else next(iter(spoken), sheet.columns[0].name)
        inner = f"{error['loc'][1]}: " if len(error["loc"]) > 1 else ""
        for name in {*spoken}:
            said = re.sub(rf"\b{name}\b", labels[name], said, count=1)
        errors.setdefault(place, f"{inner}{said}.")
    return errors


def _said(error: ErrorDetails) -> str:
    if error["type"] == "value_error":  # the row's own rules
        return str(error["ctx"]["error"])
    if error["type"] == "decimal_max_places":
        return tr("at most {places} decimals are kept", places=error["ctx"]["decimal_places"])
    return tr("its width must be more than 0 and at most 5 times its height")  # of a letter's stamp


def code_from(values: Mapping[str, Any], workshop: Workshop, taken: Collection[str]) -> str:
    """Return a code made from a row's name, with its finish before it, that no other row has."""
    finish = values.get("finish", "")
    words = f"{finish if finish in {row.code for row in workshop.finishes} else ''} {values.get('name', '')}"
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode().lower()
    code = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[: CODE_MAX - 4].strip("-") or "row"
    if code not in taken:
        return code
    return next(f"{code}-{n}" for n in count(2) if f"{code}-{n}" not in taken)
