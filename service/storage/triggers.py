"""Triggers that keep history as it was: laid anew at every migration, since a rebuilt table loses its own.

An entry of the audit and a version of the catalogue can't be changed or deleted. A proof, its drawings and a
decision can't be changed, and go only with a customer whose erasure has begun.
"""

from typing import Final

from sqlalchemy import Connection, inspect

FOR_GOOD: Final = ("audit", "catalogue")
UNTIL_ERASED: Final = ("decision", "proof", "proof_drawing")
ERASED: Final = (
    "EXISTS (SELECT 1 FROM orders JOIN customer ON customer.id = orders.customer_id"
    " WHERE orders.id = OLD.order_id AND customer.erased_at IS NOT NULL)"
)

SQLITE_LIST: Final = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name"
POSTGRESQL_LIST: Final = """
    SELECT tgname, pg_get_triggerdef(pg_trigger.oid) || ' ' || prosrc FROM pg_trigger
    JOIN pg_proc ON pg_proc.oid = tgfoid
    JOIN pg_class ON pg_class.oid = tgrelid JOIN pg_namespace ON pg_namespace.oid = relnamespace
    WHERE NOT tgisinternal AND tgenabled IN ('O', 'A') AND nspname = current_schema() ORDER BY tgname
"""


def expected(connection: Connection) -> list[str]:
    """Return the names of the triggers that this engine has on the tables there are."""
    return sorted(_statements(connection))


def found(connection: Connection) -> dict[str, str]:
    """Return the triggers there are, by name, each with what it does."""
    listing = SQLITE_LIST if connection.dialect.name == "sqlite" else POSTGRESQL_LIST
    return {row[0]: row[1] for row in connection.exec_driver_sql(listing)}


def remove(connection: Connection) -> None:
    """Take every trigger away, so that tables may be rebuilt."""
    if connection.dialect.name == "sqlite":
        for name in found(connection):
            connection.exec_driver_sql(f'DROP TRIGGER "{name}"')
    else:
        for function in ("keep_for_good", "keep_until_erased"):
            connection.exec_driver_sql(f"DROP FUNCTION IF EXISTS {function}() CASCADE")


def install(connection: Connection) -> None:
    """Lay the triggers on the tables there are; none may be there yet."""
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(_function("keep_for_good", "true"))
        connection.exec_driver_sql(_function("keep_until_erased", f"TG_OP <> 'DELETE' OR NOT {ERASED}"))
    for statement in _statements(connection).values():
        connection.exec_driver_sql(statement)


def _statements(connection: Connection) -> dict[str, str]:
    tables = {*inspect(connection).get_table_names()}
    make = _for_sqlite if connection.dialect.name == "sqlite" else _for_postgresql
    made: dict[str, str] = {}
    for table in (*FOR_GOOD, *UNTIL_ERASED):
        if table in tables:
            made |= make(table)
    return made


def _for_sqlite(table: str) -> dict[str, str]:
    when = "" if table in FOR_GOOD else f" WHEN NOT {ERASED}"
    return {
        f"{table}_changed": _sqlite_trigger(table, "changed", "UPDATE"),
        f"{table}_deleted": _sqlite_trigger(table, "deleted", "DELETE", when),
    }


def _sqlite_trigger(table: str, name: str, event: str, when: str = "") -> str:
    refusal = f"SELECT RAISE(ABORT, 'what is kept in {table} is not to be {name}')"
    return f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table}{when} BEGIN {refusal}; END"


def _for_postgresql(table: str) -> dict[str, str]:
    function = "keep_for_good" if table in FOR_GOOD else "keep_until_erased"
    return {
        f"{table}_changed": f"CREATE TRIGGER {table}_changed BEFORE UPDATE OR DELETE ON {table}"
        f" FOR EACH ROW EXECUTE FUNCTION {function}()",
        f"{table}_emptied": f"CREATE TRIGGER {table}_emptied BEFORE TRUNCATE ON {table}"
        " FOR EACH STATEMENT EXECUTE FUNCTION keep_for_good()",
    }


def _function(name: str, refuse: str) -> str:
    return f"""
        CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            IF {refuse} THEN
                RAISE EXCEPTION USING
                    MESSAGE = 'what is kept in ' || TG_TABLE_NAME || ' is not to be changed';
            END IF;
            RETURN OLD;
        END $$"""
