"""Answers that are the same for all, compressed where the browser can read that.

An answer with something of hers is never compressed, because its length would tell of it.
"""

import gzip

from fastapi import Request, Response


def packed(content: bytes, media_type: str, request: Request, vary: str = "") -> Response:
    """An answer that holds nothing of anybody's, as short as the browser takes it.

    Args:
        content: what is answered.
        media_type: what it is.
        request: that asks for it.
        vary: names of headers that the content depends on, with commas.
    """
    headers = {"Vary": ", ".join(filter(None, ("Accept-Encoding", vary)))}
    if "gzip" in request.headers.get("accept-encoding", ""):
        content, headers["Content-Encoding"] = gzip.compress(content, mtime=0), "gzip"
    return Response(content, media_type=media_type, headers=headers)
