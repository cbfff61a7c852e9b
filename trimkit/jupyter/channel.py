"""The line between a page and its kernel, without the wait that small messages have on a network.

A network layer likes to gather small messages: it holds one back until the one before it has been
answered for, and a page answers after 40 ms. A slider's picture is a few such messages, so that
every move took 40 ms longer than its drawing.
"""

from __future__ import annotations

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptChannel(ZMQChannelsWebsocketConnection):
    """Jupyter's own line, whose messages leave at once."""

    def connect(self) -> Any:
        """Connect as Jupyter does.

        Returns
        -------
        awaitable
            Jupyter's own [-].
        """
        self.websocket_handler.set_nodelay(True)
        return super().connect()
