"""Style sheets, scripts and fonts: a fingerprint in their addresses lets browsers keep them for good."""

import hashlib
import mimetypes
from functools import lru_cache
from os import PathLike, stat_result
from pathlib import Path
from urllib.parse import parse_qsl

from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

# Not every machine's own table knows these, and nosniff makes a wrong one fatal.
mimetypes.add_type("font/woff2", ".woff2")
mimetypes.add_type("text/javascript", ".js")
mimetypes.add_type("image/svg+xml", ".svg")

FOR_GOOD = "public, max-age=31536000, immutable"
FOR_A_DAY = "public, max-age=86400"


@lru_cache(maxsize=8)
def fingerprints(folder: Path) -> dict[str, str]:
    """Map each file under a folder, by its path inside it, to twelve hex digits of its SHA-256."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()[:12]
        for path in files
    }


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
