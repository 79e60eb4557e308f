"""The interface for other programs of the workshop: its orders, to be read with a key."""

from fastapi import FastAPI
from pydantic_core import to_json
from starlette.requests import Request
from starlette.responses import Response

from service.storage import customer_by_id, orders_after
from service.web.api_answers import ORDERS, OrderAnswer, OrdersAnswer, order_answer, orders_answer
from service.web.api_keys import key_of
from service.web.api_parameters import NUMBER, PARAMETERS, read_nothing, read_wanted
from service.web.family import add_read
from service.web.house import house_of
from service.web.kept import dog_of, the_order
from service.web.openapi import KEYED
from service.web.query import Asked, read_query


def api_routes(app: FastAPI) -> None:
    """Add the addresses for other programs."""
    add_read(app, ORDERS, api_orders, KEYED, PARAMETERS, OrdersAnswer, keyed=True)
    add_read(app, f"{ORDERS}/{{number}}", api_order, KEYED, [NUMBER], OrderAnswer, keyed=True)


def api_orders(request: Request) -> Response:
    """Orders by number, a page at a time."""
    key_of(request)
    house, wanted = house_of(request), read_wanted(_asked(request))
    with house.database.reading() as connection:
        cards = orders_after(
            connection, house.workshop_id, wanted.after, stage=wanted.stage, limit=wanted.limit + 1
        )
    return _json(orders_answer(cards, wanted.limit, wanted.stage))


def api_order(request: Request) -> Response:
    """One order with everything in it."""
    key_of(request)
    house = house_of(request)
    read_nothing(_asked(request))
    with house.database.reading() as connection:
        order = the_order(connection, house, request.path_params["number"])
        customer, dog = customer_by_id(connection, order.customer_id), dog_of(connection, order)
    return _json(order_answer(order, customer, dog))


def _asked(request: Request) -> Asked:
    return read_query(request.scope["query_string"], house_of(request).settings.query_max)


def _json(answer: OrdersAnswer | OrderAnswer) -> Response:
    return Response(to_json(answer), media_type="application/json")
