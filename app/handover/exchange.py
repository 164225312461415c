"""Connections to the hand-over: only so many, none that dawdles, and errors without detail."""

import asyncio
import logging
from collections.abc import Awaitable, Callable

from aiohttp import web

from app.handover.limits import Limits
from app.handover.page import SAFE

_HEADER_BYTES = 4096
_HEADERS = 48

_SILENT = logging.Logger("no record of who asked for what", logging.CRITICAL + 1)
_log = logging.getLogger("easelside.handover")


class Exchange(web.Server):
    """Makes a handler for each connection; one too many is hung up on."""

    def __init__(self, answer: Callable[[web.BaseRequest], Awaitable[web.StreamResponse]], limits: Limits) -> None:
        super().__init__(answer)
        self._limits = limits

    def __call__(self) -> web.RequestHandler:
        handler = _Line if len(self.connections) < self._limits.connections else _Full
        return handler(
            self,
            loop=asyncio.get_running_loop(),
            # aiohttp hangs up on a connection that has not made a whole request in this time, the first included.
            keepalive_timeout=self._limits.request_s,
            lingering_time=self._limits.linger_s,
            max_line_size=_HEADER_BYTES,
            max_field_size=_HEADER_BYTES,
            max_headers=_HEADERS,
            auto_decompress=False,
            access_log=_SILENT,
            logger=_log,
        )


class _Line(web.RequestHandler):
    __slots__ = ()

    def handle_error(
        self,
        request: web.BaseRequest,
        status: int = 500,
        exc: BaseException | None = None,
        message: str | None = None,
    ) -> web.StreamResponse:
        """The bare status: what a stranger sent is not sent back, and fills no log."""
        if status >= 500:
            _log.error("a request could not be answered", exc_info=exc)
        else:
            _log.debug("a request could not be read: %s", message)
        answer = web.Response(status=status, headers=SAFE)
        answer.force_close()
        return answer


class _Full(_Line):
    __slots__ = ()

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        super().connection_made(transport)
        self.force_close()
