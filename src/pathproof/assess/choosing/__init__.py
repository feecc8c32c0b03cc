"""Choosing: which communicator, on which network, with which antenna, and why none of the others.

How it is done, rule by rule, stands in `docs/choosing.md`.
"""

from pathproof.assess.choosing._proof import Proof, next_proof
from pathproof.assess.choosing.choose import choice_in, choose

__all__ = ["Proof", "choice_in", "choose", "next_proof"]
