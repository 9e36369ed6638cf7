"""While a copy of the records is put back, requests wait; if it takes long, a page says so."""

import asyncio
import time
from collections.abc import Awaitable, Callable

from fastapi import Request, Response

from thumbwright.web.gate import LONGEST_WAIT_S
from thumbwright.web.rendering import desk_of, page

LOOK_AGAIN_S = 0.05


async def let_through(
    request: Request, go_on: Callable[[Request], Awaitable[Response]]
) -> Response:
    """Let a request through the gate of the desk."""
    if request.url.path.startswith("/static/"):
        return await go_on(request)
    gate = desk_of(request).gate
    until = time.monotonic() + LONGEST_WAIT_S
    while not gate.enter():
        if time.monotonic() > until:
            answer = page(request, "put_back_wait.html", status=503)
            answer.headers["Retry-After"] = "5"
            return answer
        await asyncio.sleep(LOOK_AGAIN_S)
    try:
        return await go_on(request)
    finally:
        gate.leave()
