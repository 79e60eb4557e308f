"""The SQLite that is used: the one brought along where there is a build of it, else Python's own."""

import sys

if sys.platform == "linux":
    from pysqlite3 import dbapi2 as sqlite3
else:
    import sqlite3

__all__ = ["sqlite3"]
