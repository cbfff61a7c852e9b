"""A kernel's messages leave at once, in every JupyterLab that the course starts."""

from __future__ import annotations

import pytest
from jupyter_client.manager import KernelManager
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection
from jupyter_server.services.kernels.websocket import KernelWebsocketHandler
from traitlets.utils.importstring import import_item

from trimkit.jupyter.channel import PromptChannel
from trimkit.jupyter.server import SETTINGS


def test_the_line_is_set_to_send_at_once_before_it_connects(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    done: list[object] = []
    monkeypatch.setattr(
        ZMQChannelsWebsocketConnection, "connect", lambda self: done.append("connects") or "soon"
    )
    monkeypatch.setattr(KernelWebsocketHandler, "set_nodelay", lambda self, now: done.append(now))
    handler = KernelWebsocketHandler.__new__(KernelWebsocketHandler)
    assert PromptChannel(parent=KernelManager(), websocket_handler=handler).connect() == "soon"
    assert done == [True, "connects"]


def test_the_server_is_told_to_use_it() -> None:
    name = "--ServerApp.kernel_websocket_connection_class="
    (given,) = (one.removeprefix(name) for one in SETTINGS if one.startswith(name))
    assert import_item(given) is PromptChannel
