"""The service with one more route, `/bare`, that answers a fixed text: what the bench measures by."""

import sys
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import uvicorn  # noqa: E402 - after the path is set
from fastapi import FastAPI  # noqa: E402
from fastapi.responses import PlainTextResponse  # noqa: E402

from service.app import create_app  # noqa: E402
from service.settings import Settings  # noqa: E402
from service.storage import (  # noqa: E402
    Act,
    embedded_url,
    found_workshop,
    load_workshop,
    migrate,
    open_database,
)


def bench_app(data: Path) -> FastAPI:
    """Return the service as it runs, with the bare route added."""
    database = open_database(embedded_url(data / "bench.sqlite3"))
    migrate(database)
    rows = load_workshop(ROOT / "deploy" / "demo" / "workshop.toml")
    with database.writing() as connection:
        found_workshop(connection, "bench", rows, Act("service", "bench", datetime.now(UTC)))
    app = create_app(Settings(data=data, limits=False), database, "bench")

    @app.get("/bare")
    async def bare() -> PlainTextResponse:
        return PlainTextResponse("bare")

    return app


if __name__ == "__main__":
    uvicorn.run(bench_app(Path(sys.argv[2])), port=int(sys.argv[1]), access_log=False, log_level="warning")
