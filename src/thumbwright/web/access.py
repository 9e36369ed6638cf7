"""Who may ask: this machine only, pages of this server only, and a name for the history."""

from collections.abc import Awaitable, Callable
from urllib.parse import quote, unquote, urlsplit

from fastapi import Request, Response
from starlette.responses import PlainTextResponse

from thumbwright.core.foundations.errors import PlanError

COOKIE = "thumbwright_who"
LONGEST_NAME = 80
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
        "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
LOCAL = frozenset({"127.0.0.1", "localhost", "[::1]", "testserver"})
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})


class NobodyNamedError(PlanError):
    """Something was to be recorded and nobody said who they are."""


async def guarded(request: Request, go_on: Callable[[Request], Awaitable[Response]]) -> Response:
    """Refuse what comes from another page or under another name of this machine."""
    host = request.headers.get("host", "")
    name = host.rsplit(":", 1)[0] if not host.endswith("]") else host
    if name not in LOCAL:
        return _refused(f"the server was asked under the name {host!r}")
    origin = request.headers.get("origin")
    site = request.headers.get("sec-fetch-site", "same-origin")
    if request.method not in _SAFE:
        foreign = origin is not None and not _is_of(origin, host)
        if foreign or site not in ("same-origin", "none"):
            return _refused("a page of another server tried to record something")
    answer = await go_on(request)
    for key, value in HEADERS.items():
        if key != "Cache-Control" or not request.url.path.startswith("/static/"):
            answer.headers.setdefault(key, value)
    return answer


def _is_of(origin: str, host: str) -> bool:
    try:
        return urlsplit(origin).netloc == host
    except ValueError:
        return False


def who_is_it(request: Request) -> str:
    """Return the name of the person at the desk; empty if not given yet."""
    return unquote(request.cookies.get(COOKIE, ""))[:LONGEST_NAME].strip()


def demand_name(request: Request) -> str:
    """Return the name under which something is recorded.

    Raises
    ------
    NobodyNamedError
        If none was given.
    """
    if who := who_is_it(request):
        return who
    msg = (
        "nobody has said who is at the desk; allowed is any name by which the unit knows you; give "
        "it at the top of the page, then record again"
    )
    raise NobodyNamedError(msg)


def remember(answer: Response, who: str) -> None:
    """Keep the name in the browser, for this server only."""
    answer.set_cookie(
        COOKIE, quote(who[:LONGEST_NAME]), httponly=True, samesite="strict", max_age=12 * 3600
    )


def _refused(given: str) -> Response:
    return PlainTextResponse(
        f"{given}; allowed is this machine under 127.0.0.1 or localhost, from its own pages; open "
        "the address that the program printed at its start\n",
        403,
        headers=HEADERS,
    )
