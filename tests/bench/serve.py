"""The service with one more route, `/bare`, that answers a fixed text: what the bench measures by."""

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import uvicorn  # noqa: E402 - after the path is set
from fastapi import FastAPI  # noqa: E402
from fastapi.responses import PlainTextResponse  # noqa: E402

from service.app import create_app  # noqa: E402
from service.settings import Settings  # noqa: E402
from service.storage import load_workshop  # noqa: E402


def bench_app(data: Path) -> FastAPI:
    """Return the service as it runs, with the bare route added."""
    app = create_app(Settings(data=data), load_workshop(ROOT / "deploy" / "demo" / "workshop.toml"))

    @app.get("/bare")
    async def bare() -> PlainTextResponse:
        return PlainTextResponse("bare")

    return app


if __name__ == "__main__":
    uvicorn.run(bench_app(Path(sys.argv[2])), port=int(sys.argv[1]), access_log=False, log_level="warning")
