"""The replay of a flight: what happened in the hall, to watch, stop and compare."""

from trimkit.labs.replay.replay import Replay, show

__all__ = ["Replay", "show"]
