"""Choosing: which communicator, on which network, with which antenna, and why none of the others.

How it is done, rule by rule, stands in `docs/choosing.md`.
"""

from pathproof.assess.choosing.choose import choice_in, choose

__all__ = ["choice_in", "choose"]
