"""What the server does with every request before Streamlit sees it."""

from starlette.datastructures import MutableHeaders
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from streamlit import get_option

NO_FRAMES = {"X-Frame-Options": "DENY", "Content-Security-Policy": "frame-ancestors 'none'"}


class FramesRefused:
    """Tells the browser to show no answer inside another page, where clicks could be stolen."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve a request with the headers that refuse frames."""

        async def told(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(NO_FRAMES)
            await send(message)

        await self.app(scope, receive, told)


def guards() -> list[Middleware]:
    """Return what stands before every page, medium and socket.

    Another site can point its own name at this machine and then read what is served; its name
    is in the Host header, so names that `server.allowedHosts` does not list are refused.
    """
    names = get_option("server.allowedHosts") or ["*"]
    return [
        Middleware(FramesRefused),
        Middleware(TrustedHostMiddleware, allowed_hosts=names, www_redirect=False),
    ]
