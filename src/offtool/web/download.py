"""Files that are handed out: always saved, never shown, whatever is in them."""

from __future__ import annotations

import re
from io import BytesIO

from django.http import FileResponse

_NOT_IN_NAMES = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*]')


def as_download(content: bytes, name: str) -> FileResponse:
    """Bytes under a name that every file system takes."""
    safe = _NOT_IN_NAMES.sub("-", name).strip(". ") or "file"
    return FileResponse(
        BytesIO(content), as_attachment=True, filename=safe, content_type="application/octet-stream"
    )
