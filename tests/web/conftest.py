"""On another engine than the usual one, only the tests that keep something are run again."""

import pytest

from tests.stores import engine
from tests.web.customers import Customer
from tests.web.door_makers import Door
from tests.web.shop_makers import Shop

KEEPERS = {Customer, Door, Shop}


def keeps(item: pytest.Item) -> bool:
    """Tell whether a test's file makes stores that may be anywhere."""
    names = vars(item.module).values() if isinstance(item, pytest.Function) else ()
    kinds = {one for one in names if isinstance(one, type)}
    return bool(kinds & KEEPERS) and item.get_closest_marker("embedded") is None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if engine() == "sqlite":
        return
    config.hook.pytest_deselected(items=[item for item in items if not keeps(item)])
    items[:] = [item for item in items if keeps(item)]
