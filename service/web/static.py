"""Style sheets, scripts and fonts: a fingerprint in their addresses lets browsers keep them for good.

What is text among them is packed once, as small as Brotli makes it: that takes too long for each answer.
"""

import hashlib
import mimetypes
from functools import lru_cache
from os import PathLike, stat_result
from pathlib import Path
from typing import Final
from urllib.parse import parse_qsl

import brotli
from anyio import to_thread
from starlette.datastructures import Headers
from starlette.responses import FileResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from service.web.packed import takes_brotli

# Not every machine's own table knows these, and nosniff makes a wrong one fatal.
mimetypes.add_type("font/woff2", ".woff2")
mimetypes.add_type("text/javascript", ".js")
mimetypes.add_type("image/svg+xml", ".svg")

FOR_GOOD = "public, max-age=31536000, immutable"
FOR_A_DAY = "public, max-age=86400"
TEXT: Final = (".css", ".js", ".svg")
OF_THE_FILE: Final = ("content-length", "accept-ranges")
"""What is said of a file as it lies, and isn't true of it when it is packed."""
WORTH_IT: Final = 500
"""A file smaller than this [bytes] is sent as it is."""


@lru_cache(maxsize=8)
def fingerprints(folder: Path) -> dict[str, str]:
    """Map each file under a folder, by its path inside it, to twelve hex digits of its SHA-256."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()[:12]
        for path in files
    }


@lru_cache(maxsize=64)
def packed(path: Path, _fingerprint: str) -> bytes:
    """Return a file as Brotli packs it, as small as it can."""
    return bytes(brotli.compress(path.read_bytes(), mode=brotli.MODE_TEXT, quality=11))


class KeptFiles(StaticFiles):
    """Files of a folder: under its present fingerprint a file may be kept for good, else for a day."""

    def __init__(self, folder: Path) -> None:
        super().__init__(directory=folder)
        self.folder = folder

    def file_response(
        self,
        full_path: str | PathLike[str],
        stat_result: stat_result,
        scope: Scope,
        status_code: int = 200,
    ) -> Response:
        response = super().file_response(full_path, stat_result, scope, status_code)
        name = Path(full_path).relative_to(self.folder.resolve()).as_posix()
        asked = dict(parse_qsl(scope["query_string"].decode("latin-1"))).get("v")
        current = fingerprints(self.folder).get(name)
        response.headers["Cache-Control"] = FOR_GOOD if asked == current else FOR_A_DAY
        return response

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Return a file, or why it isn't there."""
        response = await super().get_response(path, scope)
        asked = Headers(scope=scope)
        if (
            scope["method"] != "GET"
            or not isinstance(response, FileResponse)
            or not path.endswith(TEXT)
            or int(response.headers["Content-Length"]) < WORTH_IT
            or not takes_brotli(asked.get("accept-encoding", ""))
        ):
            return response
        where = Path(response.path)
        name = where.relative_to(self.folder.resolve()).as_posix()
        body = await to_thread.run_sync(packed, where, fingerprints(self.folder)[name])
        kept = {name: text for name, text in response.headers.items() if name not in OF_THE_FILE}
        headers = {**kept, "Content-Encoding": "br", "Vary": "Accept-Encoding"}
        return Response(body, response.status_code, headers)
